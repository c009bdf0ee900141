"""How one limit is held against one weld: what is unknown is never covered, and never more than unknown."""

from decimal import Decimal
from itertools import product

import pytest

from qualification.rules.core.facts import Facts
from qualification.rules.core.findings import Citation, Provenance, VariableClass, Verdict
from qualification.rules.core.values import (
    NOT_APPLICABLE,
    Allowed,
    Anything,
    Interval,
    NotEncoded,
    Stated,
    Undetermined,
)
from qualification.rules.variables.limits import Condition, Limit, Truth, comparable

D = Decimal
CITATION = Citation("Invented code", "1", "1.1", Provenance.MEMORY)
ARC, LAP = frozenset({"arc"}), frozenset({"lap"})


def limit(allowed: Allowed = ARC, **more: object) -> Limit:
    settings = {
        "standing": VariableClass.ESSENTIAL,
        "citation": CITATION,
        "because": "Invented.",
        "record": "T1",
    }
    return Limit("process", allowed, **{**settings, **more})  # type: ignore[arg-type]


def verdict(made: Limit, **facts: Stated) -> Verdict:
    return made.judge(Facts(facts)).verdict


@pytest.mark.parametrize(
    ("allowed", "value", "expected"),
    [
        (ARC, ARC, Verdict.COVERED),
        (ARC, LAP, Verdict.NOT_COVERED),
        (ARC, ARC | LAP, Verdict.NOT_COVERED),
        (ARC | LAP, LAP, Verdict.COVERED),
        (frozenset(), ARC, Verdict.NOT_COVERED),
        (Anything(), LAP, Verdict.COVERED),
        (Undetermined(("bead",)), ARC, Verdict.UNKNOWN),
        (NotEncoded(), ARC, Verdict.NO_RULE),
        (ARC, NOT_APPLICABLE, Verdict.UNKNOWN),
    ],
)
def test_a_value_against_what_is_allowed(allowed: Allowed, value: Stated, expected: Verdict) -> None:
    assert verdict(limit(allowed), process=value) is expected


@pytest.mark.parametrize("allowed", [ARC, ARC | LAP, frozenset(), Undetermined(("bead",)), NotEncoded()])
def test_a_missing_value_is_never_covered(allowed: Allowed) -> None:
    assert verdict(limit(allowed)) > Verdict.COVERED


def test_a_missing_value_names_itself() -> None:
    assert limit().judge(Facts()).needs == ("process",)


def test_a_gap_in_the_test_record_names_what_the_record_would_have_to_state() -> None:
    assert limit(Undetermined(("bead", "peening"))).judge(Facts({"process": ARC})).needs == (
        "bead",
        "peening",
    )


def test_where_the_code_sets_no_limit_even_a_missing_value_is_fine() -> None:
    assert verdict(limit(Anything())) is Verdict.COVERED


BEAD, GUN = Condition("bead", frozenset({"weave"})), Condition("gun", frozenset({"spool"}))
MET = {"bead": frozenset({"weave"}), "gun": frozenset({"spool"})}
UNMET = {"bead": frozenset({"stringer"}), "gun": frozenset({"ordinary"})}


def facts_by(truths: dict[str, Truth]) -> dict[str, Stated]:
    """Facts under which the conditions on bead and gun come out as given; a missing value is unknown."""
    found: dict[str, Stated] = {}
    for key, truth in truths.items():
        if truth is not Truth.UNKNOWN:
            found[key] = MET[key] if truth is Truth.YES else UNMET[key]
    return found


@pytest.mark.parametrize(("bead", "gun"), list(product(Truth, Truth)))
def test_conditions_join_with_a_three_valued_and(bead: Truth, gun: Truth) -> None:
    """Kleene's strong logic of three values (Introduction to Metamathematics, 1952, section 64)."""
    truth, needs = limit(when=(BEAD, GUN)).speaks(Facts(facts_by({"bead": bead, "gun": gun})))
    assert truth is min(bead, gun, key=lambda t: t.value)
    if truth is Truth.UNKNOWN:
        assert set(needs) == {k for k, t in (("bead", bead), ("gun", gun)) if t is Truth.UNKNOWN}


@pytest.mark.parametrize(("bead", "gun"), list(product(Truth, Truth)))
def test_exemptions_join_with_a_three_valued_or_and_silence_the_limit(bead: Truth, gun: Truth) -> None:
    truth, _ = limit(unless=((BEAD,), (GUN,))).speaks(Facts(facts_by({"bead": bead, "gun": gun})))
    exempt = max(bead, gun, key=lambda t: t.value)
    assert truth is {Truth.YES: Truth.NO, Truth.NO: Truth.YES, Truth.UNKNOWN: Truth.UNKNOWN}[exempt]


@pytest.mark.parametrize(("bead", "gun"), list(product(Truth, Truth)))
def test_one_exemption_needs_all_its_conditions(bead: Truth, gun: Truth) -> None:
    truth, _ = limit(unless=((BEAD, GUN),)).speaks(Facts(facts_by({"bead": bead, "gun": gun})))
    both = min(bead, gun, key=lambda t: t.value)
    assert truth is {Truth.YES: Truth.NO, Truth.NO: Truth.YES, Truth.UNKNOWN: Truth.UNKNOWN}[both]


@pytest.mark.parametrize(
    ("truth", "value", "expected"),
    [
        (Truth.YES, ARC, Verdict.COVERED),
        (Truth.YES, LAP, Verdict.NOT_COVERED),
        (Truth.UNKNOWN, ARC, Verdict.COVERED),
        (Truth.UNKNOWN, LAP, Verdict.UNKNOWN),
        (Truth.NO, LAP, Verdict.NOT_APPLICABLE),
    ],
)
def test_an_open_condition_turns_not_covered_into_unknown(
    truth: Truth, value: Stated, expected: Verdict
) -> None:
    finding = limit(when=(BEAD,)).judge(Facts({"process": value, **facts_by({"bead": truth})}))
    assert finding.verdict is expected
    assert finding.needs == (("bead",) if expected is Verdict.UNKNOWN else ())


