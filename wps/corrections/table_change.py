"""A change of the code tables from its proposal to its effect: judged in the request where that is quick, in
the background where many records are on file, and saved only as it was shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.codes import table_checks
from qualification.codes.editions_in_force import (
    find_row,
    in_force,
    supposed_token,
    with_check,
    without_check,
)
from qualification.codes.table_values import as_typed, value_like
from qualification.models import TableCheck
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.overlay import TableVerification, value_at
from wps.background import tasks
from wps.corrections import upgrades
from wps.corrections.rejudging import Progress, RejudgedRecord, changes_of, changes_under
from wps.models import BackgroundTask, Rejudging

TASK = "rejudge"
IN_A_REQUEST = 2.0
"""Seconds of judging a page may wait for; what would take longer is done in the background."""
Cause = Rejudging.Cause


class ProposalStale(Exception):
    """The tables have changed since the proposal was judged; the message says what to do."""

    is_for_people = True


def propose_correction(
    edition: str, clause: str, check: TableVerification, token: str, person: User
) -> Rejudging:
    """Keep a correction to be judged in the background; nothing of it is in force."""
    proposal = {
        "file": check.file,
        "path": list(check.path),
        "row_hash": check.row_hash,
        "clause": clause,
        "day": check.day.isoformat(),
        "copy": check.copy,
        "changes": [[list(path), as_typed(value)] for path, value in check.changes.items()],
    }
    return _new(edition, Cause.CORRECT, person, proposal=proposal, token=token)


def propose_taking_back(made: TableCheck, person: User) -> Rejudging:
    """As `propose_correction`, for taking a check back."""
    return _new(
        made.edition,
        Cause.TAKE_BACK,
        person,
        check_made=made,
        token=supposed_token(in_force(made.edition).edition, {}),
    )


def _new(edition: str, cause: Rejudging.Cause, person: User, **more: Any) -> Rejudging:
    return Rejudging.objects.create(edition=edition, cause=cause, asked_by=person, **more)


def begin(proposed: Rejudging) -> BackgroundTask:
    """Have the records judged in the background."""
    return tasks.queue(
        TASK,
        proposed.pk,
        f"Judge the records again: {proposed}",
        proposed.get_absolute_url(),
        proposed.asked_by,
    )


def judge_in_background(subject_id: int, progress: Progress) -> None:
    """What the queue calls for a task of the kind `rejudge`."""
    proposed = Rejudging.objects.get(pk=subject_id)
    total = 0

    def count(done: int, records: int) -> None:
        nonlocal total
        total = records
        progress(done, records)

    changes = changes_under(_supposed(proposed), progress=count)
    Rejudging.objects.filter(pk=proposed.pk, saved_at=None).update(
        changes=[change.stored() for change in changes], records=total, judged_at=timezone.now()
    )
    progress(total, total)


def save_correction(proposed: Rejudging, person: User) -> TableCheck:
    """Put a judged correction in force. Raises ProposalStale when the tables are no longer those it was
    judged on."""
    check = _check(proposed)
    with transaction.atomic():
        _refuse_stale(proposed, check)
        return hold(
            proposed.edition, proposed.proposal["clause"], check, person, changes_of(proposed), proposed
        )


def hold(
    edition: str,
    clause: str,
    check: TableVerification,
    person: User,
    changes: Sequence[RejudgedRecord],
    proposed: Rejudging | None = None,
) -> TableCheck:
    """Store a check with the report of what it changes, audited."""
    with transaction.atomic():
        made = table_checks.hold(edition, clause, check, person, [change.as_json() for change in changes])
        if check.is_correction or changes:
            _keep(proposed or Rejudging(edition=edition, cause=Cause.CORRECT, asked_by=person), made, changes)
    return made


def take_back(
    made: TableCheck,
    reason: str,
    person: User,
    changes: Sequence[RejudgedRecord],
    proposed: Rejudging | None = None,
) -> bool:
    """Take a check back with the report of what that changes, audited; false when somebody had done so
    already."""
    with transaction.atomic():
        if proposed is not None:
            _refuse_stale(proposed, None)
        if not table_checks.take_back(made, reason, person, [change.as_json() for change in changes]):
            return False
        _keep(
            proposed or Rejudging(edition=made.edition, cause=Cause.TAKE_BACK, asked_by=person), made, changes
        )
    return True


def _keep(report: Rejudging, made: TableCheck, changes: Sequence[RejudgedRecord]) -> None:
    now = timezone.now()
    report.check_made, report.changes = made, [change.stored() for change in changes]
    report.judged_at, report.saved_at = report.judged_at or now, now
    report.save()
    upgrades.tables_changed(report.edition)


def _refuse_stale(proposed: Rejudging, check: TableVerification | None) -> None:
    edition = in_force(proposed.edition).edition
    if proposed.saved_at is not None or proposed.judged_at is None:
        raise ProposalStale("This was saved already, or is not judged yet. Load the page again.")
    if supposed_token(edition, check.changes if check is not None else {}) != proposed.token:
        raise ProposalStale(
            "The tables have changed since the records were judged, so what is shown no longer holds. Check"
            " the row against the copy again."
        )


def _supposed(proposed: Rejudging) -> Edition:
    """Raises TableError when the change would spoil a table."""
    if proposed.cause == Cause.TAKE_BACK:
        assert proposed.check_made is not None
        return without_check(proposed.check_made)
    return with_check(proposed.edition, _check(proposed))


def _check(proposed: Rejudging) -> TableVerification:
    """The check as it was proposed. Raises ProposalStale when the tables no longer have its row."""
    said = proposed.proposal
    found = find_row(proposed.edition, said["file"], "/".join(map(str, said["path"])))
    if found is None:
        raise ProposalStale("The tables no longer have this row. Look it up in the code tables again.")
    path, row = found
    changes = {
        tuple(inside): value_like(value_at(row, tuple(inside)), text) for inside, text in said["changes"]
    }
    return TableVerification(
        file=said["file"],
        path=path,
        row_hash=said["row_hash"],
        person="",
        day=date.fromisoformat(said["day"]),
        copy=said["copy"],
        changes=changes,
    )
