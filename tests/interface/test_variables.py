"""`manage.py variables`: the registry as JSON, and a schema that says the same."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from qualification.rules.core.quantities import DIMENSIONS, SI, US
from qualification.rules.core.values import MISSING, NOT_APPLICABLE, Interval, Stated
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.set_aside import set_aside
from qualification.rules.interface.questions import variables_document
from qualification.rules.interface.schema import FORMAT, RECORDS, document_schema, input_schema
from qualification.rules.interface.values import value_json
from qualification.rules.materials.catalogue import catalogue
from qualification.rules.variables.definition import Level, RecordKind, ValueKind, Variable
from qualification.rules.variables.registry import registry, variables_for
from tests.interface.documents import question, run, run_apart, test_record

SCHEMA = input_schema()


def test_the_command_prints_registry_and_schema_without_a_database() -> None:
    done = run_apart("variables")
    assert (done.returncode, done.stderr) == (0, b"")
    printed = json.loads(done.stdout)
    assert printed == {**variables_document(), "schema": SCHEMA}
    assert printed["format"] == FORMAT


def test_the_schema_is_printed_alone() -> None:
    done = run("variables", "--schema")
    assert (done.returncode, json.loads(done.stdout)) == (0, SCHEMA)


def test_every_variable_is_listed_once_and_in_order() -> None:
    assert [v["key"] for v in variables_document()["variables"]] == list(registry())


def test_what_is_said_of_a_number() -> None:
    (said,) = [v for v in variables_document()["variables"] if v["key"] == "thickness_a"]
    assert said["unit"] == {
        "dimension": "length",
        "canonical": "mm",
        "us": "in",
        "si": "mm",
        "negative": False,
        "accepted": said["unit"]["accepted"],
    }
    assert {"in", "inch", '"'} <= set(said["unit"]["accepted"]["in"])
    assert said["plausible"] == {"low": "0.3", "high": "500", "zero": False}
    assert (said["level"], said["kind"], said["several_on"]) == ("joint", "number", ["spec", "part"])
    assert said["records"] == ["procedure_test", "welder_test", "spec", "part", "trial"]


def test_what_is_said_of_a_choice() -> None:
    (said,) = [v for v in variables_document()["variables"] if v["key"] == "current_programme"]
    assert [c["key"] for c in said["choices"]] == ["steady", "pulsed", "double_pulsed"]
    assert said["unit"] is None
    (below,) = [v for v in variables_document()["variables"] if v["key"] == "slow_frequency"]
    assert below["shown_when"] == {"variable": "current_programme", "choices": ["double_pulsed"]}


def test_derived_variables_are_listed_and_never_stated() -> None:
    (said,) = [v for v in variables_document()["variables"] if v["key"] == "thickness_thinner"]
    assert (said["derived"], said["records"]) == (True, [])
    assert "thickness_thinner" not in json.dumps(SCHEMA)


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("use", list(RecordKind))
@pytest.mark.parametrize("level", list(Level))
def test_the_schema_of_a_record_holds_its_variables_and_no_other(use: RecordKind, level: Level) -> None:
    said = SCHEMA["$defs"][f"{RECORDS[use]}_{level.value}"]
    assert set(said["properties"]) == {v.key for v in variables_for(use, level)}
    assert said["additionalProperties"] is False


def test_the_schema_tells_both_documents_apart() -> None:
    whole = Draft202012Validator(SCHEMA)
    assert whole.is_valid(test_record())
    assert whole.is_valid(question())
    assert not whole.is_valid({**test_record(), "tests": []})
    assert not whole.is_valid({})


WORDS = (
    st.text("abcdefgXYZ 0123456789-.", min_size=1, max_size=30)
    .map(lambda t: " ".join(t.split()))
    .filter(lambda t: t and t.lower() not in ("n.a.", "na"))
)
GASES = {
    "100Ar": "Ar",
    "75Ar/25CO2": "Ar 75 / CO2 25",
    "He": "He",
    "none": "none",
    "98Ar/2O2": "Ar 98 / O2 2",
}
Pair = tuple[Any, Stated]
"""An entry, and the value it stands for."""


@st.composite
def number_entries(draw: st.DrawFn, definition: Variable, several: bool) -> Pair:
    dimension = DIMENSIONS[str(definition.dimension)]
    ends = definition.plausible_interval
    assert ends is not None
    whole = dimension.key == "count"
    numbers = st.decimals(ends.low, ends.high, places=0 if whole else 2).filter(
        lambda n: n != 0 or definition.zero
    )
    low, high = sorted((draw(numbers), draw(numbers)))
    low, high = low + 0, high + 0  # -0 is 0
    unit = dimension.canonical.symbol
    if several and draw(st.booleans()):
        return f"{low:f} to {high:f} {unit}".strip(), Interval(low, high)
    return f"{low:f} {unit}".strip(), Interval.point(low)


def named(keys: dict[str, str] | list[str], several: bool) -> st.SearchStrategy[Pair]:
    """One of the keys, or a list of them where the record may claim several."""
    meaning = keys if isinstance(keys, dict) else {key: key for key in keys}
    one = st.sampled_from(sorted(meaning)).map(lambda key: (key, frozenset({meaning[key]})))
    if not several:
        return one
    lists = st.lists(st.sampled_from(sorted(meaning)), min_size=1, max_size=3, unique=True)
    return one | lists.map(lambda keys: (keys, frozenset(meaning[key] for key in keys)))


def entries(definition: Variable, use: RecordKind) -> st.SearchStrategy[Pair]:
    several = use in definition.many
    absent = st.just(("n/a", NOT_APPLICABLE)) if definition.may_be_na else st.nothing()
    if definition.kind is ValueKind.NUMBER:
        return number_entries(definition, several) | absent
    if definition.kind is ValueKind.TEXT:
        return WORDS.map(lambda text: (text, text)) | absent
    known: dict[ValueKind, dict[str, str] | list[str]] = {
        ValueKind.CHOICE: [c.key for c in definition.choices],
        ValueKind.GAS: GASES,
        ValueKind.METAL: sorted(catalogue().metals)[:40],
        ValueKind.FILLER: sorted(catalogue().fillers)[:40],
    }
    return named(known.get(definition.kind, ["AB 42", "CD 46 6"]), several) | absent


@st.composite
def records(draw: st.DrawFn) -> tuple[RecordKind, str, list[dict[str, Pair]]]:
    """A kind of record, a unit system, and pairs by variable for the joint and for one line."""
    use, system = draw(st.sampled_from(list(RecordKind))), draw(st.sampled_from([US, SI]))
    process = draw(st.sampled_from([c.key for c in registry()["process"].choices]))
    levels: list[dict[str, Pair]] = []
    for definitions in (variables_for(use, Level.JOINT), variables_for(use, Level.LINE, process)):
        # Rows of settings say other entries; they have tests of their own.
        free = [v for v in definitions if v.key != "settings_by_size"]
        chosen = draw(st.lists(st.sampled_from(free), max_size=12, unique_by=lambda v: v.key))
        levels.append({v.key: draw(entries(v, use)) for v in chosen})
    if process in ("GMAW", "FCAW", "SAW") and use not in (RecordKind.SPEC, RecordKind.PART):
        # Several sizes of wire on a test are a line each.
        size = levels[1].get("filler_diameter", ("", None))[1]
        if isinstance(size, Interval) and not size.is_point:
            del levels[1]["filler_diameter"]
    levels[1]["process"] = (process, frozenset({process}))
    return use, system, levels


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(records())
def test_a_valid_document_fits_the_schema_and_says_what_it_says(
    record: tuple[RecordKind, str, list[dict[str, Pair]]],
) -> None:
    use, system, levels = record
    joint, line = ({key: entry for key, (entry, _) in level.items()} for level in levels)
    for level, stated in zip(Level, (joint, line), strict=True):
        validator = Draft202012Validator(
            {"$ref": f"#/$defs/{RECORDS[use]}_{level.value}", "$defs": SCHEMA["$defs"]}
        )
        assert [error.message for error in validator.iter_errors(stated)] == []
    read = read_weld(joint, [line], use, system)
    assert read.problems == ()
    for facts, level_pairs in zip((read.weld.joint, read.weld.lines[0]), levels, strict=True):
        values = {key: value for key, (_, value) in level_pairs.items()}
        aside = {key for key in set_aside(values, values) if values[key] is not NOT_APPLICABLE}
        assert {key: facts[key] for key in values} == values | dict.fromkeys(aside, MISSING)


@pytest.mark.parametrize("name", ["ranges", "coverage"])
def test_each_document_has_a_schema_of_its_own(name: str) -> None:
    schema = document_schema(name)
    Draft202012Validator.check_schema(schema)
    document = test_record() if name == "ranges" else question()
    assert Draft202012Validator(schema).is_valid(document)
    assert not Draft202012Validator(schema).is_valid({**document, "format": "coupon-to-paper/2"})
    assert Draft202012Validator(schema).is_valid({**document, "format": FORMAT})


def test_numbers_are_text_so_that_no_reader_rounds_them() -> None:
    third = value_json("thickness_a", Interval(Decimal("1.5875"), Decimal("1E+2"), high_open=True))
    assert third == {
        "kind": "interval",
        "unit": "mm",
        "low": {"value": "1.5875", "open": False},
        "high": {"value": "100", "open": True},
    }
