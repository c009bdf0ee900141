"""The registry: complete, and without two definitions that could be taken for one another."""

from collections import Counter

import pytest

from qualification.rules.core.quantities import DIMENSIONS
from qualification.rules.core.values import Interval
from qualification.rules.testing.result_fields import FIELDS
from qualification.rules.variables.definition import PROCESSES, Level, RecordKind, ValueKind, Variable
from qualification.rules.variables.registry import registry, variable, variables_for

ALL = list(registry().values())
NUMBERS = [v for v in ALL if v.kind is ValueKind.NUMBER]
CHOICES = [v for v in ALL if v.kind is ValueKind.CHOICE]


def ids(variables: list[Variable]) -> list[str]:
    return [v.key for v in variables]


def test_no_label_has_a_comma() -> None:
    """Lists of labels stand in sentences; a reader has to see where one ends."""
    labels = [*(v.label for v in ALL), *(v.group for v in ALL)]
    labels += [field.label for fields in FIELDS.values() for field in fields]
    assert [label for label in labels if "," in label] == []


WANTED = {
    # what a welding procedure has to be able to say (common practice), and the variables that say it
    "process and how it is run": ["process", "operation"],
    "transfer mode and, below it, the current program": [
        "transfer_mode",
        "current_programme",
        "pulse_frequency",
        "slow_frequency",
        "low_level",
        "pulse_duty",
    ],
    "base metals on both sides": [
        "base_metal_a",
        "p_number_a",
        "group_a",
        "temper_a",
        "base_metal_b",
        "p_number_b",
        "group_b",
        "temper_b",
    ],
    "thickness on both sides, and diameter": ["thickness_a", "thickness_b", "diameter"],
    "joint and groove with dimensions": [
        "joint_form",
        "groove_type",
        "groove_angle",
        "root_opening",
        "root_face",
        "groove_radius",
        "fillet_size",
    ],
    "backing, retainers, back-gouging": ["backing", "backing_material", "retainer", "back_gouging"],
    "filler": [
        "filler_specification",
        "filler_classification",
        "f_number",
        "a_number",
        "filler_diameter",
        "filler_form",
    ],
    "deposit": ["deposit_thickness", "max_pass_thickness"],
    "position and progression": ["position", "test_position", "progression"],
    "heat": ["preheat_min", "interpass_max", "pwht", "pwht_temperature", "pwht_time"],
    "gas": [
        "shielding_gas",
        "shielding_flow",
        "backing_gas",
        "backing_flow",
        "trailing_gas",
        "trailing_flow",
    ],
    "electricity": ["current_type", "amps", "volts", "wire_feed", "travel_speed", "heat_input"],
    "tungsten": ["tungsten_type", "tungsten_diameter"],
    "technique": [
        "bead",
        "cleaning",
        "gun",
        "liner",
        "contact_tube_distance",
        "cup_size",
        "passes_per_side",
        "peening",
    ],
}


@pytest.mark.parametrize("keys", WANTED.values(), ids=WANTED.keys())
def test_everything_a_procedure_says_has_its_variable(keys: list[str]) -> None:
    assert [key for key in keys if key not in registry()] == []


@pytest.mark.parametrize(
    ("key", "choices"),
    [
        ("process", {"SMAW", "GMAW", "FCAW", "GTAW", "SAW"}),
        ("operation", {"manual", "semiautomatic", "machine", "automatic"}),
        ("transfer_mode", {"short_circuit", "globular", "spray", "pulsed_spray"}),
        ("current_programme", {"steady", "pulsed", "double_pulsed"}),
        ("position", {"flat", "horizontal", "vertical", "overhead"}),
        ("test_position", {"1G", "2G", "3G", "4G", "5G", "6G", "1F", "2F", "2FR", "3F", "4F", "5F"}),
        ("current_type", {"DCEP", "DCEN", "AC"}),
        ("progression", {"up", "down"}),
        ("bead", {"stringer", "weave"}),
    ],
)
def test_the_choices_of_the_trade(key: str, choices: set[str]) -> None:
    assert {choice.key for choice in variable(key).choices} == choices


