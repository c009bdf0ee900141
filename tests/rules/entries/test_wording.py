"""Values, ranges, findings and whole answers in words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qualification.rules.core.facts import Facts
from qualification.rules.core.findings import (
    Citation,
    Finding,
    LineReport,
    Provenance,
    Report,
    VariableClass,
    Verdict,
)
from qualification.rules.core.quantities import SI, US
from qualification.rules.core.values import (
    MISSING,
    NOT_APPLICABLE,
    Allowed,
    Anything,
    Interval,
    NotEncoded,
    Stated,
    Undetermined,
)
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.answer_words import row_of_finding, row_of_limit, rows_of_line, say_report
from qualification.rules.entries.wording import say_allowed, say_conditions, say_value
from qualification.rules.variables.limits import Condition, Limit

D = Decimal
CITATION = Citation("Invented code", "1", "1.1", Provenance.MEMORY)
THICK = Interval(D("1.5875"), D("12.7"))


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("thickness_a", MISSING, "Not stated"),
        ("backing_gas", NOT_APPLICABLE, "Not applicable"),
        ("cleaning", "Stainless brush", "Stainless brush"),
        ("thickness_a", THICK, "1/16 to 1/2 in (1.59 to 12.7 mm)"),
        ("transfer_mode", frozenset({"pulsed_spray", "short_circuit"}), "Short-circuiting; Pulsed spray"),
        ("p_number_a", frozenset({"23", "8", "10A", "9B"}), "P-8; P-9B; P-10A; P-23"),
        ("shielding_gas", frozenset({"Ar", "Ar 75 / CO2 25"}), "100 % Ar; 75 % Ar + 25 % CO₂"),
        ("p_pair", frozenset({"5A|8", "1|8"}), "P-1 to P-8; P-5A to P-8"),
        ("p_pair", frozenset({"23|unassigned:Alloy X"}), "P-23 to Alloy X (no P-Number)"),
        ("group_pair", frozenset({"1.1|1.2"}), "P-1 Gr. 1 to P-1 Gr. 2"),
        ("base_metal_a", frozenset({"6061"}), "6061"),
    ],
)
def test_a_value_in_words(key: str, value: Stated, words: str) -> None:
    assert say_value(key, value, US) == words


@pytest.mark.parametrize(
    ("allowed", "words"),
    [
        (None, "No limit"),
        (Anything(), "No limit"),
        (NotEncoded(), "No rule encoded"),
        (frozenset(), "Nothing"),
        (
            Undetermined(("p_number_a", "pwht")),
            "Cannot be told: the test record does not state P-Number of side A and postweld heat treatment",
        ),
        (Interval(None, D("6.35")), "up to 1/4 in (up to 6.35 mm)"),
    ],
)
def test_a_range_in_words(allowed: Allowed | None, words: str) -> None:
    assert say_allowed("thickness_a", allowed, US) == words


P_8 = Condition("p_number_a", frozenset({"8", "10H"}))
HEATED = Condition("pwht", frozenset({"above_upper", "above_then_below"}))
DEEP = Condition("deposit_thickness", Interval(D("12.7"), None, low_open=True))


@pytest.mark.parametrize(
    ("when", "unless", "words"),
    [
        ((), (), ""),
        ((P_8,), (), "P-Number of side A: P-8 or P-10H"),
        ((DEEP,), (), "deposit thickness: above 1/2 in (above 12.7 mm)"),
        (
            (P_8, DEEP),
            (),
            "P-Number of side A: P-8 or P-10H; deposit thickness: above 1/2 in (above 12.7 mm)",
        ),
        ((), ((P_8,),), "unless P-Number of side A: P-8 or P-10H"),
        (
            (DEEP,),
            ((HEATED,), (P_8,)),
            "deposit thickness: above 1/2 in (above 12.7 mm); unless postweld heat treatment: above the upper"
            " transformation temperature or above the upper, then below the lower transformation temperature"
            " or P-Number of side A: P-8 or P-10H",
        ),
    ],
)
def test_circumstances_in_words(
    when: tuple[Condition, ...], unless: tuple[tuple[Condition, ...], ...], words: str
) -> None:
    assert say_conditions(when, unless, US) == words


@pytest.mark.parametrize(
    ("label", "words"),
    [
        ("Included angle", "included angle"),
        ("F-Number", "F-Number"),
        ("PWHT temperature", "PWHT temperature"),
        ("DC, electrode positive", "DC, electrode positive"),
        ("P-8", "P-8"),
        ("Yes", "yes"),
        ("", ""),
    ],
)
def test_a_label_in_the_middle_of_a_sentence(label: str, words: str) -> None:
    assert within_sentence(label) == words


def limit(allowed: Allowed, **more: object) -> Limit:
    settings = {
        "variable": "thickness_a",
        "standing": VariableClass.ESSENTIAL,
        "because": "Invented.",
        "record": "T1",
    }
    return Limit(allowed=allowed, citation=CITATION, **{**settings, **more})  # type: ignore[arg-type]


def finding(allowed: Allowed, value: Stated = MISSING, **more: object) -> Finding:
    made = limit(allowed, **more)
    return made.judge(Facts({made.variable: value}), 0)


def test_a_limit_as_a_row() -> None:
    row = row_of_limit(limit(THICK, tested=Interval.point(D("6.35")), when=(P_8,)), SI, 1)
    assert (row.found, row.qualified) == ("6.35 mm (1/4 in)", "1.59 to 12.7 mm (1/16 to 1/2 in)")
    assert (row.when, row.line, row.verdict, row.record) == ("P-Number of side A: P-8 or P-10H", 1, "", "T1")
    assert (row.clause, row.provenance_words, row.binds) == ("1.1", "unverified", True)


def test_a_limit_read_off_another_variable_sends_to_the_record() -> None:
    made = limit(frozenset({"flat"}), variable="position", tested=frozenset({"1G"}))
    assert row_of_limit(made, US).found == "See the record"


def test_an_unknown_finding_says_what_would_settle_it() -> None:
    row = row_of_finding(finding(THICK), US)
    assert (row.verdict, row.verdict_words, row.found) == ("unknown", "Unknown", "Not stated")
    assert row.note == "Enter thickness of side A to settle this."


def test_a_gap_in_the_record_is_told_of_the_record_and_not_of_the_weld() -> None:
    row = row_of_finding(finding(Undetermined(("pwht",)), Interval.point(D(5))), US)
    assert row.note == ""
    assert row.qualified == "Cannot be told: the test record does not state postweld heat treatment"


@pytest.mark.parametrize(
    ("value", "words"),
    [(MISSING, "To be stated"), (NOT_APPLICABLE, "Free to choose"), (Interval.point(D(5)), "Free to choose")],
)
def test_a_nonessential_variable_is_to_be_stated_and_free(value: Stated, words: str) -> None:
    row = row_of_finding(finding(Anything(), value, standing=VariableClass.NONESSENTIAL), US)
    assert (row.verdict_words, row.binds) == (words, False)


def report(*findings: Finding, relied_on: tuple[str, ...] = ("T1",)) -> Report:
    verdict = max((f.verdict for f in findings if f.binds), default=Verdict.UNKNOWN)
    return Report((LineReport(0, verdict, findings, relied_on, ()),))


def test_the_rows_of_a_line_stand_worst_first_and_silent_limits_are_left_out() -> None:
    good, bad = finding(THICK, Interval.point(D(5))), finding(THICK, Interval.point(D(50)))
    free = finding(Anything(), standing=VariableClass.NONESSENTIAL)
    silent = limit(THICK, when=(P_8,)).judge(Facts({"p_number_a": frozenset({"23"})}))
    line = report(free, good, silent, bad).lines[0]
    assert [row.verdict for row in rows_of_line(line, US)] == ["not_covered", "covered", "covered"]
    assert [row.binds for row in rows_of_line(line, US)] == [True, True, False]
    assert len(rows_of_line(line, US, binding_only=True)) == 2


@pytest.mark.parametrize(
    ("answer", "sentence"),
    [
        (report(finding(THICK, Interval.point(D(5)))), "Covered by T1."),
        (
            report(finding(THICK, Interval.point(D(5))), relied_on=("T1", "T2", "T3")),
            "Covered by T1, T2 and T3.",
        ),
        (report(finding(THICK, Interval.point(D(50)))), "Not covered: thickness of side A."),
        (
            report(finding(THICK, Interval.point(D(50))), finding(frozenset({"23"}), variable="p_number_a")),
            "Not covered: thickness of side A.",
        ),
        (report(finding(THICK)), "Unknown: thickness of side A cannot be judged yet."),
        (
            report(
                finding(THICK, Interval.point(D(50))),
                finding(THICK, Interval.point(D(50)), variable="thickness_b"),
            ),
            "Not covered: thickness of side A; thickness of side B.",
        ),
        (
            report(finding(NotEncoded(), Interval.point(D(5)))),
            "No rule encoded for thickness of side A; judge it by the code itself.",
        ),
        (Report(()), "Unknown: no process is stated, so there is nothing to judge."),
    ],
)
def test_the_whole_answer_in_one_sentence(answer: Report, sentence: str) -> None:
    assert say_report(answer) == sentence
