"""Every row is asked, and what each said is what the range and the report rest on."""

from __future__ import annotations

from dataclasses import replace

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import MISSING
from qualification.rules.editions.loader import edition
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.every_row import Answer, AskedRow, every_row
from qualification.rules.ranges.every_row_words import say_row
from qualification.rules.ranges.ranges import range_qualified
from tests.rules.readers.case_files import base_case, bases

BASES = ("d12_6061_gmaw", "d11_saw", "iso2_gtaw", "st_135_plate", "al_141_pipe")


def row_of(name: str, variable: str, answer: Answer, line: int = 0) -> AskedRow:
    case, made = base_case(name), edition(bases()[name]["edition"])
    rows = every_row(case.coupons[0], made, case.side, case.weld)[line].rows
    return next(each for each in rows if (each.row.variable, each.answer) == (variable, answer))


@pytest.mark.parametrize("name", BASES)
def test_no_row_is_left_out_and_no_limit_is_added(name: str) -> None:
    case, made = base_case(name), edition(bases()[name]["edition"])
    (coupon,) = case.coupons
    rows = made.procedure if case.side is Side.PROCEDURE else made.welder
    lines = every_row(coupon, made, case.side)
    ranged = range_qualified(coupon, made, case.side).lines
    assert [line.process for line in lines] == [line.process for line in ranged]
    for asked, line in zip(lines, ranged, strict=True):
        assert tuple(each.row for each in asked.rows) == rows
        limits = [held.limit for each in asked.rows for held in each.held]
        assert limits == list(line.limits)[: len(limits)]
        # Beside the rows stands only what no row says of special welds.
        assert {limit.variable for limit in line.limits[len(limits) :]} <= {"weld_type"}


@pytest.mark.parametrize("name", BASES)
def test_findings_of_the_rows_are_those_of_the_report(name: str) -> None:
    case, made = base_case(name), edition(bases()[name]["edition"])
    report = coverage(case.weld, case.coupons, made, case.side)
    found = [
        held.finding
        for line in every_row(case.coupons[0], made, case.side, case.weld)
        for each in line.rows
        for held in each.held
    ]
    reported = [finding for line in report.lines for finding in line.findings]
    # The report names the special welds an edition has no rule for beside its rows.
    assert [f for f in found if f and f.variable != "weld_type"] == [
        f for f in reported if f.variable != "weld_type"
    ]


def test_a_row_that_did_not_speak_says_which_condition_kept_it() -> None:
    """Rows of D1.2 on fillets, asked about a groove: from the tables themselves."""
    unmet = row_of("d12_6061_gmaw", "thickness_thinner", Answer.NOT_MET)
    assert "weld_type" in {condition.variable for condition in unmet.conditions}
    assert "Speaks only of a test with weld type: fillet" in say_row(unmet, "us").words[0]
    other = row_of("d12_6061_gmaw", "filler_used", Answer.OTHER_PROCESS)
    assert say_row(other, "us").words == ("Speaks of GTAW only.",)


def test_a_row_that_spoke_says_how_the_weld_stands_to_it() -> None:
    spoke = say_row(row_of("d12_6061_gmaw", "filler_classification", Answer.SPOKE), "us")
    assert (spoke.key, spoke.verdict) == ("spoke", Verdict.COVERED.key)
    assert spoke.words == ("Filler classification: ER5356; the weld: ER5356.",)
    silent = say_row(row_of("d12_6061_gmaw", "product_form", Answer.SPOKE), "us")
    assert (silent.key, silent.verdict, silent.is_encoded) == ("silent", "", True)


def test_a_row_that_waits_names_what_the_test_leaves_out() -> None:
    case, made = base_case("d12_6061_gmaw"), edition("aws_d1_2_2014")
    (coupon,) = case.coupons
    joint = coupon.weld.joint.including({"weld_type": MISSING})
    (line,) = every_row(replace(coupon, weld=replace(coupon.weld, joint=joint)), made, case.side)
    waiting = [each for each in line.rows if each.answer is Answer.OPEN]
    assert waiting
    assert {c.variable for each in waiting for c in each.conditions} == {"weld_type"}
