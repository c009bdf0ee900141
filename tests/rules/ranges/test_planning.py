"""Coupons proposed for a weld: each would cover it, by the same engine, under the edition asked."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qualification.rules.core.facts import Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.gases import read_gas
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.house import HouseLimit, is_welded_outside
from qualification.rules.ranges.planning import Proposal, coupons_that_would_cover
from qualification.rules.tabular.edition import Edition
from tests.rules.readers.case_files import Case, base_case, bases

PROPOSED = ("smaw_plate_open", "d12w_plate", "d12w_pipe", "d12_6061_gmaw", "d12_5083_gtaw")


def of(name: str) -> tuple[Case, Edition]:
    return base_case(name), edition(bases()[name].get("edition", "asme_ix_2023"))


@pytest.mark.parametrize("name", PROPOSED)
def test_a_coupon_is_proposed_and_would_cover_the_weld(name: str) -> None:
    case, made = of(name)
    proposals = coupons_that_would_cover(case.weld, made, case.side, "us")
    assert proposals
    for proposal in proposals:
        assert coverage(case.weld, [proposal.coupon], made, case.side).verdict is Verdict.COVERED


@pytest.mark.parametrize(
    ("name", "positions"), [("d12_6061_gmaw", {"2G"}), ("d12_5083_gtaw", {"3G"}), ("d12w_plate", {"3G"})]
)
def test_where_positions_bind_the_coupon_says_in_which_it_is_welded(name: str, positions: set[str]) -> None:
    case, made = of(name)
    first = coupons_that_would_cover(case.weld, made, case.side, "us")[0]
    assert first.coupon.weld.joint["test_position"] == frozenset(positions)
    assert f"in {positions.copy().pop()}" in first.sentence


def test_where_positions_do_not_bind_the_coupon_names_none() -> None:
    name = next(
        n
        for n in bases()
        if bases()[n].get("edition", "asme_ix_2023") == "asme_ix_2023" and bases()[n]["side"] == "procedure"
    )
    case, made = of(name)
    proposals = coupons_that_would_cover(case.weld, made, case.side, "us")
    assert all(not p.coupon.weld.joint.given("test_position") for p in proposals)


def _within(name: str, *limits: HouseLimit, **line: frozenset[str]) -> tuple[Proposal, ...]:
    case = base_case(name)
    weld = Weld(case.weld.joint, tuple(each.including(line) for each in case.weld.lines))
    return coupons_that_would_cover(weld, edition("asme_ix_2023"), case.side, "us", house=limits)


def _limit(variable: str, *allowed: str) -> HouseLimit:
    return HouseLimit("customer Port Ellery", variable, frozenset(allowed), "Purchase order 7, note 3.")


def test_no_coupon_is_proposed_for_a_weld_outside_a_limit() -> None:
    """Worked by us, inside, on and outside the list."""
    name, spray = "gmaw_al_plate", frozenset({"spray"})
    assert _within(name, transfer_mode=spray) == _within(
        name, _limit("transfer_mode", "spray", "pulsed_spray"), transfer_mode=spray
    )
    assert (
        _within(name, transfer_mode=spray)
        == _within(name, _limit("transfer_mode", "spray"), transfer_mode=spray)
        != ()
    )
    assert _within(name, _limit("transfer_mode", "pulsed_spray"), transfer_mode=spray) == ()


def test_no_coupon_is_proposed_that_would_be_welded_as_a_limit_forbids() -> None:
    """A weld that leaves its backing gas open is proposed without any; where the customer wants argon behind
    every weld, that coupon is not proposed either. How thick a coupon may be, no limit on the work says."""
    weld, made, argon = (
        base_case("gmaw_al_plate").weld,
        edition("asme_ix_2023"),
        _limit("backing_gas", read_gas("100Ar")),
    )
    assert is_welded_outside(
        Weld(weld.joint, (weld.lines[0].including({"backing_gas": frozenset({"none"})}),)), [argon], made
    )
    assert not is_welded_outside(
        Weld(weld.joint, (weld.lines[0].including({"backing_gas": frozenset({read_gas("100Ar")})}),)),
        [argon],
        made,
    )
    thin = HouseLimit("the shop", "thickness_thicker", Interval(None, Decimal(1)), "Sheet only.")
    assert not is_welded_outside(weld, [thin], made)
