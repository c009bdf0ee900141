"""“Not applicable” on a record and on a weld: the same on both, nothing to go by on one. Values worked by
us."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qualification.rules.core import words
from qualification.rules.core.facts import Coupon, Facts, Weld
from qualification.rules.core.findings import Citation, Finding, Provenance, Report, VariableClass, Verdict
from qualification.rules.core.values import (
    MISSING,
    NOT_APPLICABLE,
    Anything,
    Interval,
    NotOnTest,
    Stated,
    Undetermined,
)
from qualification.rules.editions.compare import WantKind, compare
from qualification.rules.editions.loader import edition
from qualification.rules.entries import answer_words, wording
from qualification.rules.interface.values import value_json
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.variables.definition import Level
from qualification.rules.variables.limits import Condition, Limit
from qualification.rules.variables.registry import registry
from tests.rules.readers.case_files import Case, base_case, bases

IX = "asme_ix_2023"
NUMBER, WEAVE, NONE, TEXT = (
    Interval.point(Decimal(60)),
    frozenset({"weave"}),
    frozenset({"none"}),
    "sawn and filed",
)
ALWAYS_THERE = frozenset(
    {"thickness_a", "thickness_b", "base_metal_a", "base_metal_b", "deposit_thickness", "process"}
)
"""What no weld is without: with `n/a` there, nothing can be told."""


def beside_nothing(
    value: Stated, *, rest: bool = False, when: tuple[Condition, ...] = (), **facts: Stated
) -> Finding:
    key = "amps" if isinstance(value, Interval) else "bead"
    limit = Limit(
        key,
        NotOnTest(rest),
        VariableClass.ESSENTIAL,
        Citation("Invented code", "1", "1.1", Provenance.MEMORY),
        "Invented.",
        "T1",
        NOT_APPLICABLE,
        when,
    )
    return limit.judge(Facts({key: value, **facts}))


@pytest.mark.parametrize(
    ("value", "verdict", "with_rest", "note"),
    [
        (NOT_APPLICABLE, Verdict.COVERED, Verdict.COVERED, "Not applicable on both."),
        (WEAVE, Verdict.NOT_COVERED, Verdict.NO_RULE, "does not apply, and the weld has it"),
        (WEAVE | NONE, Verdict.NOT_COVERED, Verdict.NO_RULE, "does not apply, and the weld has it"),
        (NONE, Verdict.UNKNOWN, Verdict.NO_RULE, "write it alike on both"),
        (TEXT, Verdict.NOT_COVERED, Verdict.NO_RULE, "does not apply, and the weld has it"),
        (NUMBER, Verdict.UNKNOWN, Verdict.NO_RULE, "no number to reckon from"),
        (MISSING, Verdict.UNKNOWN, Verdict.UNKNOWN, "to settle this."),
    ],
)
def test_a_weld_beside_a_coupon_to_which_the_variable_does_not_apply(
    value: Stated, verdict: Verdict, with_rest: Verdict, note: str
) -> None:
    found = beside_nothing(value)
    assert found.verdict is verdict
    assert note in answer_words.row_of_finding(found, "us").note
    assert beside_nothing(value, rest=True).verdict is with_rest


def test_an_open_condition_leaves_it_unknown_and_a_failed_one_silent() -> None:
    gun = (Condition("gun", frozenset({"spool"})),)
    assert beside_nothing(WEAVE, when=gun).verdict is Verdict.UNKNOWN
    assert beside_nothing(WEAVE, when=gun).needs == ("gun",)
    assert beside_nothing(NOT_APPLICABLE, when=gun).verdict is Verdict.COVERED
    assert beside_nothing(WEAVE, when=gun, gun=frozenset({"ordinary"})).verdict is Verdict.NOT_APPLICABLE


VALUES = st.one_of(
    st.just(MISSING),
    st.just(NOT_APPLICABLE),
    st.text(min_size=1).filter(str.strip),
    st.sets(st.text(min_size=1), min_size=1).map(frozenset),
    st.decimals(allow_nan=False, allow_infinity=False).map(Interval.point),
)


@given(VALUES, st.booleans())
def test_only_not_applicable_is_the_same_as_not_applicable(value: Stated, rest: bool) -> None:
    assert (beside_nothing(value, rest=rest).verdict <= Verdict.COVERED) is (value is NOT_APPLICABLE)


def told(name: str, variable: str, coupon: Stated | None, weld: Stated | None) -> tuple[Case, Report]:
    """A base case of Section IX with one value of its coupon and of its weld put in place of what they
    state."""
    case = base_case(name)
    coupons = (
        [replace(c, weld=_with(c.weld, variable, coupon)) for c in case.coupons]
        if coupon is not None
        else case.coupons
    )
    changed = _with(case.weld, variable, weld) if weld is not None else case.weld
    return case, coverage(changed, coupons, edition(bases()[name].get("edition", IX)), case.side)


def _with(weld: Weld, variable: str, value: Stated) -> Weld:
    if registry()[variable].level is Level.JOINT:
        return replace(weld, joint=weld.joint.including({variable: value}))
    return replace(weld, lines=tuple(line.including({variable: value}) for line in weld.lines))


def of(report: Report, variable: str) -> list[Finding]:
    return [
        f
        for f in report.findings
        if f.variable == variable and f.binds and f.verdict is not Verdict.NOT_APPLICABLE
    ]


@pytest.mark.parametrize(
    ("variable", "value", "beside_value"),
    [
        ("interpass_max", NUMBER, Verdict.UNKNOWN),
        ("preheat_min", None, Verdict.UNKNOWN),
        ("pwht", frozenset({"within_range"}), Verdict.NOT_COVERED),
        ("pwht", NONE, Verdict.UNKNOWN),
    ],
)
def test_rules_of_section_ix_on_both_and_on_one(
    variable: str, value: Stated | None, beside_value: Verdict
) -> None:
    """QW-406.3, QW-406.1, QW-407.1: on the same words on both no change was made."""
    name = "steel_smaw"
    impact = {"toughness_required": frozenset({"yes"}), "impact_tested": frozenset({"yes"})}
    case = base_case(name)
    made = edition(IX)
    coupons = [
        replace(_tested(c, variable, NOT_APPLICABLE), weld=_tested(c, variable, NOT_APPLICABLE).weld)
        for c in case.coupons
    ]
    coupons = [replace(c, weld=replace(c.weld, joint=c.weld.joint.including(impact))) for c in coupons]
    weld = replace(case.weld, joint=case.weld.joint.including(impact))

    def worst(on_weld: Stated | None) -> set[Verdict]:
        changed = weld if on_weld is None else _with(weld, variable, on_weld)
        return {f.verdict for f in of(coverage(changed, coupons, made, case.side), variable)}

    assert worst(NOT_APPLICABLE) == {Verdict.COVERED}
    assert worst(value) == {beside_value}


def _tested(coupon: Coupon, variable: str, value: Stated) -> Coupon:
    return replace(coupon, weld=_with(coupon.weld, variable, value))


BASES = sorted(bases())


@st.composite
def settings_of_a_base(draw: st.DrawFn) -> tuple[str, str]:
    """A base case of any edition and one variable that its coupon states and its weld as well."""
    name = draw(st.sampled_from(BASES))
    case = base_case(name)
    on_coupon = {*case.coupons[0].weld.joint, *case.coupons[0].weld.lines[0]}
    shared = sorted((on_coupon & {*case.weld.joint, *case.weld.lines[0]}) - ALWAYS_THERE)
    return name, draw(st.sampled_from(shared))


@settings(max_examples=120, derandomize=True)
@given(settings_of_a_base())
def test_no_rule_of_any_edition_takes_one_n_a_for_a_value(drawn: tuple[str, str]) -> None:
    """On the record alone it covers nothing that is reckoned from it, on the weld alone it is never inside a
    range, and on both it never reads as if the record had left it out."""
    name, variable = drawn
    case = base_case(name)
    was = {f.qualified for f in of(told(name, variable, None, None)[1], variable)}
    for finding in of(told(name, variable, None, NOT_APPLICABLE)[1], variable):
        assert finding.verdict > Verdict.COVERED or isinstance(finding.qualified, Anything | NotOnTest)
    for finding in of(told(name, variable, NOT_APPLICABLE, None)[1], variable):
        own = isinstance(finding.qualified, NotOnTest)
        stated = {*case.weld.joint.items(), *case.weld.lines[0].items()}
        assert not own or finding.verdict > Verdict.COVERED or (variable, NOT_APPLICABLE) in stated
        assert own or isinstance(finding.qualified, Undetermined | Anything) or finding.qualified in was
    for finding in of(told(name, variable, NOT_APPLICABLE, NOT_APPLICABLE)[1], variable):
        row = answer_words.row_of_finding(finding, "us")
        assert f"does not state {words.within_sentence(row.label)}" not in row.qualified
        if isinstance(finding.qualified, NotOnTest):
            assert finding.verdict is Verdict.COVERED


@pytest.mark.parametrize("variable", ["thickness_a", "deposit_thickness", "f_number"])
def test_what_every_weld_has_is_never_covered_by_saying_that_it_does_not_apply(variable: str) -> None:
    _, report = told("steel_smaw", variable, NOT_APPLICABLE, NOT_APPLICABLE)
    assert report.verdict is Verdict.UNKNOWN


def test_a_range_that_waits_says_whether_the_record_leaves_out_or_marks() -> None:
    allowed = Undetermined(("amps", "volts"), ("volts",))
    said = wording.say_allowed("heat_input", allowed, "us")
    assert (
        said == "Cannot be told: the test record does not state current and says that voltage does not apply"
    )
    both = wording.say_allowed("heat_input", Undetermined(("amps", "volts"), ("amps", "volts")), "us")
    assert both == "Cannot be told: the test record says that current and voltage do not apply"


def test_the_range_of_a_coupon_says_it_in_words_and_in_json() -> None:
    case = base_case("steel_smaw")
    coupon = _tested(case.coupons[0], "preheat_min", NOT_APPLICABLE)
    (limit,) = [
        x
        for x in range_qualified(coupon, edition(IX), case.side).lines[0].limits
        if x.variable == "preheat_min"
    ]
    row = answer_words.row_of_limit(limit, "us")
    assert (row.found, row.qualified) == ("Not applicable", "Not applicable, as on the test record")
    assert value_json("preheat_min", limit.allowed) == {"kind": "not_applicable"}


def test_comparing_editions_asks_for_the_value_and_says_that_it_is_marked() -> None:
    case = base_case("steel_smaw")
    coupon = _tested(case.coupons[0], "deposit_thickness", NOT_APPLICABLE)
    wants = compare(coupon, [], [edition(IX)], case.side).under[0].wants
    (reading,) = [w for w in wants if w.kind is WantKind.READING and "deposit_thickness" in w.variables]
    assert "though the record says that deposit thickness does not apply" in reading.sentence
