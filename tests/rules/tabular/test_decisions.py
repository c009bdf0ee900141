"""Decisions by the code answer findings without a rule and nothing else, one by one and many at once."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from qualification.rules.core.facts import Side
from qualification.rules.core.findings import LineReport, Provenance, Verdict
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.at_once import answers_at_once
from qualification.rules.ranges.coverage import cover_whole
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.tabular.decisions import Decision, exact, question_of
from tests.rules.readers.case_files import Case, cases

DAY = date(2031, 3, 4)
SOME = [
    ("aws_d1_2_2014", Side.PROCEDURE),
    ("aws_d1_2_2014", Side.WELDER),
    ("iso_15614_2_2005", Side.PROCEDURE),
]


def _asked(case: Case, key: str) -> tuple[list[TestRange], list[tuple[LineReport, list[Decision]]]]:
    """The ranges of a case, and for each line an answer “covered” to whatever has no rule."""
    made = edition(key)
    whole = derive(group(case.weld, made))
    ranges = [range_qualified(coupon, made, case.side) for coupon in case.coupons]
    answers = []
    for line in cover_whole(whole, ranges, made, case.side).lines:
        facts = whole.line_facts(line.line)
        answers.append(
            (
                line,
                [
                    Decision(
                        question_of(f, facts, case.side), True, "9", "copy", "So.", "Tobias", date(2031, 3, 4)
                    )
                    for f in line.findings
                    if f.verdict is Verdict.NO_RULE
                ],
            )
        )
    return ranges, answers


@pytest.mark.parametrize(("key", "side"), SOME)
def test_they_change_what_has_no_rule_and_nothing_else(key: str, side: Side) -> None:
    answered = 0
    for case in (c for c in cases(key) if c.side is side):
        ranges, answers = _asked(case, key)
        made = edition(key).with_decisions([d for _, decisions in answers for d in decisions])
        report = cover_whole(derive(group(case.weld, made)), ranges, made, side)
        for (before, decisions), after in zip(answers, report.lines, strict=True):
            if before.relied_on != after.relied_on or len(before.relied_on) > 1:
                continue
            for was, now in zip(before.findings, after.findings, strict=True):
                if was.verdict is Verdict.NO_RULE:
                    answered += 1
                    assert now.verdict is Verdict.COVERED
                    assert now.citation.provenance is Provenance.SHOP
                else:
                    assert now == was
            worst = max((f.verdict for f in before.findings if f.binds), default=Verdict.UNKNOWN)
            if worst is not Verdict.NO_RULE:
                assert after.verdict == before.verdict
            elif decisions:
                assert after.verdict is Verdict.COVERED
    assert answered


@pytest.mark.parametrize(("key", "side"), SOME)
def test_many_at_once_know_them_too(key: str, side: Side) -> None:
    own = [c for c in cases(key) if c.side is side]
    found = [_asked(case, key) for case in own]
    decisions = [d for _, answers in found for _, made in answers for d in made][::2]
    made = edition(key).with_decisions(decisions)
    wholes = [derive(group(case.weld, made)) for case in own[::3]]
    sets = [ranges for ranges, _ in found][::12] + [found[0][0] + found[-1][0]]
    welds = answers_at_once(wholes, sets, made, side).welds
    for number, whole in enumerate(wholes):
        for at, ranges in enumerate(sets):
            assert welds[number, at] == cover_whole(whole, ranges, made, side).verdict


ENDS = st.one_of(st.none(), st.decimals(-1000, 1000, places=4))
INTERVALS = st.tuples(ENDS, ENDS, st.booleans(), st.booleans())


@given(INTERVALS, INTERVALS)
def test_exact_text_is_equal_exactly_where_the_value_is(
    one: tuple[Decimal | None, Decimal | None, bool, bool],
    two: tuple[Decimal | None, Decimal | None, bool, bool],
) -> None:
    for low, high, *_ in (one, two):
        assume(low is None or high is None or low <= high)
    first, second = Interval(*one), Interval(*two)
    assert (exact(first) == exact(second)) == (first == second)
