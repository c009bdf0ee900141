"""Retests of welders and procedures: the tables behind them, and what a failed record says of one."""

from __future__ import annotations

import copy
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import build, edition, editions, shipped_files
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.outcome import judge
from qualification.rules.testing.outcome_parts import Overall
from qualification.rules.testing.outcome_words import outcome_content
from qualification.rules.testing.specimens import tables_of
from tests.rules.readers.outcome_cases import OutcomeCase, outcome_cases

D12 = "aws_d1_2_2014"


def case(title: str, name: str = D12) -> OutcomeCase:
    return next(each for each in outcome_cases(name) if each.name == f"retest: {title}")


def changed(name: str, **row: Any) -> dict[str, Any]:
    files = copy.deepcopy(dict(shipped_files(name)))
    files["specimens.toml"]["retest"][0] |= row
    return files


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ({"coupons": 0}, "gives the coupons of a retest"),
        ({"for_each": 2}, "gives the coupons of a retest"),
        ({"retest": "trained"}, "another row"),
        ({"retest": "coupon"}, "no retest of that side"),
        ({"side": "procedure"}, "no retest of that side"),
        ({"side": "procedure", "retest": "specimens"}, "further specimens how many for each"),
    ],
)
def test_a_row_that_asks_for_nothing_or_says_the_same_is_refused(row: dict[str, Any], why: str) -> None:
    with pytest.raises(TableError, match=why):
        build(D12, changed(D12, **row), like=edition(D12))


def test_three_coupons_take_three_of_each_specimen() -> None:
    failing = case("d12_welder: a retest at once with two coupons that pass")
    made = build(D12, changed(D12, coupons=3), like=edition(D12))
    outcome = judge(failing.coupon, failing.results, made, failing.side, failing.particulars)
    assert outcome.overall is Overall.INCOMPLETE
    assert [each.words for each in outcome.requirements.requirements] == [
        "3 visual examinations",
        "3 face bends and 3 root bends, or 3 radiographs",
    ]


def test_a_failed_record_says_what_a_retest_takes_and_one_that_passed_does_not() -> None:
    failed, passed = (
        case("d12_welder: one of two coupons fails"),
        case("d12_welder: a retest at once with two coupons that pass"),
    )
    said = [
        outcome_content(judge(c.coupon, c.results, edition(D12), c.side, c.particulars), c.coupon.system)[
            "retests"
        ]
        for c in (failed, passed)
    ]
    assert ["at once" in said[0][0], "more training" in said[0][1]] == [True, True]
    assert all("(AWS D1.2" in line for line in said[0])
    assert said[1] == []


@pytest.mark.parametrize("name", [n for n in editions() if edition(n).welder and edition(n).has("specimens")])
def test_an_edition_has_both_retests_or_none(name: str) -> None:
    kinds = {row.retest for row in tables_of(edition(name)).retests if row.side == "welder"}
    assert kinds in ({"immediate", "trained"}, set())


@pytest.mark.parametrize(
    "name", [n for n in editions() if edition(n).procedure and edition(n).has("specimens")]
)
def test_an_edition_has_both_retests_of_a_procedure_or_none(name: str) -> None:
    kinds = {row.retest for row in tables_of(edition(name)).retests if row.side == "procedure"}
    assert kinds in ({"coupon", "specimens"}, set())


def test_a_failed_procedure_says_what_takes_the_place_of_what_failed() -> None:
    failed = next(
        each
        for each in outcome_cases(D12)
        if each.name == "repeat: d12_procedure_side: one of the further specimens fails"
    )
    said = outcome_content(
        judge(failed.coupon, failed.results, edition(D12), Side.PROCEDURE, failed.particulars), "us"
    )["retests"]
    assert ["two further specimens" in said[0], "Another coupon" in said[1]] == [True, True]


@pytest.mark.parametrize("number", [1, 2, 4])
@pytest.mark.parametrize("for_each", [1, 2, 3])
def test_each_specimen_that_failed_is_replaced_by_so_many(number: int, for_each: int) -> None:
    """What passed and what follows, together: 4 - n + n times so many."""
    whole = next(
        each
        for each in outcome_cases(D12)
        if each.name == "repeat: d12_procedure_side: 2 further specimens for one that failed"
    )
    files = copy.deepcopy(dict(shipped_files(D12)))
    for row in files["specimens.toml"]["retest"]:
        if row["retest"] == "specimens":
            row["for_each"] = for_each
    made = build(D12, files, like=edition(D12))
    joint = whole.coupon.weld.joint.including({"repeat_failed": Interval.point(Decimal(number))})
    coupon = replace(whole.coupon, weld=replace(whole.coupon.weld, joint=joint))
    outcome = judge(coupon, whole.results, made, Side.PROCEDURE, whole.particulars)
    words = [each.words for each in outcome.requirements.requirements]
    assert f"{4 - number + number * for_each} side bends" in words
    assert "2 tension tests" in words
