"""Coupons proposed for a weld: each would cover it, by the same engine, under the edition asked."""

from __future__ import annotations

import pytest

from qualification.rules.coverage import coverage
from qualification.rules.findings import Verdict
from qualification.rules.planning import coupons_that_would_cover
from qualification.rules.tables import Edition, edition
from tests.rules.case_files import Case, base_case, bases

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


@pytest.mark.parametrize(("name", "positions"), [("d12_6061_gmaw", {"2G"}), ("d12_5083_gtaw", {"3G"}), ("d12w_plate", {"3G"})])
def test_where_positions_bind_the_coupon_says_in_which_it_is_welded(name: str, positions: set[str]) -> None:
    case, made = of(name)
    first = coupons_that_would_cover(case.weld, made, case.side, "us")[0]
    assert first.coupon.weld.joint["test_position"] == frozenset(positions)
    assert f"in {positions.copy().pop()}" in first.sentence


def test_where_positions_do_not_bind_the_coupon_names_none() -> None:
    name = next(n for n in bases() if bases()[n].get("edition", "asme_ix_2023") == "asme_ix_2023" and bases()[n]["side"] == "procedure")
    case, made = of(name)
    proposals = coupons_that_would_cover(case.weld, made, case.side, "us")
    assert all(not p.coupon.weld.joint.given("test_position") for p in proposals)
