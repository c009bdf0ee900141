"""Holding a row of the code tables against the shop's own copy, and taking such a check back; both
audited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from qualification.codes.table_values import as_typed
from qualification.models import TableCheck
from qualification.records.audit import append, name_of
from qualification.roles import Person
from qualification.rules.tabular.overlay import Path, TableVerification

CONFIRM, CORRECT, TAKE_BACK = "confirm_row", "correct_row", "take_back_check"


def hold(
    edition: str, clause: str, check: TableVerification, person: Person, report: Sequence[Mapping[str, Any]]
) -> TableCheck:
    """Store a check as made by `person`. `report` is what it changes for records on file, kept in the audit
    trail."""
    with transaction.atomic():
        made = TableCheck.objects.create(
            edition=edition,
            file=check.file,
            path=list(check.path),
            clause=clause[:120],
            row_hash=check.row_hash,
            changes=[[list(path), as_typed(value)] for path, value in check.changes.items()],
            person_name=name_of(person),
            checked_on=check.day,
            copy=check.copy,
        )
        append(
            CORRECT if check.is_correction else CONFIRM,
            made.KIND,
            made.pk,
            str(made)[:120],
            name_of(person),
            {
                "file": made.file,
                "path": made.path,
                "row_hash": made.row_hash,
                "changes": made.changes,
                "copy": made.copy,
                "checked_on": made.checked_on.isoformat(),
                "records": list(report),
            },
        )
    return made


def take_back(made: TableCheck, reason: str, person: Person, report: Sequence[Mapping[str, Any]]) -> bool:
    """Take a check back; false when somebody had done so already."""
    with transaction.atomic():
        stored = TableCheck.objects.select_for_update(no_key=True).get(pk=made.pk)
        if stored.taken_back_because:
            return False
        stored.taken_back_because = reason
        stored.save(update_fields=["taken_back_because"])
        append(
            TAKE_BACK,
            stored.KIND,
            stored.pk,
            str(stored)[:120],
            name_of(person),
            {"reason": reason, "records": list(report)},
        )
    return True


def corrected_values(made: TableCheck) -> list[tuple[Path, str]]:
    """What a check corrects: where in the row, and to what."""
    return [(tuple(path), text) for path, text in made.changes]
