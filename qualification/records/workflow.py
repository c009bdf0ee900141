"""The life of a controlled record: one table of steps, and the one function that takes them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from qualification.lengths import too_long
from qualification.models.record import Record, State, content_hash
from qualification.models.shop import Shop
from qualification.records.approving import frozen_content, obstacles_to_approval
from qualification.records.audit import name_of, record_event
from qualification.roles import APPROVER, AUTHOR, Person, may_approve, may_author, who_grants, who_holds

LONGEST_SAID = 300
"""Characters of a reason or of what a revision changes: a sentence or two."""


class StepRefused(Exception):
    """A step cannot be taken; `reasons` are sentences that say why and what to do."""

    def __init__(self, *reasons: str, where: tuple[str, ...] = ()) -> None:
        """`where`: names of the pages on which somebody can lift it."""
        super().__init__(" ".join(reasons))
        self.reasons, self.where = reasons, where


@dataclass(frozen=True)
class Step:
    """One allowed move."""

    action: str
    label: str
    """Words on the button."""
    start: State
    end: State
    may: Callable[[Person], bool]
    who: str
    """Whom `may` asks for, in words."""
    needs_reason: bool = False
    is_aside: bool = False
    """Leads away from approval; a page keeps it behind the others."""


STEPS: tuple[Step, ...] = (
    # From one state, what leads on comes first: pages offer it first.
    Step("submit", "Submit for review", State.DRAFT, State.IN_REVIEW, may_author, "an author"),
    Step("approve", "Approve", State.IN_REVIEW, State.APPROVED, may_approve, "an approver"),
    Step(
        "return",
        "Return to the author",
        State.IN_REVIEW,
        State.DRAFT,
        may_approve,
        "an approver",
        needs_reason=True,
    ),
    Step(
        "take_back",
        "Recall to draft",
        State.IN_REVIEW,
        State.DRAFT,
        may_author,
        "an author",
        is_aside=True,
    ),
    Step("withdraw", "Withdraw", State.APPROVED, State.WITHDRAWN, may_approve, "an approver", True, True),
    Step("set_aside", "Set aside", State.DRAFT, State.WITHDRAWN, may_author, "an author", True, True),
)
AFTER_APPROVAL: list[Callable[[Record, Person, str], object]] = []
"""What the upper app does with a record just approved, in the same transaction, and in which language its
paper is wanted; it adds itself when it starts."""
SUPERSEDE = "supersede"
"""Taken by the program alone, when a later revision is approved."""


def steps_open_to(record: Record, person: Person) -> list[Step]:
    """The steps this person may take now; approval of the own revision is left out where the shop forbids
    it."""
    return [
        step
        for step in STEPS
        if step.start == record.state
        and step.may(person)
        and not (step.action == "approve" and _is_own(record, person))
    ]


SUBMIT_AND_APPROVE = "submit_and_approve"
"""Both steps in one act, for whoever may take both."""


def may_submit_and_approve(record: Record, person: Person) -> bool:
    """True on a draft, for a person who may submit it and, where it is their own, approve it too."""
    return (
        record.state == State.DRAFT
        and may_author(person)
        and may_approve(person)
        and not _is_own(record, person)
    )


def submit_and_approve(record: Record, person: Person, language: str = "") -> None:
    """Submit a draft and approve it; both steps stand in the audit trail, or neither is taken.

    Raises StepRefused as `apply` does.
    """
    try:
        with transaction.atomic():
            apply("submit", record, person)
            apply("approve", record, person, language=language)
    except StepRefused:
        record.refresh_from_db()
        raise


def _is_own(record: Record, person: Person) -> bool:
    return record.author_id == person.pk and not Shop.current().allow_self_approval


def apply(action: str, record: Record, person: Person, reason: str = "", *, language: str = "") -> None:
    """Take a step: check it, save the record and write the audit entry in one transaction. `language` is that
    of the paper an approval issues; the shop's where none is named.

    Raises StepRefused with the reasons; nothing is changed then.
    """
    with transaction.atomic():
        current = type(record).objects.select_for_update(no_key=True).get(pk=record.pk)
        step = _step(action, current, person, reason)
        data: dict[str, object] = {"from": current.state, "to": step.end.value, "reason": reason.strip()}
        if action == "approve":
            _refuse_with_obstacles(current)
            data["snapshot"] = _freeze(current, person)
        current.state = step.end
        if action == "approve":
            _supersede_earlier(current, person)
        current.save()
        record_event(action, current, person, data)
        if action == "approve":
            for follow in AFTER_APPROVAL:
                follow(current, person, language)
    record.refresh_from_db()


def _step(action: str, record: Record, person: Person, reason: str) -> Step:
    step = next((s for s in STEPS if s.action == action and s.start == record.state), None)
    if step is None:
        raise StepRefused(
            f"{record} is {record.get_state_display().lower()}; that step is not open from there. Load the"
            " page again."
        )
    if not step.may(person):
        raise StepRefused(_takes(f"“{step.label}”", step.who), where=("people",))
    if action == "approve" and _is_own(record, person):
        raise StepRefused(
            "Authors do not approve their own records in this shop. Ask"
            f" {who_holds(APPROVER, person) or 'another approver'}. Someone who works alone checks “Authors"
            " may approve their own records” on the Shop page.",
            where=("shop",),
        )
    _fits("Reason", reason)
    if step.needs_reason and not reason.strip():
        raise StepRefused(f"“{step.label}” needs a reason. Write one sentence.")
    return step


def _takes(what: str, who: str) -> str:
    """Who may do it instead, and who gives the role."""
    holders = who_holds(AUTHOR if who.endswith(AUTHOR) else APPROVER)
    return f"{what} takes {who}{f': {holders}' if holders else ''}. You do not have the role. {who_grants()}"


def _refuse_with_obstacles(record: Record) -> None:
    obstacles = obstacles_to_approval(record)
    if obstacles:
        raise StepRefused(*obstacles)


def _freeze(record: Record, person: Person) -> str:
    record.approved_at = timezone.now().replace(microsecond=0)
    record.approved_by, record.approved_by_name = person, name_of(person)  # type: ignore[assignment]
    record.snapshot = {**frozen_content(record), "state": State.APPROVED.value}
    record.snapshot_hash = content_hash(record.snapshot)
    return record.snapshot_hash


def _supersede_earlier(record: Record, person: Person) -> None:
    for earlier in (
        record.revisions().filter(state=State.APPROVED).exclude(pk=record.pk).select_for_update(no_key=True)
    ):
        earlier.state = State.SUPERSEDED
        earlier.save()
        record_event(
            SUPERSEDE,
            earlier,
            person,
            {"from": State.APPROVED.value, "to": State.SUPERSEDED.value, "by": record.reference},
        )


def _fits(label: str, said: str) -> None:
    if refusal := too_long(label, len(said.strip()), LONGEST_SAID):
        raise StepRefused(refusal)


def start_revision(record: Record, person: Person, change_note: str, edition: str = "") -> Record:
    """A new draft with the next revision number and the same content, under another edition where one is
    named.

    Raises StepRefused when the person may not author, no reason or a long one is given, or a draft is already
    open.
    """
    if not may_author(person):
        raise StepRefused(_takes("Starting a revision", "an author"), where=("people",))
    _fits("What it changes", change_note)
    if not change_note.strip():
        raise StepRefused("Say in one sentence what the new revision changes.")
    with transaction.atomic():
        newest = (
            type(record)
            .objects.select_for_update(no_key=True)
            .filter(number=record.number)
            .order_by("-revision")
            .first()
        )
        assert newest is not None
        if newest.state in (State.DRAFT, State.IN_REVIEW):
            raise StepRefused(
                f"{newest} is still {newest.get_state_display().lower()}; finish or set it aside first."
            )
        made = type(record)(**{name: getattr(record, name) for name in record.CONTENT})
        made.revision, made.change_note = newest.revision + 1, change_note.strip()
        made.put_under(edition or record.edition)
        made.author, made.author_name = person, name_of(person)  # type: ignore[assignment]
        made.save()
        _copy_links(record, made)
        record_event(
            "revise",
            made,
            person,
            {"from": record.reference, "change": made.change_note, **_editions(record, made)},
        )
    return made


def move_to_edition(record: Record, person: Person, edition: str, change_note: str) -> Record:
    """The record under another edition: a draft itself, anything else as a new revision.

    Raises StepRefused as `start_revision` does.
    """
    newest = record.revisions().first()
    if newest is None or newest.pk != record.pk:
        raise StepRefused(f"{record} has a later revision. Judge that one under another edition.")
    if record.state != State.DRAFT:
        return start_revision(record, person, change_note, edition)
    if not may_author(person):
        raise StepRefused(_takes("Judging under another edition", "an author"), where=("people",))
    _fits("What it changes", change_note)
    with transaction.atomic():
        draft = type(record).objects.select_for_update(no_key=True).get(pk=record.pk)
        if draft.state != State.DRAFT:
            raise StepRefused(
                f"{draft} is {draft.get_state_display().lower()} meanwhile. Load the page again."
            )
        before = draft.edition
        draft.put_under(edition)
        draft.save()
        record_event(
            "move_to_edition",
            draft,
            person,
            {"change": change_note.strip(), "edition_from": before, "edition": edition},
        )
    return draft


def _editions(before: Record, made: Record) -> dict[str, str]:
    return {"edition_from": before.edition, "edition": made.edition} if before.edition != made.edition else {}


def _copy_links(source: Record, made: Record) -> None:
    for field in source._meta.many_to_many:
        getattr(made, field.name).set(getattr(source, field.name).all())
