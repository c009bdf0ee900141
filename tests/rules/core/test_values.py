"""Intervals and sets: the laws of mathematics hold for them whatever the numbers are."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.values import Anything, Interval, Undetermined, lies_within, touches

D = Decimal
ENDS = st.integers(-6, 6).map(D)
POINTS = [D(n) / 2 for n in range(-14, 15)]
"""Every whole and half number over the ends drawn: between two ends lies at least one of them."""


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    low, high = sorted((draw(ENDS), draw(ENDS)))
    low_free, high_free = (
        draw(st.booleans()) and draw(st.booleans()),
        draw(st.booleans()) and draw(st.booleans()),
    )
    made = Interval(
        None if low_free else low,
        None if high_free else high,
        not low_free and draw(st.booleans()),
        not high_free and draw(st.booleans()),
    )
    return Interval(made.low, made.high) if made.is_empty else made


def has(interval: Interval, number: Decimal) -> bool:
    """Membership as a schoolbook states it, independent of the code under test."""
    above = interval.low is None or (number > interval.low if interval.low_open else number >= interval.low)
    below = interval.high is None or (
        number < interval.high if interval.high_open else number <= interval.high
    )
    return above and below


def members(interval: Interval) -> set[Decimal]:
    return {number for number in POINTS if has(interval, number)}


@given(intervals(), intervals())
def test_within_means_that_no_member_lies_outside(a: Interval, b: Interval) -> None:
    assert a.within(b) == (members(a) <= members(b) and _ends_allow(a, b))


def _ends_allow(a: Interval, b: Interval) -> bool:
    """The members listed end at ±7, so an end without limit is compared as such."""
    return (a.low is not None or b.low is None) and (a.high is not None or b.high is None)


@given(intervals(), intervals())
def test_the_intersection_holds_exactly_the_shared_members(a: Interval, b: Interval) -> None:
    shared = a.intersect(b)
    assert (members(shared) if shared else set()) == members(a) & members(b)
    assert a.meets(b) == bool(members(a) & members(b)) == b.meets(a)


@given(intervals(), intervals(), intervals())
def test_within_is_an_order(a: Interval, b: Interval, c: Interval) -> None:
    assert a.within(a)
    if a.within(b) and b.within(a):
        assert a == b
    if a.within(b) and b.within(c):
        assert a.within(c)


@given(intervals(), intervals())
def test_an_intersection_lies_within_both(a: Interval, b: Interval) -> None:
    shared = a.intersect(b)
    if shared is not None:
        assert shared.within(a)
        assert shared.within(b)
        assert not shared.is_empty


@given(intervals(), st.sets(st.integers(-14, 14).map(lambda n: D(n) / 2), max_size=6))
def test_a_split_covers_exactly_and_never_overlaps(whole: Interval, at: set[Decimal]) -> None:
    pieces = whole.split(at)
    owners = {number: [p for p in pieces if has(p, number)] for number in POINTS}
    assert {number for number, held in owners.items() if held} == members(whole)
    assert all(len(held) <= 1 for held in owners.values())
    assert (pieces[0].low, pieces[-1].high) == (whole.low, whole.high)


@given(intervals(), st.lists(intervals(), max_size=3))
def test_a_piece_lies_wholly_on_one_side_of_every_limit(whole: Interval, limits: list[Interval]) -> None:
    cuts = {end for limit in limits for end in (limit.low, limit.high) if end is not None}
    for piece in whole.split(cuts):
        for limit in limits:
            assert piece.within(limit) or not piece.meets(limit)


def test_a_split_at_the_ends_keeps_the_ends_apart() -> None:
    assert Interval(D(1), D(3)).split({D(1), D(3)}) == [
        Interval.point(D(1)),
        Interval(D(1), D(3), True, True),
        Interval.point(D(3)),
    ]


def test_a_split_at_an_open_end_does_not_bring_the_end_in() -> None:
    assert Interval(D(1), D(3), low_open=True, high_open=True).split({D(1), D(3)}) == [
        Interval(D(1), D(3), True, True)
    ]


def test_a_split_outside_leaves_the_interval_whole() -> None:
    assert Interval(D(1), D(3)).split({D(0), D(4)}) == [Interval(D(1), D(3))]


def test_a_point_is_split_into_itself() -> None:
    assert Interval.point(D(2)).split({D(2)}) == [Interval.point(D(2))]


def test_crossed_ends_are_refused() -> None:
    with pytest.raises(ValueError, match="from 3 to 2"):
        Interval(D(3), D(2))


@pytest.mark.parametrize(
    ("value", "allowed", "inside", "touching"),
    [
        (Interval.point(D(3)), Interval(D(3), D(5)), True, True),
        (Interval.point(D(3)), Interval(D(3), D(5), low_open=True), False, False),
        (Interval(D(2), D(4)), Interval(D(3), D(5)), False, True),
        (Interval(D(2), D(3)), Interval(D(3), D(5), low_open=True), False, False),
        (frozenset({"a"}), frozenset({"a", "b"}), True, True),
        (frozenset({"a", "c"}), frozenset({"a", "b"}), False, True),
        (frozenset({"c"}), frozenset({"a", "b"}), False, False),
        (frozenset({"c"}), frozenset(), False, False),
        (frozenset({"c"}), Anything(), True, True),
    ],
)
def test_how_a_value_lies_in_what_is_allowed(
    value: Interval | frozenset, allowed: Interval | frozenset | Anything, inside: bool, touching: bool
) -> None:
    assert lies_within(value, allowed) is inside
    assert touches(value, allowed) is touching


@pytest.mark.parametrize("compare", [lies_within, touches])
@pytest.mark.parametrize("allowed", [frozenset({"a"}), Undetermined(("x",))])
def test_unlike_shapes_are_never_compared(compare: object, allowed: object) -> None:
    with pytest.raises(TypeError, match="cannot hold"):
        compare(Interval.point(D(1)), allowed)  # type: ignore[operator]
