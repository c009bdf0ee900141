"""What holds of all outcomes of tests together. That each case under `cases/testing/` comes out as stated is
asked in `test_mutations.py`, of the tables as they are and with each change of them."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import edition
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.testing.acceptance.check import ResultMark
from qualification.rules.testing.outcome import checks_of, judge, refusals
from qualification.rules.testing.outcome_parts import Overall, RequirementStatus
from qualification.rules.testing.results import Bend, Opening, ResultKind
from qualification.rules.testing.specimens import tables_of
from tests.rules.readers.outcome_cases import OutcomeCase, outcome_bases, outcome_cases

IX = "asme_ix_2023"


def base(name: str) -> OutcomeCase:
    return next(case for case in outcome_cases(IX) if case.name == f"bases: base {name}")


def test_there_are_enough_cases_in_both_unit_systems_and_each_names_its_source() -> None:
    listed = outcome_cases(IX)
    assert len(listed) >= 60
    assert min(Counter(case.coupon.system for case in listed).values()) >= 60
    assert {case.side for case in listed} == set(Side)
    known = edition(IX).sources
    for case in listed:
        plain = case.source in ("worked by us", "common practice", "memory")
        named = re.fullmatch(r"published: (.+)", case.source)
        assert plain or (named and named[1] in known), f"{case.name}: {case.source!r}"


@pytest.mark.parametrize(
    "name", sorted(name for name, body in outcome_bases().items() if body["edition"] == IX)
)
def test_leaving_out_any_result_leaves_the_record_incomplete(name: str) -> None:
    """Nothing a base holds is there for show: without any one of its results it issues no range."""
    case = base(name)
    for index in range(len(case.results)):
        kept = case.results[:index] + case.results[index + 1 :]
        outcome = judge(case.coupon, kept, edition(IX), case.side, case.particulars)
        assert outcome.overall is Overall.INCOMPLETE
        assert refusals(outcome)


def test_the_order_of_results_does_not_matter() -> None:
    case = base("procedure_aluminium")
    for pair in combinations(range(len(case.results)), 2):
        swapped = list(case.results)
        swapped[pair[0]], swapped[pair[1]] = swapped[pair[1]], swapped[pair[0]]
        assert judge(case.coupon, swapped, edition(IX), case.side).overall is Overall.PASSED


def test_a_record_without_its_tests_qualifies_nothing() -> None:
    case = base("procedure_aluminium")
    outcome = judge(case.coupon, (), edition(IX), case.side)
    refused = replace(case.coupon, refusals=refusals(outcome))
    assert len(refused.refusals) == 2
    assert range_qualified(refused, edition(IX), Side.PROCEDURE).lines == ()
    report = coverage(case.coupon.weld, [refused], edition(IX), Side.PROCEDURE)
    assert report.verdict > Verdict.COVERED


def test_each_line_says_its_numbers_and_its_clause() -> None:
    case = base("procedure_aluminium")
    outcome = judge(case.coupon, case.results, edition(IX), case.side)
    assert [line.standing for line in outcome.lines] == [RequirementStatus.PASSED, RequirementStatus.PASSED]
    tension = outcome.lines[0]
    assert tension.citation is not None
    assert tension.citation.clause == "QW-451.1"
    strength = next(c for c in tension.judged[0].checks if c.answer.limit)
    assert (strength.answer.found, strength.answer.limit) == ("26400 psi", "24000 psi")
    assert strength.citation.clause.startswith("QW-153.1")


def test_a_misfit_names_the_result_the_field_and_what_to_do() -> None:
    case = next(c for c in outcome_cases(IX) if c.name == "bends: 6061 over 2-1/16 in [FB1] [outside: 2-1/8]")
    outcome = judge(case.coupon, case.results, edition(IX), case.side)
    (misfit,) = outcome.misfits
    assert (misfit.index, misfit.field) == (2, "former")
    assert (
        misfit.message == "Face bend FB1: It was bent over a former of 2 1/8 in; at most 2 1/16 in is asked."
    )


def test_a_length_a_hair_over_its_limit_does_not_read_like_the_limit() -> None:
    case = base("procedure_aluminium")
    bend = case.results[2]
    assert isinstance(bend, Bend)
    over = replace(bend, openings=(Opening(Decimal("0.12500001") * Decimal("25.4")),))
    outcome = judge(case.coupon, [*case.results[:2], over, *case.results[3:]], edition(IX), case.side)
    (line,) = [line for line in outcome.lines if line.standing is RequirementStatus.FAILED]
    assert "opened 0.12500001 in, more than 1/8 in" in line.sentence


def test_refusals_are_sentences_for_people() -> None:
    for case in outcome_cases(IX):
        outcome = judge(case.coupon, case.results, edition(IX), case.side, case.particulars)
        for sentence in refusals(outcome):
            assert sentence[0].isupper(), sentence
            assert sentence.endswith("."), sentence
            assert not re.search(r"\b(None(?! of it)|Decimal|please|sorry|invalid)\b|  ", sentence), sentence


def test_every_kind_a_coupon_takes_is_looked_at_on_either_side() -> None:
    made = edition(IX)
    rows, tables = checks_of(made), tables_of(made)
    taken = {kind for row in tables.tests for counts in row.any_of for kind in counts}
    taken |= {kind for row in (*tables.extras, *tables.volumetric) for kind in row.kinds}
    assert taken == set(ResultKind) - {ResultKind.PENETRANT, ResultKind.MAGNETIC, ResultKind.HARDNESS}
    for side in Side:
        for kind in taken:
            assert any(kind in row.kinds and row.side in (None, side.value) for row in rows), (side, kind)


def test_marks_are_ordered_from_good_to_bad() -> None:
    assert sorted(ResultMark) == [
        ResultMark.PASSED,
        ResultMark.NOT_COUNTED,
        ResultMark.INCOMPLETE,
        ResultMark.FAILED,
    ]


def test_a_coupon_without_a_line_is_not_taken_for_volumetrically_tested() -> None:
    case = base("welder_steel_radiograph")
    bare = Coupon("T1", replace(case.coupon.weld, lines=()), case.coupon.system)
    assert judge(bare, case.results, edition(IX), case.side).overall is Overall.INCOMPLETE
