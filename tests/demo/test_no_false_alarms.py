"""Nothing of the demo shop is pointed out as odd: its records are correct, so each word would be a false
alarm."""

from __future__ import annotations

from collections.abc import Iterator

from qualification.evidence.checks import checks_of_test
from qualification.evidence.coverage import read_record
from qualification.evidence.trial_reading import TrialRead
from qualification.models import ProcedureTest, QuietCheck, Trial, WelderTest
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.trials.combinations import checks_of
from qualification.rules.variables.definition import RecordKind
from tests.demo.conftest import DemoShop
from wps.models import Part, Spec
from wps.procedures.checks import checks_of_procedure


def _unread(read: ReadWeld, units: str) -> list[str]:
    return [each.message for each in (*read.problems, *contradictions(read.weld, units))]


def said_of_the_shop() -> Iterator[tuple[str, list[str]]]:
    """Each record, and what is pointed out of it, refused or found contradictory."""
    for test in (*ProcedureTest.objects.all(), *WelderTest.objects.all()):
        found = [check.sentence for check in checks_of_test(test, test.units)]
        yield str(test), found + _unread(read_record(test), test.units)
    for spec in Spec.objects.all():
        read = read_weld(spec.joint, spec.lines, RecordKind.SPEC, spec.units)
        found = [check.sentence for check in checks_of_procedure(spec, read, spec.units)]
        yield str(spec), found + _unread(read, spec.units)
    for part in Part.objects.all():
        read = read_weld(part.joint, part.lines, RecordKind.PART, part.units)
        found = [check.sentence for check in checks_of(read, RecordKind.PART, part.units)]
        yield str(part), found + _unread(read, part.units)
    for trial in Trial.objects.all():
        look = TrialRead(trial)
        found = [each.sentence for each in (*look.checks, *look.remarks)]
        yield str(trial), found + _unread(look.read, trial.units)


def test_no_record_of_the_demo_shop_raises_a_false_alarm(demo_shop: DemoShop) -> None:
    assert not QuietCheck.objects.exists()
    found = list(said_of_the_shop())
    assert len(found) > 40
    assert [(name, said) for name, said in found if said] == []