def test_the_processes_are_those_the_lines_offer() -> None:
    assert {choice.key for choice in variable("process").choices} == set(PROCESSES)


def test_each_key_names_its_variable() -> None:
    assert all(key == v.key for key, v in registry().items())


def test_an_unknown_key_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="colour"):
        variable("colour")


@pytest.mark.parametrize("level", list(Level))
def test_no_two_variables_of_a_level_share_a_label(level: Level) -> None:
    labels = Counter(v.label.casefold() for v in ALL if v.level is level)
    assert [label for label, times in labels.items() if times > 1] == []


@pytest.mark.parametrize("number", NUMBERS, ids=ids(NUMBERS))
def test_a_number_has_a_dimension_and_plausible_ends(number: Variable) -> None:
    assert number.dimension in DIMENSIONS
    assert number.choices == ()
    if not number.derived:
        ends = number.plausible_interval
        assert isinstance(ends, Interval)
        assert (
            number.zero or not Interval.point(ends.low * 0).within(ends) or number.dimension == "temperature"
        )


@pytest.mark.parametrize(
    "other", [v for v in ALL if v not in NUMBERS], ids=ids([v for v in ALL if v not in NUMBERS])
)
def test_only_numbers_have_a_dimension(other: Variable) -> None:
    assert (other.dimension, other.plausible, other.zero) == (None, None, False)


@pytest.mark.parametrize("choice", CHOICES, ids=ids(CHOICES))
def test_choices_are_several_and_unlike(choice: Variable) -> None:
    if choice.derived and not choice.choices:
        return  # pairs of P-Numbers: too many to list, made by `derive`
    assert len(choice.choices) > 1
    assert len({c.key for c in choice.choices}) == len(choice.choices)
    assert len({c.label.casefold() for c in choice.choices}) == len(choice.choices)
    assert all(c.key == c.key.strip() and ";" not in c.key + c.label for c in choice.choices)


@pytest.mark.parametrize("each", ALL, ids=ids(ALL))
def test_a_definition_fits_together(each: Variable) -> None:
    assert each.processes
    assert each.processes <= set(PROCESSES)
    assert each.uses
    assert not each.many or each.many & each.uses
    assert each.label == each.label.strip()
    assert not each.help or each.help.endswith(".")
    assert each.level is Level.LINE or each.processes == set(PROCESSES)


@pytest.mark.parametrize("each", [v for v in ALL if v.shown_when], ids=ids([v for v in ALL if v.shown_when]))
def test_what_shows_a_variable_is_an_earlier_choice_of_its_level(each: Variable) -> None:
    assert each.shown_when is not None
    key, choices = each.shown_when
    other = variable(key)
    assert other.level is each.level
    assert other.uses >= each.uses
    assert choices < {c.key for c in other.choices}
    assert list(registry()).index(key) < list(registry()).index(each.key)


@pytest.mark.parametrize("use", list(RecordKind))
def test_derived_variables_are_never_typed_in(use: RecordKind) -> None:
    typed = [v for level in Level for v in variables_for(use, level)]
    assert typed
    assert not any(v.derived for v in typed)


@pytest.mark.parametrize(
    ("process", "has", "lacks"),
    [
        ("GMAW", {"transfer_mode", "wire_feed", "shielding_gas", "gun"}, {"tungsten_type", "flux_kind"}),
        (
            "GTAW",
            {"tungsten_type", "backing_gas", "consumable_insert"},
            {"transfer_mode", "wire_feed", "flux_kind"},
        ),
        ("SMAW", {"filler_classification", "amps"}, {"shielding_gas", "tungsten_type", "wire_feed"}),
        (
            "SAW",
            {"flux_kind", "wire_feed", "flux_wire_class"},
            {"shielding_gas", "transfer_mode", "progression"},
        ),
        ("FCAW", {"transfer_mode", "filler_form"}, {"tungsten_type", "flux_kind"}),
    ],
)
def test_a_line_asks_what_its_process_has(process: str, has: set[str], lacks: set[str]) -> None:
    keys = {v.key for v in variables_for(RecordKind.SPEC, Level.LINE, process)}
    assert has <= keys
    assert not lacks & keys
