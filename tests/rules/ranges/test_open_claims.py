"""A procedure may claim a bound or everything; the answer is then never better than for a number within."""

from __future__ import annotations

import pytest

from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.planning import coupons_that_would_cover
from qualification.rules.ranges.prequalified import answer_for, has_prequalified
from qualification.rules.variables.definition import Level, RecordKind, ValueKind
from qualification.rules.variables.registry import registry, variables_for
from tests.rules.readers.case_files import base_case, bases

PROCEDURES = {
    made.get("edition", "asme_ix_2023"): name for name, made in bases().items() if made["side"] == "procedure"
}


def _with(weld: Weld, key: str, typed: str) -> Weld:
    """The weld with one entry read anew."""
    if registry()[key].level is Level.JOINT:
        read = read_weld({key: typed}, [], RecordKind.SPEC, "us")
        assert read.problems == ()
        return Weld(weld.joint.including(read.weld.joint), weld.lines, weld.name)
    read = read_weld({}, [{key: typed}], RecordKind.SPEC, "us")
    assert read.problems == ()
    return Weld(weld.joint, tuple(line.including(read.weld.lines[0]) for line in weld.lines), weld.name)


@pytest.mark.parametrize(("name", "base"), sorted(PROCEDURES.items()))
def test_a_bound_is_judged_and_never_covered_where_its_end_is_not(name: str, base: str) -> None:
    made, case = edition(name), base_case(base)
    judged = 0
    for definition in (
        v for level in Level for v in variables_for(RecordKind.SPEC, level, speaks=made.speaks)
    ):
        value = case.weld.line_facts(0)[definition.key]
        if (
            definition.kind is not ValueKind.NUMBER
            or RecordKind.SPEC not in definition.many
            or not isinstance(value, Interval)
            or value.high is None
        ):
            continue
        key, words = definition.key, show_both(Interval.point(value.high), str(definition.dimension), "us")
        number = words.split(" (")[0] + (" OD" if definition.key == "diameter" else "")
        at_the_end = coverage(_with(case.weld, key, number), case.coupons, made, Side.PROCEDURE).verdict
        for typed in (f"≤ {number}", f"≥ {number}", "any"):
            weld = _with(case.weld, key, typed)
            verdict = coverage(weld, case.coupons, made, Side.PROCEDURE).verdict
            assert verdict > Verdict.COVERED or at_the_end <= Verdict.COVERED, (key, typed)
            # Nothing that reads a weld stumbles over an end that is left open.
            assert all(problem.message for problem in contradictions(weld, "us"))
            if key == "thickness_a" and typed != "any":
                found = coupons_that_would_cover(weld, made, Side.PROCEDURE, "us", most=1)
                assert all(proposal.sentence for proposal in found)
            if has_prequalified(made):
                assert answer_for(weld, [], made, Side.PROCEDURE, "us", without_test=True).lines
            judged += 1
    assert judged
