"""One test's range inside another's: on the limit, inside it, outside it; and never where a weld tells
otherwise."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qualification.rules.core.facts import Facts, Side
from qualification.rules.core.findings import Citation, Provenance, VariableClass, Verdict
from qualification.rules.core.values import (
    MISSING,
    NOT_APPLICABLE,
    Allowed,
    Anything,
    Interval,
    NotEncoded,
    Undetermined,
)
from qualification.rules.ranges.containing import contains
from qualification.rules.ranges.ranges import LineRange, TestRange
from qualification.rules.variables.limits import Condition, Limit

CITED = Citation("an invented code", "2031", "1.1", Provenance.MEMORY)
GROOVE = Condition("weld_type", frozenset({"groove"}))
FILLET = Condition("weld_type", frozenset({"fillet"}))


def up_to(high: str, low: str | None = None) -> Interval:
    return Interval(None if low is None else Decimal(low), Decimal(high))


def limit(
    allowed: Allowed, *when: Condition, variable: str = "thickness_a", unless: tuple = (), free: bool = False
) -> Limit:
    standing = VariableClass.NONESSENTIAL if free else VariableClass.ESSENTIAL
    return Limit(variable, allowed, standing, CITED, "A rule.", when=when, unless=unless)


def ranged(*limits: Limit, process: str = "GMAW", edition: str = "e", side: Side = Side.WELDER) -> TestRange:
    line = LineRange("T", 0, process, Facts({}), limits)
    return TestRange("T", side, edition, (line,))


@pytest.mark.parametrize(
    ("inner", "outer", "inside"),
    [
        (up_to("12"), up_to("12"), True),
        (up_to("11.9"), up_to("12"), True),
        (up_to("12.1"), up_to("12"), False),
        (up_to("12", "3"), up_to("12", "4"), False),
        (up_to("12", "4"), up_to("12", "3"), True),
        (Interval(None, Decimal(12)), Interval(None, Decimal(12), high_open=True), False),
        (frozenset({"flat"}), frozenset({"flat", "vertical"}), True),
        (frozenset({"flat", "overhead"}), frozenset({"flat", "vertical"}), False),
        (up_to("12"), Anything(), True),
        (Anything(), up_to("12"), False),
        (NotEncoded(), NotEncoded(), True),
        (up_to("12"), NotEncoded(), False),
        (NotEncoded(), up_to("12"), False),
        (Undetermined(("diameter",)), up_to("12"), False),
        (up_to("12"), Undetermined(("diameter",)), False),
    ],
)
def test_one_limit_inside_another(inner: Allowed, outer: Allowed, inside: bool) -> None:
    assert contains(ranged(limit(outer)), ranged(limit(inner))) is inside


def test_a_limit_that_speaks_less_often_keeps_less() -> None:
    assert contains(ranged(limit(up_to("12"), GROOVE)), ranged(limit(up_to("12"))))
    assert not contains(ranged(limit(up_to("12"))), ranged(limit(up_to("12"), GROOVE)))
    assert not contains(ranged(limit(up_to("12"), FILLET)), ranged(limit(up_to("12"), GROOVE)))
    freed = limit(up_to("12"), unless=((GROOVE,),))
    assert contains(ranged(freed), ranged(limit(up_to("12"))))
    assert not contains(ranged(limit(up_to("12"))), ranged(freed))


def test_what_only_has_to_be_recorded_contains_everything() -> None:
    assert contains(ranged(limit(up_to("1"), free=True)), ranged(limit(up_to("12"))))


def test_other_sides_editions_and_processes_are_apart() -> None:
    one = ranged(limit(up_to("12")))
    assert not contains(one, ranged(limit(up_to("12")), edition="f"))
    assert not contains(one, ranged(limit(up_to("12")), side=Side.PROCEDURE))
    assert not contains(one, ranged(limit(up_to("12")), process="GTAW"))
    assert not contains(one, TestRange("T", Side.WELDER, "e", (), ("Failed.",)))
    assert not contains(TestRange("T", Side.WELDER, "e", (), ("Failed.",)), one)


NUMBERS = st.integers(1, 4).map(Decimal)
RANGES = st.one_of(
    st.tuples(NUMBERS, NUMBERS).map(lambda ends: Interval(min(ends), max(ends))),
    NUMBERS.map(lambda high: Interval(None, high)),
    st.just(Anything()),
    st.just(NotEncoded()),
)
CONDITIONS = st.lists(st.sampled_from([GROOVE, FILLET]), max_size=1).map(tuple)
LIMITS = st.builds(
    lambda allowed, when, unless: limit(allowed, *when, unless=unless),
    RANGES,
    CONDITIONS,
    st.sampled_from([(), ((GROOVE,),)]),
)
TESTS = st.lists(LIMITS, max_size=2).map(lambda limits: ranged(*limits))
WELDS = [
    Facts({"thickness_a": thickness, "weld_type": kind})
    for thickness in (*(Interval.point(Decimal(n)) for n in range(6)), MISSING, NOT_APPLICABLE)
    for kind in (frozenset({"groove"}), frozenset({"fillet"}), frozenset({"groove", "fillet"}), MISSING)
]


def covers(test: TestRange, facts: Facts) -> bool:
    return all(each.judge(facts).verdict <= Verdict.COVERED for each in test.lines[0].limits)


@settings(max_examples=150)
@given(TESTS, TESTS)
def test_whatever_lies_inside_is_covered_by_the_outer_one(outer: TestRange, inner: TestRange) -> None:
    if contains(outer, inner):
        for facts in WELDS:
            assert covers(outer, facts) or not covers(inner, facts)
