"""Choices, positions and gases as records of the trade write them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from qualification.machine_input import with_choices
from qualification.rules.core.quantities import US
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.showing import entered_groups
from qualification.rules.materials import grouping
from qualification.rules.variables.choice_words import choice_named, choices_named
from qualification.rules.variables.definition import Level, RecordKind, ValueKind
from qualification.rules.variables.registry import registry, variable

WORDS = [
    ("process", "TIG", "GTAW"),
    ("process", "FCAW-G", "FCAW"),
    ("operation", "Semi-automatic", "semiautomatic"),
    ("operation", "partly mechanized", "semiautomatic"),
    ("backing", "open root", "none"),
    ("backing", "steel backing strip", "metal"),
    ("transfer_mode", "short arc", "short_circuit"),
    ("current_type", "DCEP (RP)", "DCEP"),
    ("current_type", "straight polarity", "DCEN"),
    ("current_type", "DC−", "DCEN"),
    ("current_type", "dc+", "DCEP"),
    ("progression", "Vertical up", "up"),
    ("groove_type", "Single-V-Groove", "v"),
    ("joint_form", "BW", "butt"),
    ("sides_welded", "Single side", "one"),
    ("back_gouging", "CAC-A", "arc"),
    ("penetration", "CJP", "complete"),
    ("pwht", "As welded", "none"),
    ("f_number", "F No. 6", "6"),
    ("f_number", "6 (F-6)", "6"),
    ("a_number", "A-No. 8", "8"),
    ("peening", "Not permitted", "no"),
]
OPEN = [
    ("backing", "yes"),
    ("pwht", "yes"),
    ("back_gouging", "yes"),
    ("f_number", "99"),
    ("current_type", "DC"),
]


@pytest.mark.parametrize(("key", "typed", "choice"), WORDS)
def test_a_word_of_the_trade_names_its_choice(key: str, typed: str, choice: str) -> None:
    assert choice_named(variable(key), typed) == choice


@pytest.mark.parametrize(("key", "typed"), OPEN)
def test_a_word_that_leaves_the_choice_open_names_none(key: str, typed: str) -> None:
    assert choice_named(variable(key), typed) == ""


def test_every_choice_is_named_by_its_key_and_its_label_and_no_word_by_two() -> None:
    for v in registry().values():
        for choice in v.choices if v.kind is ValueKind.CHOICE else ():
            assert choice_named(v, choice.key) == choice_named(v, choice.label) == choice.key, v.key


SEVERAL = [
    ("position", "F, H, V, OH", {"flat", "horizontal", "vertical", "overhead"}),
    ("position", "All", {"flat", "horizontal", "vertical", "overhead"}),
    ("position", "All except overhead", {"flat", "horizontal", "vertical"}),
    ("position", "All except PG", {"flat", "horizontal", "vertical", "overhead"}),
    ("position", "PA/PB", {"flat", "horizontal"}),
    ("position", "1G, 2G", {"flat", "horizontal"}),
    ("position", "5G", {"flat", "vertical", "overhead"}),
    ("bead", "stringer & weave", {"stringer", "weave"}),
    ("passes_per_side", "single or multiple", {"single", "multiple"}),
]


def read(key: str, typed: str, use: RecordKind, **more: str) -> tuple[object, list[str]]:
    joint, line = {"weld_type": "groove", **more}, {"process": "SMAW"}
    (joint if variable(key).level is Level.JOINT else line)[key] = typed
    found = read_weld(joint, [line], use, "us")
    facts = found.weld.joint if variable(key).level is Level.JOINT else found.weld.lines[0]
    return facts[key], [p.message for p in found.problems if p.key == key]


@pytest.mark.parametrize(("key", "typed", "choices"), SEVERAL)
def test_several_choices_in_one_text(key: str, typed: str, choices: set[str]) -> None:
    assert read(key, typed, RecordKind.SPEC) == (frozenset(choices), [])


POSITIONS = [
    ("2G & 5G", "pipe", {"2G", "5G"}, ""),
    ("2G/5G", "pipe", {"2G", "5G"}, ""),
    ("6GR", "pipe", {"6G"}, ""),
    ("1G rolled", "pipe", {"1G"}, ""),
    ("3G uphill", "plate", {"3G"}, "up"),
    ("(3G) vertical down", "plate", {"3G"}, "down"),
    ("1G (PA)", "plate", {"1G"}, ""),
    ("H-L045 ss nb", "pipe", {"6G"}, "up"),
]


@pytest.mark.parametrize(("typed", "form", "tested", "direction"), POSITIONS)
def test_a_position_as_written_gives_the_test_position_and_the_direction(
    typed: str, form: str, tested: set[str], direction: str
) -> None:
    joint = {"weld_type": "groove", "product_form": form, "test_position": typed}
    found = read_weld(joint, [{"process": "GMAW"}], RecordKind.TEST, "us")
    assert [p.message for p in found.problems] == []
    assert found.weld.joint["test_position"] == frozenset(tested)
    if direction:
        assert found.weld.lines[0]["progression"] == frozenset({direction})
    rows = {r.key: r for g in entered_groups(joint, [], RecordKind.TEST, "us") for r in g.rows}
    assert rows["test_position"].first == typed


@pytest.mark.parametrize("typed", ["1G-4G", "6F", "3G sideways"])
def test_a_position_that_is_not_understood_as_a_whole_is_refused(typed: str) -> None:
    _, problems = read("test_position", typed, RecordKind.TEST)
    assert [("is not one of the choices" in problem) for problem in problems] == [True]


GASES = [
    ("80Ar/20CO2 @ 35 CFH", "80 % Ar + 20 % CO₂", "35 cfh"),
    ("Ar/CO2 75/25", "75 % Ar + 25 % CO₂", ""),
    ("75/25 Ar/CO2", "75 % Ar + 25 % CO₂", ""),
    ("98/2 ArO2", "98 % Ar + 2 % O₂", ""),
    ("98% Ar 2% O2", "98 % Ar + 2 % O₂", ""),
    ("25% CO2 75% Ar", "75 % Ar + 25 % CO₂", ""),
    ("2% CO2, Bal. Argon", "98 % Ar + 2 % CO₂", ""),
    ("Argon w/ 2% O2", "98 % Ar + 2 % O₂", ""),
    ("He/Ar/CO2 90/7.5/2.5", "90 % He + 7.5 % Ar + 2.5 % CO₂", ""),
    ("Ar-He 70/30", "70 % Ar + 30 % He", ""),
    ("EN ISO 14175: M21-ArC-18", "82 % Ar + 18 % CO₂", ""),
    ("M21 (82Ar/18CO2)", "82 % Ar + 18 % CO₂", ""),
    ("I1 Ar 99,99%", "100 % Ar", ""),
    ("Argon (99.997%)", "100 % Ar", ""),
    ("Carbon dioxide", "100 % CO₂", ""),
    ("Argon at 15-20 l/min", "100 % Ar", "15"),
]


@pytest.mark.parametrize(("typed", "gas", "flow"), GASES)
def test_a_gas_as_written_gives_its_composition_and_the_flow_behind_it(
    typed: str, gas: str, flow: str
) -> None:
    line = {"process": "GMAW", "shielding_gas": typed}
    found = read_weld({}, [line], RecordKind.SPEC, "us")
    assert found.problems == ()
    rows = {r.key: r for g in entered_groups({}, [line], RecordKind.SPEC, "us") for r in g.rows}
    assert rows["shielding_gas"].first == typed
    assert gas in rows["shielding_gas"].words
    assert ("shielding_flow" in rows and flow in rows["shielding_flow"].words) is bool(flow)


@pytest.mark.parametrize("typed", ["C1 (82Ar/18CO2)", "80/30 Ar/CO2", "75/25 Ar/CO2/He", "Brand 25"])
def test_a_gas_that_does_not_add_up_is_refused(typed: str) -> None:
    assert read_weld({}, [{"process": "GMAW", "shielding_gas": typed}], RecordKind.SPEC, "us").problems


def test_json_takes_the_same_words() -> None:
    document = with_choices(
        {
            "joint": {"test_position": "2G & 5G", "weld_type": "BW", "backing": "n/a"},
            "lines": [{"process": "GMAW-S", "current_type": "DCRP", "progression": "sideways"}],
        }
    )
    assert document["joint"] == {"test_position": ["2G", "5G"], "weld_type": "groove", "backing": "n/a"}
    assert document["lines"] == [
        {
            "transfer_mode": "short_circuit",
            "process": "GMAW",
            "current_type": "DCEP",
            "progression": "sideways",
        }
    ]


def test_what_the_name_of_a_process_says_of_its_transfer_and_a_groove_of_its_angle_is_read() -> None:
    joint = {"weld_type": "groove", "groove_type": "single V 60° ± 5"}
    found = read_weld(joint, [{"process": "GMAW-P"}], RecordKind.SPEC, "us")
    assert found.problems == ()
    assert found.weld.lines[0]["transfer_mode"] == frozenset({"pulsed_spray"})
    assert found.weld.joint["groove_type"] == frozenset({"v"})
    angle = found.weld.joint["groove_angle"]
    assert (angle.low, angle.high) == (55, 65)  # type: ignore[union-attr]


def test_choices_beyond_what_a_record_may_claim_are_refused() -> None:
    _, problems = read("progression", "up & down", RecordKind.TEST)
    assert problems == ["Vertical progression: names 2 things; a procedure test states one."]
    assert choices_named(variable("progression"), "both", RecordKind.SPEC) == ["up", "down"]


WRITTEN = [
    # field, use, as typed, entries beside, what is read
    ("backing_gas", RecordKind.SPEC, "Argon or none", {}, {"Ar", "none"}),
    ("filler_classification", RecordKind.SPEC, "ER308L or ER316L", {}, {"ER308L", "ER316L"}),
    ("filler_classification", RecordKind.SPEC, "ER5356 or equivalent", {}, {"ER5356"}),
    ("shielding_gas", RecordKind.TEST, "M21 (82/18)", {}, {"Ar 82 / CO2 18"}),
    ("backing", RecordKind.TEST, "ss gb", {}, {"none"}),
    ("backing", RecordKind.TEST, "bs gg", {}, {"both_sides"}),
    ("base_metal_a", RecordKind.TEST, "SA-516 Gr 70 (P-1 Gr 2)", {}, {"SA-516 70"}),
    ("bead", RecordKind.SPEC, "stringer or slight weave", {}, {"stringer", "weave"}),
    ("bead", RecordKind.TEST, "weave 3/8 max", {}, {"weave"}),
]


@pytest.mark.parametrize(
    ("key", "use", "typed", "beside", "wanted"), WRITTEN, ids=[f"{row[0]}: {row[2]}" for row in WRITTEN]
)
def test_further_ways_of_writing_are_read(
    key: str, use: RecordKind, typed: str, beside: dict[str, str], wanted: set[str]
) -> None:
    level = registry()[key].level
    joint = {key: typed, **beside} if level is Level.JOINT else {}
    line = {"process": "GTAW", **({key: typed} if level is Level.LINE else {})}
    found = read_weld(joint, [line], use, US)
    assert [problem.message for problem in found.problems] == []
    facts = found.weld.joint if level is Level.JOINT else found.weld.lines[0]
    assert facts[key] == frozenset(wanted)


def test_with_or_without_claims_every_backing_and_no_test_was_welded_so() -> None:
    line = {"process": "GTAW", "backing": "with or without"}
    claimed = read_weld({}, [line], RecordKind.SPEC, US).weld.lines[0]["backing"]
    assert claimed == frozenset(choice.key for choice in registry()["backing"].choices)
    assert "is not one of the choices" in read_weld({}, [line], RecordKind.TEST, US).problems[0].message


def test_a_test_states_one_filler_and_one_gas() -> None:
    for key, typed in (("filler_classification", "ER308L or ER316L"), ("backing_gas", "Argon or none")):
        (problem,) = read_weld({}, [{"process": "GTAW", key: typed}], RecordKind.TEST, US).problems
        assert "names 2 things; a procedure test states one" in problem.message


def test_a_group_beside_the_metal_is_read_as_its_group_and_has_to_be_its_own() -> None:
    facts = read_weld({"base_metal_a": "SA-516 Gr 70 (P-1 Gr 2)"}, [], RecordKind.TEST, US).weld.joint
    assert (facts["p_number_a"], facts["group_a"]) == (frozenset({"1"}), frozenset({"2"}))
    found = read_weld({"base_metal_a": "SA-516 Gr 70 (P-1)", "p_number_a": "8"}, [], RecordKind.TEST, US)
    said = grouping.contradictions(found.weld, edition("asme_ix_2023"))
    assert "is P-1" in said[0].message


@pytest.mark.parametrize(
    ("metal", "typed", "low", "high"),
    [
        ("304", "16 ga to 1/4", "1.5875", "6.35"),
        ("6061", "16 ga thru 10 ga", "1.29032", "2.58826"),
        ("A36", "14 ga - .250", "1.89738", "6.35"),
    ],
)
def test_a_span_that_begins_with_a_gauge_takes_the_sheet_of_its_metal(
    metal: str, typed: str, low: str, high: str
) -> None:
    facts = read_weld({"base_metal_a": metal, "thickness_a": typed}, [], RecordKind.SPEC, US).weld.joint
    assert facts["thickness_a"] == Interval(Decimal(low), Decimal(high))
    (problem,) = read_weld({"thickness_a": typed}, [], RecordKind.SPEC, US).problems
    assert problem.key == "thickness_a"


def test_currents_with_their_sizes_are_rows_of_settings() -> None:
    line = {"process": "SMAW", "amps": "130-180 (5/32); 180-240 (3/16)"}
    found = read_weld({}, [line], RecordKind.SPEC, US)
    assert found.problems == ()
    assert found.readings[0, "settings_by_size"].startswith("5/32 in (3.97 mm): 130 to 180 A; 3/16 in")
    roots = read_weld({}, [{"process": "SMAW", "amps": "90-120 (root), 120-150 (fill)"}], RecordKind.SPEC, US)
    assert "settings_by_size" not in roots.weld.lines[0]
