"""From typed text to facts: each entry read by the definition of its variable, or refused in words."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import SI, US
from qualification.rules.core.values import MISSING, NOT_APPLICABLE, Interval, Stated
from qualification.rules.entries.reading import EntryError, read_entry, read_weld, with_same_filled_in
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry, variable, variables_for

D = Decimal


def read(key: str, entry: str | list[str], use: RecordKind = RecordKind.SPEC, system: str = US) -> Stated:
    return read_entry(entry, variable(key), use, system)


READ = [
    ("thickness_a", "1/4 in", Interval.point(D("6.35"))),
    ("thickness_a", "1/8 - 1/4 in", Interval(D("3.175"), D("6.35"))),
    ("thickness_a", ["1/4 in"], Interval.point(D("6.35"))),
    ("root_opening", "0-1/8", Interval(D(0), D("3.175"))),
    ("root_opening", "0", Interval.point(D(0))),
    ("groove_angle", "60", Interval.point(D(60))),
    ("amps", "140-160", Interval(D(140), D(160))),
    ("preheat_min", "-20 F", Interval.point(D(-20))),
    ("preheat_min", "0 °F", Interval.point(D(0))),
    ("process", "GMAW", frozenset({"GMAW"})),
    ("process", "gmaw", frozenset({"GMAW"})),
    ("process", "GMAW, gas-shielded wire", frozenset({"GMAW"})),
    ("transfer_mode", "spray; pulsed_spray", frozenset({"spray", "pulsed_spray"})),
    ("transfer_mode", ["Spray", "Pulsed spray"], frozenset({"spray", "pulsed_spray"})),
    ("transfer_mode", ["spray", "Spray"], frozenset({"spray"})),
    ("p_number_a", "P-23", frozenset({"23"})),
    ("p_number_a", "23", frozenset({"23"})),
    ("f_number", ["21", "F-23"], frozenset({"21", "23"})),
    ("shielding_gas", "75Ar/25CO2", frozenset({"Ar 75 / CO2 25"})),
    ("shielding_gas", ["100Ar", "Ar 75 / He 25"], frozenset({"Ar", "Ar 75 / He 25"})),
    ("shielding_gas", "Ar; 2 % O2", frozenset({"Ar 98 / O2 2"})),
    ("base_metal_a", "6061", frozenset({"6061"})),
    ("base_metal_a", "6061-T6", frozenset({"6061"})),
    ("base_metal_a", "5083; 5086", frozenset({"5083", "5086"})),
    ("base_metal_a", "  Alloy  X 12 ", frozenset({"Alloy X 12"})),
    ("filler_classification", "er 5356", frozenset({"ER5356"})),
    ("filler_classification", ["ER5356", "ER5183"], frozenset({"ER5356", "ER5183"})),
    ("cleaning", "  Stainless brush,\n acetone ", "Stainless brush, acetone"),
    ("thickness_a", "", MISSING),
    ("thickness_a", "   ", MISSING),
    ("transfer_mode", [], MISSING),
    ("transfer_mode", ["", " "], MISSING),
    ("backing_gas", "n/a", NOT_APPLICABLE),
    ("diameter", "N/A", NOT_APPLICABLE),
    ("cleaning", "Not applicable", NOT_APPLICABLE),
    ("transfer_mode", ["n.a."], NOT_APPLICABLE),
]


@pytest.mark.parametrize(("key", "entry", "value"), READ, ids=[f"{key}: {entry}" for key, entry, _ in READ])
def test_an_entry_is_read(key: str, entry: str | list[str], value: Stated) -> None:
    assert read(key, entry) == value


REFUSED = [
    ("thickness_a", "abc", RecordKind.SPEC, "could not be read"),
    ("thickness_a", "0", RecordKind.SPEC, "is zero. Enter a number above zero, or n/a"),
    ("amps", "0", RecordKind.SPEC, "is zero"),
    ("thickness_a", "-1/4", RecordKind.SPEC, "below zero"),
    ("thickness_a", "40 in", RecordKind.SPEC, "outside what this field takes, 0.0118 to 19.685 in"),
    ("thickness_a", "0.001 in", RecordKind.SPEC, "Check the number and its unit"),
    ("preheat_min", "5000 F", RecordKind.SPEC, "−40 to 1200 °F"),
    ("volts", "-20", RecordKind.SPEC, "outside what this field takes"),
    ("thickness_a", "1/8-1/4", RecordKind.TEST, "one number, not a range"),
    ("thickness_a", ["1/8 in", "1/4 in"], RecordKind.SPEC, "could not be read"),
    ("process", "EBW", RecordKind.SPEC, "not one of the choices: SMAW, covered electrode, GMAW"),
    ("transfer_mode", "spray; arc", RecordKind.SPEC, "“arc” is not one of the choices"),
    ("transfer_mode", "spray; globular", RecordKind.TEST, "names 2 things; a procedure test states one"),
    ("process", ["GMAW", "GTAW"], RecordKind.SPEC, "names 2 things; a spec states one"),
    ("base_metal_a", "5083; 6061", RecordKind.TEST, "names 2 things"),
    ("shielding_gas", "75/25", RecordKind.SPEC, "does not name a gas"),
    ("shielding_gas", "75Ar/20CO2", RecordKind.SPEC, "add up to 95 %"),
    ("p_number_a", "99", RecordKind.SPEC, "…"),
    ("layers", "2.5", RecordKind.TEST, "whole number"),
]


@pytest.mark.parametrize(
    ("key", "entry", "use", "words"), REFUSED, ids=[f"{key}: {entry}" for key, entry, *_ in REFUSED]
)
def test_a_slip_is_refused_with_what_to_do(
    key: str, entry: str | list[str], use: RecordKind, words: str
) -> None:
    with pytest.raises(EntryError, match=words):
        read(key, entry, use)


def test_the_ends_of_a_field_are_taken_and_beyond_them_not() -> None:
    assert read("root_opening", "30 mm") == Interval.point(D(30))
    with pytest.raises(EntryError, match="0 to 1.1811 in"):
        read("root_opening", "30.01 mm")
    assert read("layers", "1", RecordKind.TEST) == Interval.point(D(1))


def test_a_bare_number_takes_the_unit_of_the_record() -> None:
    assert read("thickness_a", "6.35", system=SI) == read("thickness_a", ".25", system=US)
    assert read("preheat_min", "15", system=SI) == read("preheat_min", "59", system=US)


def test_same_stands_for_side_a() -> None:
    typed = {"thickness_a": "1/4 in", "thickness_b": "same", "base_metal_a": "6061", "base_metal_b": "="}
    assert with_same_filled_in(typed) == {
        "thickness_a": "1/4 in",
        "thickness_b": "1/4 in",
        "base_metal_a": "6061",
        "base_metal_b": "6061",
    }
    found = read_weld(typed, [], RecordKind.SPEC, US)
    assert found.weld.joint["thickness_b"] == Interval.point(D("6.35"))
    assert typed["thickness_b"] == "same"


@pytest.mark.parametrize(
    "typed", [{"thickness_a": "x", "thickness_b": "same"}, {"thickness_b": "=", "thickness_a": "x"}]
)
def test_what_is_wrong_with_side_a_is_not_told_twice(typed: dict[str, str]) -> None:
    found = read_weld(typed, [], RecordKind.SPEC, US)
    assert [p.key for p in found.problems] == ["thickness_a"]
    assert found.weld.joint["thickness_b"] is MISSING


def test_what_side_b_cannot_take_is_told_of_side_b() -> None:
    found = read_weld({"thickness_a": "x", "thickness_b": "y"}, [], RecordKind.SPEC, US)
    assert [p.key for p in found.problems] == ["thickness_a", "thickness_b"]


def test_same_as_nothing_is_nothing() -> None:
    found = read_weld({"thickness_b": "Same as A"}, [], RecordKind.SPEC, US)
    assert (found.weld.joint["thickness_b"], found.problems) == (MISSING, ())


def test_a_whole_record_is_read_joint_and_lines() -> None:
    joint = {"thickness_a": "1/4 in", "base_metal_a": "6061", "base_metal_b": "same"}
    found = read_weld(
        joint, [{"process": "GTAW"}, {"process": "GMAW", "amps": "140-160"}], RecordKind.SPEC, US, "W-1"
    )
    assert found.problems == ()
    assert found.weld.name == "W-1"
    assert [line["process"] for line in found.weld.lines] == [frozenset({"GTAW"}), frozenset({"GMAW"})]
    assert found.weld.line_facts(1)["thickness_a"] == Interval.point(D("6.35"))


def test_an_entry_with_a_problem_counts_as_missing_and_the_rest_is_read() -> None:
    found = read_weld(
        {"thickness_a": "x", "thickness_b": "1/4 in"},
        [{"process": "GMAW", "amps": "1 kA"}],
        RecordKind.SPEC,
        US,
    )
    assert [(p.key, p.line) for p in found.problems] == [("thickness_a", None), ("amps", 0)]
    assert found.problems[0].message.startswith("Thickness of side A: “x” could not be read")
    assert found.weld.joint["thickness_a"] is MISSING
    assert found.weld.joint["thickness_b"] == Interval.point(D("6.35"))


@pytest.mark.parametrize("key", ["colour", "process", "p_pair", "Thickness_a"])
def test_what_a_joint_does_not_state_is_said(key: str) -> None:
    (problem,) = read_weld({key: "1"}, [], RecordKind.SPEC, US).problems
    assert problem.message == f"“{key}” is not something a joint states; remove it."


@pytest.mark.parametrize("key", ["thickness_a", "backed"])
def test_what_a_line_does_not_state_is_said(key: str) -> None:
    (problem,) = read_weld({}, [{key: "1"}], RecordKind.SPEC, US).problems
    assert (problem.line, problem.message) == (0, f"“{key}” is not something a line states; remove it.")


def test_a_name_not_in_the_catalogue_needs_its_group() -> None:
    (problem,) = read_weld({"base_metal_a": "6016"}, [], RecordKind.SPEC, US).problems
    assert problem.key == "base_metal_a"
    assert "“6016” is not in the catalogue. Did you mean" in problem.message
    assert problem.message.endswith(" yourself.")
    stated = read_weld({"base_metal_a": "Alloy X 12", "p_number_a": "unassigned"}, [], RecordKind.SPEC, US)
    assert stated.problems == ()


def test_a_filler_not_in_the_catalogue_needs_its_group() -> None:
    (problem,) = read_weld({}, [{"filler_classification": "ER5365"}], RecordKind.SPEC, US).problems
    assert (problem.key, problem.line) == ("filler_classification", 0)
    assert "ER5356" in problem.message
    assert (
        read_weld({}, [{"filler_classification": "Own wire", "f_number": "22"}], RecordKind.SPEC, US).problems
        == ()
    )


@pytest.mark.parametrize("use", list(RecordKind))
def test_each_choice_is_read_by_its_key_and_by_its_label(use: RecordKind) -> None:
    for definition in (v for level in Level for v in variables_for(use, level)):
        for choice in definition.choices:
            assert read_entry(choice.key, definition, use, US) == frozenset({choice.key})
            assert read_entry(choice.label, definition, use, US) == frozenset({choice.key})


@given(
    st.sampled_from(sorted(registry())),
    st.text(max_size=40) | st.lists(st.text(max_size=12), max_size=3),
    st.sampled_from(list(RecordKind)),
    st.sampled_from([US, SI]),
)
def test_any_text_is_read_or_refused_and_never_crashes(
    key: str, entry: str | list[str], use: RecordKind, system: str
) -> None:
    found = read_weld({key: entry}, [{key: entry}], use, system)
    for facts, line in ((found.weld.joint, None), (found.weld.lines[0], 0)):
        refused = any(p.key == key and p.line == line for p in found.problems)
        blank = not "".join(entry).strip()
        # Words such as “none” state no number, and are said to be such.
        assert refused or blank or key in facts or (line, key) in found.readings
