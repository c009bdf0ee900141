"""The cheapest coupons: as enumerated, never dearer than going for most at a time, and each as the engine
says."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.plan.cheapest import _greedy, cheapest, covered_by
from qualification.rules.plan.costs import Rates, bill
from qualification.rules.plan.coupons import (
    Codes,
    CoverageGap,
    _Offers,
    plan_coupons,
)
from qualification.rules.plan.pairs import Pair
from qualification.rules.ranges.coverage import coverage
from tests.rules.plan.asked import cover_gap
from tests.rules.readers.case_files import base_case

GAPS = 6
OFFERS = st.lists(
    st.tuples(st.integers(1, 9), st.sets(st.integers(0, GAPS - 1), min_size=1).map(frozenset)),
    min_size=1,
    max_size=8,
)


def _enumerated(costs: list[int], covers: list[frozenset[int]]) -> tuple[int, int]:
    """Least cost, and the fewest things for it, over every choice there is."""
    reachable = frozenset[int]().union(*covers)
    return min(
        (sum(costs[n] for n in some), len(some))
        for size in range(len(costs) + 1)
        for some in combinations(range(len(costs)), size)
        if frozenset[int]().union(*(covers[n] for n in some)) == reachable
    )


@settings(max_examples=150, deadline=None)
@given(OFFERS)
def test_the_choice_is_the_cheapest_of_all_there_are(offers: list[tuple[int, frozenset[int]]]) -> None:
    costs, covers = [cost for cost, _ in offers], [covered for _, covered in offers]
    found = cheapest(costs, covers, GAPS)
    assert (found.cost, len(found.taken)) == _enumerated(costs, covers)
    assert found.is_proven
    assert found.gap_percent == 0
    assert set(found.gaps_open) == set(range(GAPS)) - frozenset().union(*covers)


PAIRS = st.lists(
    st.tuples(
        st.integers(0, 7), st.integers(0, 7), st.sets(st.integers(0, GAPS - 1), min_size=1).map(frozenset)
    ),
    max_size=4,
)


@settings(max_examples=60, deadline=None)
@given(OFFERS, PAIRS)
def test_with_pairs_the_choice_is_the_cheapest_of_all_there_are(
    offers: list[tuple[int, frozenset[int]]], paired: list[tuple[int, int, frozenset[int]]]
) -> None:
    costs, covers = [cost for cost, _ in offers], [covered for _, covered in offers]
    pairs = [Pair(a, b, gaps) for a, b, gaps in paired if a < b < len(offers)]
    reachable = covered_by(range(len(costs)), covers, pairs)
    least = min(
        (sum(costs[n] for n in some), len(some))
        for size in range(len(costs) + 1)
        for some in combinations(range(len(costs)), size)
        if covered_by(some, covers, pairs) == reachable
    )
    found = cheapest(costs, covers, GAPS, pairs=pairs)
    assert (found.cost, len(found.taken)) == least
    assert covered_by(found.taken, covers, pairs) == reachable
    assert set(found.gaps_open) == set(range(GAPS)) - reachable


def test_two_coupons_cover_a_range_of_thickness_that_none_covers_alone() -> None:
    """Section IX: a coupon qualifies up to twice its thickness and down to 3/16 in or its own (QW-451.1), so
    3 to 60 mm takes a thin one and a thick one."""
    made = edition("asme_ix_2023")
    (gap,) = _gaps("al_gmaw", (Side.PROCEDURE,), ["10"], ["flat"])
    size = Interval(Decimal(3), Decimal(60))
    joint = gap.weld.joint.including({"thickness_a": size, "thickness_b": size})
    lines = tuple(line.including({"deposit_thickness": size}) for line in gap.weld.lines)
    wide, codes = replace(gap, weld=Weld(joint, lines)), Codes(made, made)
    found = plan_coupons([wide], codes, Rates())
    assert found.open_gaps == ()
    thick, thin = found.chosen
    assert (thick.offer.covers, thin.offer.covers) == (frozenset(), frozenset())
    assert thick.together[0] == (thin.offer, frozenset({0}))
    assert thick.only_it == thin.only_it == thick.buys == frozenset({0})
    both = (thick.offer.coupon, thin.offer.coupon)
    assert cover_gap(both, wide, codes)
    assert not any(cover_gap([each], wide, codes) for each in both)
    assert coverage(
        wide.weld, [replace(c, record=str(n)) for n, c in enumerate(both)], made, Side.PROCEDURE
    ).verdict <= (Verdict.COVERED)
    assert found.choice.cost == thick.offer.bill.cents + thin.offer.bill.cents


def test_nothing_to_cover_takes_nothing() -> None:
    assert cheapest([], [], 0).taken == ()
    assert cheapest([5], [frozenset()], 2).gaps_open == (0, 1)


def test_where_time_runs_out_the_choice_says_how_far_it_may_be_off() -> None:
    """A large cover with no time for it: whole, no dearer than greedy, and with a bound below its cost."""
    covers = [frozenset((n * k + n * n) % 211 for k in range(1, 14)) for n in range(1, 400)]
    costs = [700 + (n * 37) % 300 for n in range(1, 400)]
    found = cheapest(costs, covers, 211, seconds=0.01)
    reachable = frozenset[int]().union(*covers)
    assert frozenset[int]().union(*(covers[n] for n in found.taken)) == reachable
    greedy = _greedy(costs, covers, range(len(costs)), reachable)
    assert found.cost <= sum(costs[n] for n in greedy)
    assert 0 <= found.bound <= found.cost
    assert (found.gap_percent > 0) is not found.is_proven


def _gaps(name: str, sides: tuple[Side, ...], sizes: list[str], positions: list[str]) -> list[CoverageGap]:
    weld = base_case(name).weld
    return [
        CoverageGap(
            Weld(
                weld.joint.including(
                    {
                        "thickness_a": Interval.point(Decimal(size)),
                        "thickness_b": Interval.point(Decimal(size)),
                        "position": frozenset({position}),
                    }
                ),
                tuple(
                    line.including({"deposit_thickness": Interval.point(Decimal(size))})
                    for line in weld.lines
                ),
            ),
            0,
            side,
            (f"{size} {position} {side.value}",),
            "us",
        )
        for size in sizes
        for position in positions
        for side in sides
    ]


@pytest.mark.parametrize(
    ("name", "code", "sides"),
    [
        ("gmaw_al_plate", "asme_ix_2023", (Side.WELDER,)),
        ("al_gmaw", "asme_ix_2023", (Side.PROCEDURE, Side.WELDER)),
        ("d12_6061_gmaw", "aws_d1_2_2014", (Side.PROCEDURE,)),
    ],
)
def test_each_coupon_of_a_plan_covers_what_it_says(name: str, code: str, sides: tuple[Side, ...]) -> None:
    made = edition(code)
    gaps = _gaps(name, sides, ["3", "10", "25"], ["flat", "vertical"])
    codes = Codes(made, made)
    found = plan_coupons(gaps, codes, Rates())
    assert found.choice.is_proven
    assert found.chosen
    covered: set[int] = set()
    for each in found.chosen:
        coupon = each.offer.coupon
        assert not contradictions(coupon.weld, coupon.system)
        for n in each.offer.covers:
            assert cover_gap([coupon], gaps[n], codes)
            alone = coverage(gaps[n].weld, [coupon], made, gaps[n].side)
            assert alone.verdict <= Verdict.COVERED
        assert each.only_it <= each.offer.covers
        covered |= each.offer.covers
        for other in each.instead:
            assert each.only_it <= other.covers
    assert covered == set(range(len(gaps))) - set(found.choice.gaps_open)
    assert found.choice.cost == sum(each.offer.bill.cents for each in found.chosen) <= found.one_by_one[1]


def test_a_procedure_test_counts_for_its_welder_under_one_code_only() -> None:
    asme, other = edition("asme_ix_2023"), edition("aws_d1_2_2014")
    gaps = _gaps("al_gmaw", (Side.PROCEDURE, Side.WELDER), ["10"], ["flat"])
    together = plan_coupons(gaps, Codes(asme, asme), Rates())
    assert len(together.chosen) == 1
    assert together.chosen[0].offer.side is Side.PROCEDURE
    apart = plan_coupons(gaps, Codes(asme, other), Rates())
    assert {each.offer.side for each in apart.chosen} <= set(Side)
    assert all(len({gaps[n].side for n in each.offer.covers}) == 1 for each in apart.chosen)


def test_a_bill_counts_what_the_code_asks_and_follows_the_rates() -> None:
    """Of a groove test of a procedure under Section IX two tensions and four bends are cut (QW-451.1)."""
    case, made = base_case("al_gmaw"), edition("asme_ix_2023")
    coupon = case.coupons[0]
    first = bill(coupon, made, Side.PROCEDURE, Rates())
    counted = {kind.value: number for kind, number in first.specimens}
    assert counted["tension"] == 2
    assert sum(number for kind, number in counted.items() if "bend" in kind) == 4
    assert first.total == sum(money for _, money in first.parts).quantize(Decimal("0.01"))
    dearer = bill(coupon, made, Side.PROCEDURE, Rates(tension=Decimal(160)))
    assert dearer.cents - first.cents == 2 * 100 * 100


def test_no_choice_among_the_coupons_offered_is_cheaper_than_the_plan() -> None:
    made = edition("asme_ix_2023")
    gaps = _gaps("al_gmaw", (Side.PROCEDURE, Side.WELDER), ["3", "25"], ["flat", "vertical"])
    codes = Codes(made, made)
    offers = _Offers(tuple(gaps), codes, Rates()).all()
    offers = sorted(offers, key=lambda o: -len(o.covers))[:14]
    costs, covers = [o.bill.cents for o in offers], [o.covers for o in offers]
    assert cheapest(costs, covers, len(gaps)).cost == _enumerated(costs, covers)[0]
    assert plan_coupons(gaps, codes, Rates()).choice.cost <= _enumerated(costs, covers)[0]
