"""A procedure that rests on a revision of a test that a later revision has taken the place of."""

from __future__ import annotations

from dataclasses import dataclass

from qualification.models import ProcedureTest, State
from qualification.records.drafts import save_draft, version_of
from qualification.roles import Person
from wps.models import Spec


@dataclass(frozen=True)
class Superseded:
    """A supporting test and the approved revision that took its place."""

    test: ProcedureTest
    newer: ProcedureTest


def superseded_tests(spec: Spec) -> list[Superseded]:
    """Supporting tests of which a later revision is approved, in the order of their numbers."""
    old = {test.number: test for test in spec.tests.filter(state=State.SUPERSEDED)}
    newer = ProcedureTest.objects.filter(number__in=old, state=State.APPROVED).order_by("number")
    return [Superseded(old[test.number], test) for test in newer]


def rest_on_newer_tests(spec: Spec, person: Person) -> list[Superseded]:
    """Put the later revisions in the place of the superseded ones on a draft, audited. Raises FrozenRecord
    when the procedure is no draft."""
    found = superseded_tests(spec)
    if found:
        gone = {each.test.pk for each in found}
        kept = [test for test in spec.tests.all() if test.pk not in gone]
        said = [f"{each.test.reference} replaced by {each.newer.reference}" for each in found]
        tests = [*kept, *(each.newer for each in found)]
        save_draft(spec, person, version_of(spec), said, {"tests": tests})
    return found
