"""What to check on a procedure by common sense, beside what its code says. Nothing of it decides anything."""

from __future__ import annotations

from collections.abc import Iterable

from qualification.codes.quiet_checks import with_quiet
from qualification.models import ProcedureTest
from qualification.rules.entries.reading import ReadWeld
from qualification.rules.trials.combinations import CombinationCheck, check_of_record, checks_of
from qualification.rules.variables.definition import RecordKind
from wps.models import Spec


def checks_of_procedure(spec: Spec, read: ReadWeld, system: str) -> tuple[CombinationCheck, ...]:
    """What to check on its entries, as read, and on the days of its tests; words with `system` first."""
    tests = spec.tests.all() if spec.pk else ()
    return with_quiet((*checks_of(read, RecordKind.SPEC, system), *checks_of_days(spec, tests)))


def checks_of_days(spec: Spec, tests: Iterable[ProcedureTest]) -> tuple[CombinationCheck, ...]:
    """Tests that were welded after the procedure that rests on them was approved."""
    approved = spec.approved_at.date() if spec.approved_at else None
    return tuple(
        check_of_record(
            "test_after_procedure",
            f"{test.reference} welded on {test.welded_on}; procedure approved on {approved}",
        )
        for test in tests
        if approved is not None and test.welded_on is not None and test.welded_on > approved
    )
