"""Taking a workflow step and starting a revision: what the pages of all controlled records share.

A record's page puts `steps_context` into its context and includes `_steps.html` and `_history.html`; its step
and revision views call `take_step` and `begin_revision`, and show the page again with what was refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest
from django.urls import reverse

from qualification.models.record import Record, State
from qualification.models.shop import Shop
from qualification.own_password import asks_password, problem_with_password
from qualification.records import workflow
from qualification.records.approving import obstacles_to_approval
from qualification.records.history import history_of
from qualification.records.unchanged import changed_since_approval
from qualification.roles import may_author
from qualification.rules.tabular.schema import TableError
from qualification.server_address import server_address
from qualification.tongues.languages import LANGUAGES

REVISE = "revise"
"""Stands for the revision form where the steps' forms name their action."""


WHERE = {"shop": "The shop's settings", "people": "People and their roles"}


@dataclass(frozen=True)
class Refusal:
    """A step that was not taken: what was asked, why not, and the reason that had been typed."""

    action: str
    label: str
    reasons: tuple[str, ...]
    typed: str
    where: tuple[str, ...] = ()
    """Names of the pages on which somebody can lift it."""

    @property
    def links(self) -> list[tuple[str, str]]:
        """Words and address of each of them."""
        return [(WHERE[name], reverse(name)) for name in self.where]


def steps_context(request: HttpRequest, record: Record, refusal: Refusal | None = None) -> dict[str, Any]:
    """What `_band.html`, `_steps.html`, `_history.html` and `_altered.html` need, beside the addresses
    `step_url` and `revise_url`."""
    revisions = list(record.revisions())
    steps = workflow.steps_open_to(record, request.user)
    obstacles = _obstacles(record) if steps and refusal is None else []
    return {
        "record": record,
        "steps": steps,
        "step_leads": any(not step.is_aside for step in steps) and not obstacles and refusal is None,
        "asks_password": asks_password(request),
        "languages": LANGUAGES.items(),
        "paper_language": Shop.current().paper_language,
        "may_do_both": workflow.may_submit_and_approve(record, request.user),
        "events": history_of(record),
        "obstacles": obstacles,
        "revisions": revisions,
        "may_revise": _may_revise(request, record, revisions),
        "refusal": refusal,
        "altered": changed_since_approval(record),
        "no_address": record.state in (State.DRAFT, State.IN_REVIEW) and not server_address(),
    }


def _obstacles(record: Record) -> list[str]:
    """What approval would refuse, of a record that may still be approved."""
    if record.state not in (State.DRAFT, State.IN_REVIEW):
        return []
    try:
        return obstacles_to_approval(record)
    except TableError:
        # The page says itself that the tables of its edition are not installed.
        return []


def _may_revise(request: HttpRequest, record: Record, revisions: list[Record]) -> bool:
    newest = revisions[0]
    return (
        may_author(request.user)
        and record.pk == newest.pk
        and newest.state not in (State.DRAFT, State.IN_REVIEW)
    )


def take_step(request: HttpRequest, record: Record) -> Refusal | None:
    """Take the step named in the form; `None` when it was taken, else why it was not."""
    action, reason = request.POST.get("action", ""), request.POST.get("reason", "")
    language = request.POST.get("language", "")
    both = action == workflow.SUBMIT_AND_APPROVE
    known = (step.label for step in workflow.STEPS if step.action == action)
    label = "Submit and approve" if both else next(known, "This step")
    if (both or action == "approve") and (problem := problem_with_password(request)):
        return Refusal(action, label, (problem,), reason)
    try:
        if both:
            workflow.submit_and_approve(record, request.user, language)
        else:
            workflow.apply(action, record, request.user, reason, language=language)
    except workflow.StepRefused as refused:
        return Refusal(action, label, refused.reasons, reason, refused.where)
    said = f"{record} is now {record.get_state_display().lower()}."
    ahead = _obstacles(record) if action == "submit" else []
    if ahead:
        messages.warning(request, f"{said} As it stands, approval will refuse it: {_first_of(ahead)}")
    else:
        messages.success(request, said)
    return None


def _first_of(reasons: list[str]) -> str:
    """The first reason in full, and how many there are besides."""
    more = len(reasons) - 1
    return reasons[0] + (f" And {more} more reason{'s' if more > 1 else ''}." if more else "")


def begin_revision(request: HttpRequest, record: Record) -> Record | Refusal:
    """Start the next revision with the change note in the form; the new draft, or why it was refused."""
    note = request.POST.get("change_note", "")
    try:
        made = workflow.start_revision(record, request.user, note)
    except workflow.StepRefused as refused:
        return Refusal(REVISE, "Start a new revision", refused.reasons, note, refused.where)
    messages.success(request, f"{made} is started as a draft.")
    return made
