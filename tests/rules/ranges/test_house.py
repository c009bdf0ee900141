"""House limits narrow and never widen, and say whose they are."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.core.findings import Provenance, Report, Verdict
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries import answer_words
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.house import HouseLimit, narrowed
from tests.rules.readers.case_files import base_case, bases

IX = "asme_ix_2023"
INTERPASS = HouseLimit(
    "customer Port Ellery", "interpass_max", Interval(None, Decimal(150)), "Purchase order 7, note 3."
)
NO_SHORT = HouseLimit(
    "Tidewater Gangway Works",
    "transfer_mode",
    frozenset({"spray", "pulsed_spray"}),
    "The shop welds no short-circuiting arc.",
    frozenset({"GMAW"}),
)


def _report(name: str, *limits: HouseLimit, **entries: object) -> Report:
    case = base_case(name)
    weld = case.weld
    if entries:
        weld = type(weld)(weld.joint.including(entries), weld.lines, weld.name)  # type: ignore[arg-type]
    made = edition(IX)
    return narrowed(coverage(weld, case.coupons, made, case.side), weld, limits, made)


@pytest.mark.parametrize(
    ("degrees", "verdict"),
    [("150", Verdict.COVERED), ("149", Verdict.COVERED), ("150.1", Verdict.NOT_COVERED)],
)
def test_a_limit_counts_on_inside_and_outside(degrees: str, verdict: Verdict) -> None:
    report = _report("steel_smaw", INTERPASS, interpass_max=Interval.point(Decimal(degrees)))
    assert report.verdict is verdict


def test_a_finding_names_whose_limit_it_is() -> None:
    report = _report("steel_smaw", INTERPASS, interpass_max=Interval.point(Decimal(300)))
    (finding,) = report.obstacles
    row = answer_words.row_of_finding(finding, "us")
    assert row.clause == "Limit of customer Port Ellery"
    assert row.because == "Purchase order 7, note 3."
    assert finding.citation.provenance is Provenance.SHOP


def test_what_a_limit_needs_and_the_weld_leaves_out_is_unknown() -> None:
    assert _report("steel_smaw", INTERPASS).verdict is Verdict.UNKNOWN


def test_a_limit_on_one_process_leaves_the_others_alone() -> None:
    assert _report("steel_smaw", NO_SHORT).verdict is Verdict.COVERED


def test_a_limit_never_makes_a_weld_covered_that_the_code_does_not_cover() -> None:
    wide = HouseLimit("the shop", "thickness_thicker", Interval(None, None), "As thick as you like.")
    report = _report(
        "steel_smaw", wide, thickness_a=Interval.point(Decimal(450)), thickness_b=Interval.point(Decimal(450))
    )
    assert report.verdict is Verdict.NOT_COVERED


@pytest.mark.parametrize("name", sorted(n for n, b in bases().items() if b.get("edition", IX) == IX))
def test_no_limit_improves_any_verdict(name: str) -> None:
    case = base_case(name)
    made = edition(IX)
    plain = coverage(case.weld, case.coupons, made, case.side)
    assert case.side in (Side.PROCEDURE, Side.WELDER)
    for limit in (INTERPASS, NO_SHORT):
        assert narrowed(plain, case.weld, [limit], made).verdict >= plain.verdict
