"""A welder's test out of the coupon of a procedure test: the same weld, seen by the code's rules for welders.

Nothing is made up: entries, readings and results are those of the procedure test, as far as a welder's record
has a place for them, and the rules judge them anew.
"""

from __future__ import annotations

from copy import deepcopy

from qualification.codes.editions import edition_for_welders
from qualification.evidence.coverage import outcome_of
from qualification.models import ProcedureTest, State, WelderTest
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import Person
from qualification.rules.entries.reading import Entry
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry

FIRST_NUMBER = "WT-001"
GONE = (State.SUPERSEDED, State.WITHDRAWN)
SAME = ("title", "units", "welder", "welded_on", "spec_followed", "laboratory", "report_number", "witness")


def may_become_welder_test(test: ProcedureTest) -> bool:
    """True while the coupon names its welder, has results and counts, under a code that tests welders."""
    return bool(
        test.welder_id and test.results and test.state not in GONE and edition_for_welders(test.edition)
    )


def welder_words(test: ProcedureTest) -> str:
    """That the coupon counts as its welder's test as well, and what is to be done for it; empty where the
    code has no rules for welders or the record is out of force."""
    if not edition_for_welders(test.edition) or test.state in GONE:
        return ""
    if not test.welder_id:
        return "Name the welder: a coupon that passes counts as its welder's test as well."
    started = WelderTest.objects.filter(notes__contains=_came_from(test)).first() if test.pk else None
    if started:
        return f"This coupon stands as the test of {started.welder} as well: {started}."
    then = "The button above starts that record." if test.results else "Enter its results first."
    return f"A coupon that passes is its welder's test as well, here of {test.welder}. {then}"


def _came_from(test: ProcedureTest) -> str:
    return f"The coupon of procedure test {test}."


def welder_test_of(test: ProcedureTest) -> WelderTest:
    """The draft, not stored yet. Results of a kind the code asks of no welder stay on the procedure test."""
    made = WelderTest(
        edition=edition_for_welders(test.edition),
        joint=_usable(test.joint),
        lines=[_usable(line) for line in test.lines],
        notes=_came_from(test),
        **{name: getattr(test, name) for name in SAME},
    )
    taken = outcome_of(made).requirements.kinds
    made.results = [deepcopy(each) for each in test.results if each.get("kind") in taken]
    return made


def start_from_coupon(test: ProcedureTest, person: Person) -> WelderTest:
    """Store the draft under the next number of the series."""
    made = welder_test_of(test)
    numbers = WelderTest.objects.order_by("created_at").values_list("number", flat=True)
    made.number = next_number(numbers, FIRST_NUMBER)
    create_draft(made, person)
    return made


def _usable(entries: dict[str, Entry]) -> dict[str, Entry]:
    """Entries a welder's test has a place for."""
    return {
        key: deepcopy(entry)
        for key, entry in entries.items()
        if key in registry() and RecordKind.WELDER_TEST in registry()[key].uses
    }
