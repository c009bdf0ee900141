"""Taking a workflow step and starting a revision: what the pages of all controlled records share.

A record's page puts `steps_context` into its context and includes `_steps.html` and `_history.html`; its step
and revision views call `take_step` and `begin_revision`, and show the page again with what was refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest

from qualification import workflow
from qualification.history import history_of
from qualification.models.record import Record, State
from qualification.roles import may_author

REVISE = "revise"
"""Stands for the revision form where the steps' forms name their action."""


@dataclass(frozen=True)
class Refusal:
    """A step that was not taken: what was asked, why not, and the reason that had been typed."""

    action: str
    label: str
    reasons: tuple[str, ...]
    typed: str


def steps_context(request: HttpRequest, record: Record, refusal: Refusal | None = None) -> dict[str, Any]:
    """What `_steps.html` and `_history.html` need, beside the addresses `step_url` and `revise_url`."""
    revisions = list(record.revisions())
    return {
        "record": record,
        "steps": workflow.steps_open_to(record, request.user),
        "events": history_of(record),
        "obstacles": record.obstacles_to_approval()
        if record.state == State.IN_REVIEW and refusal is None
        else [],
        "revisions": revisions,
        "may_revise": _may_revise(request, record, revisions),
        "refusal": refusal,
    }


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
    label = next((step.label for step in workflow.STEPS if step.action == action), "This step")
    try:
        workflow.apply(action, record, request.user, reason)
    except workflow.StepRefused as refused:
        return Refusal(action, label, refused.reasons, reason)
    messages.success(request, f"{record} is now {record.get_state_display().lower()}.")
    return None


def begin_revision(request: HttpRequest, record: Record) -> Record | Refusal:
    """Start the next revision with the change note in the form; the new draft, or why it was refused."""
    note = request.POST.get("change_note", "")
    try:
        made = workflow.start_revision(record, request.user, note)
    except workflow.StepRefused as refused:
        return Refusal(REVISE, "Start a new revision", refused.reasons, note)
    messages.success(request, f"{made} is started as a draft.")
    return made