def test_a_limit_that_is_silent_says_so_whatever_is_missing() -> None:
    assert (
        verdict(limit(Undetermined(("peening",)), when=(BEAD,)), bead=UNMET["bead"]) is Verdict.NOT_APPLICABLE
    )


def test_a_condition_speaks_as_soon_as_part_of_the_box_meets_it() -> None:
    both = frozenset({"weave", "stringer"})
    assert BEAD.holds(Facts({"bead": both})) is Truth.YES
    assert verdict(limit(when=(BEAD,)), process=LAP, bead=both) is Verdict.NOT_COVERED


def test_an_exemption_holds_only_for_the_whole_box() -> None:
    both = frozenset({"weave", "stringer"})
    assert BEAD.holds_for_all(Facts({"bead": both})) is Truth.NO
    assert verdict(limit(unless=((BEAD,),)), process=LAP, bead=both) is Verdict.NOT_COVERED
    assert verdict(limit(unless=((BEAD,),)), process=LAP, bead=MET["bead"]) is Verdict.NOT_APPLICABLE


@pytest.mark.parametrize(
    ("low", "high", "speaks"),
    [("1", "5", Truth.NO), ("1", "6", Truth.YES), ("6", "9", Truth.YES), ("7", "9", Truth.YES)],
)
def test_a_condition_on_a_number_at_its_end(low: str, high: str, speaks: Truth) -> None:
    thick = Condition("thickness_a", Interval(D(6), None))
    assert thick.holds(Facts({"thickness_a": Interval(D(low), D(high))})) is speaks


def test_a_value_that_does_not_apply_leaves_a_condition_open() -> None:
    assert BEAD.holds(Facts({"bead": NOT_APPLICABLE})) is Truth.UNKNOWN
    assert BEAD.holds_for_all(Facts({"bead": NOT_APPLICABLE})) is Truth.UNKNOWN


def test_a_condition_whether_anything_is_stated_takes_it_for_an_answer() -> None:
    stated = Condition("bead", Anything())
    assert stated.holds(Facts({"bead": NOT_APPLICABLE})) is Truth.NO
    assert stated.holds(Facts()) is Truth.UNKNOWN


@pytest.mark.parametrize(
    ("key", "allowed", "others", "truth"),
    [
        ("diameter", Interval(D(1), None), {"product_form": frozenset({"plate"})}, Truth.NO),
        ("diameter", Interval(D(1), None), {"product_form": frozenset({"pipe"})}, Truth.UNKNOWN),
        ("diameter", Interval(D(1), None), {"product_form": frozenset({"plate", "pipe"})}, Truth.UNKNOWN),
        ("diameter", Interval(D(1), None), {}, Truth.UNKNOWN),
        ("f_number", frozenset({"6"}), {"filler_used": frozenset({"no"})}, Truth.NO),
        ("f_number", frozenset({"6"}), {"filler_used": frozenset({"yes"})}, Truth.UNKNOWN),
        ("a_number", frozenset({"8"}), {"f_number": frozenset({"23"})}, Truth.NO),
        ("a_number", frozenset({"8"}), {"f_number": frozenset({"6"})}, Truth.UNKNOWN),
        ("progression", frozenset({"up"}), {"position": frozenset({"flat"})}, Truth.NO),
        ("progression", frozenset({"up"}), {"position": frozenset({"flat", "vertical"})}, Truth.UNKNOWN),
        ("transfer_mode", frozenset({"spray"}), {"process": frozenset({"SMAW"})}, Truth.NO),
        ("transfer_mode", frozenset({"spray"}), {"process": frozenset({"GMAW"})}, Truth.UNKNOWN),
        ("groove_radius", Interval(D(1), None), {"groove_type": NOT_APPLICABLE}, Truth.UNKNOWN),
        (
            "groove_radius",
            Interval(D(1), None),
            {"groove_type": NOT_APPLICABLE, "weld_type": frozenset({"fillet"})},
            Truth.NO,
        ),
    ],
)
def test_it_is_a_no_where_another_entry_says_that_there_is_none(
    key: str, allowed: Interval | frozenset[str], others: dict[str, Stated], truth: Truth
) -> None:
    facts = Facts({key: NOT_APPLICABLE, **others})
    assert Condition(key, allowed).holds(facts) is truth
    assert Condition(key, allowed).holds_for_all(facts) is truth


@pytest.mark.parametrize(
    ("standing", "binds"), [(s, s is not VariableClass.NONESSENTIAL) for s in VariableClass]
)
def test_only_nonessential_findings_do_not_bind(standing: VariableClass, binds: bool) -> None:
    assert limit(standing=standing).judge(Facts()).binds is binds


def test_a_finding_carries_its_evidence() -> None:
    finding = limit().judge(Facts({"process": LAP}), line=2)
    assert (finding.record, finding.citation, finding.found, finding.qualified, finding.line) == (
        "T1",
        CITATION,
        LAP,
        ARC,
        2,
    )


def test_free_text_is_compared_without_regard_to_case_and_spacing() -> None:
    assert comparable("  SFA-5.10  ") == comparable("sfa-5.10") == frozenset({"sfa-5.10"})


def test_a_missing_fact_reads_as_missing_and_is_not_given() -> None:
    facts = Facts({"bead": NOT_APPLICABLE})
    assert "gun" not in facts
    assert not facts.given("gun")
    assert not facts.given("bead")
    assert Facts() == Facts({"gun": Facts()["gun"]})
