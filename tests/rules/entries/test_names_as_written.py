"""Positions by ISO 6947, fillers under two names or with their specification, and “or equivalent”."""

from __future__ import annotations

import json

import pytest

from qualification.rules.core.quantities import US
from qualification.rules.core.values import MISSING
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.entries.showing import entered_groups
from qualification.rules.interface.schema import document_schema
from qualification.rules.materials.catalogue import find_filler, find_metal
from qualification.rules.materials.grouping import group
from qualification.rules.variables.definition import RecordKind


def read(
    joint: dict[str, object], line: dict[str, str] | None = None, use: RecordKind = RecordKind.TEST
) -> ReadWeld:
    return read_weld(joint, [{"process": "GMAW", **(line or {})}], use, US)  # type: ignore[arg-type]


TESTS = [
    ("PA", "groove", "plate", "1G", ""),
    ("PA", "fillet", "plate", "1F", ""),
    ("PB", "fillet", "plate", "2F", ""),
    ("PC", "groove", "plate", "2G", ""),
    ("PD", "fillet", "plate", "4F", ""),
    ("PE", "groove", "plate", "4G", ""),
    ("PF", "groove", "plate", "3G", "up"),
    ("PF", "fillet", "plate", "3F", "up"),
    ("pg", "groove", "plate", "3G", "down"),
    ("PH", "groove", "pipe", "5G", "up"),
    ("PJ", "groove", "pipe", "5G", "down"),
    ("H-L045", "groove", "pipe", "6G", "up"),
    ("J-L045", "groove", "pipe", "6G", "down"),
]


@pytest.mark.parametrize(("typed", "weld_type", "form", "position", "direction"), TESTS)
def test_an_iso_position_of_a_coupon_is_its_test_position_and_its_direction(
    typed: str, weld_type: str, form: str, position: str, direction: str
) -> None:
    joint = {"weld_type": weld_type, "product_form": form, "test_position": typed}
    found = read(joint)
    assert found.problems == ()
    assert found.weld.joint["test_position"] == frozenset({position})
    assert found.weld.lines[0]["progression"] == (frozenset({direction}) if direction else MISSING)
    rows = {
        r.key: r for g in entered_groups(joint, [{"process": "GMAW"}], RecordKind.TEST, US) for r in g.rows
    }
    assert (rows["test_position"].first, rows["test_position"].beside) == (typed, position)


@pytest.mark.parametrize(
    ("joint", "words"),
    [
        ({"weld_type": "groove", "test_position": "PB"}, "no position of this weld type"),
        ({"test_position": "PA"}, "State whether it is a groove or a fillet weld"),
        ({"weld_type": "groove", "test_position": "PK"}, "no test position of its own"),
        (
            {"weld_type": "fillet", "product_form": "pipe", "test_position": "PB"},
            "more than one test",
        ),
        ({"weld_type": "groove", "product_form": "plate", "test_position": "PH"}, "a position of pipe"),
    ],
)
def test_a_position_that_leaves_something_open_is_refused(joint: dict[str, object], words: str) -> None:
    found = read(joint)
    assert words in found.problems[0].message
    assert "test_position" not in found.weld.joint


def test_positions_of_a_weld_and_a_direction_that_is_not_theirs() -> None:
    found = read({"position": ["PA", "PF"]}, use=RecordKind.SPEC)
    assert found.weld.joint["position"] == frozenset({"flat", "vertical"})
    assert found.weld.lines[0]["progression"] == frozenset({"up"})
    found = read({"weld_type": "groove", "test_position": "PF"}, {"progression": "down"})
    assert "the position says" in found.problems[0].message


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("ER4043 (A5.10)", "ER4043"),
        ("ER4043 (AWS A5.10)", "ER4043"),
        ("ER70S-6 (SFA-5.18)", "ER70S-6"),
        ("S Al 4043A", "ER4043"),
        ("ER4043 / S Al 4043A", "ER4043"),
        ("ER5356 (S Al 5356)", "ER5356"),
        ("ER5356 or equivalent", "ER5356"),
    ],
)
def test_a_filler_is_read_by_either_name_or_both(typed: str, key: str) -> None:
    found = read({}, {"filler_classification": typed})
    assert found.weld.lines[0]["filler_classification"] == frozenset({key})
    assert found.problems == ()
    assert found.readings[0, "filler_classification"].startswith(key)


@pytest.mark.parametrize(
    ("typed", "key", "form", "f_number"),
    [
        ("E71T1-C1A0-CS1", "E71T1-C1A0-CS1", "flux_cored", "6"),
        ("A5.36 E71T1-M21A4-CS2-H8", "E71T1-M21A4-CS2", "flux_cored", "6"),
        ("E70T15-M21A4-CS1 (A5.36)", "E70T15-M21A4-CS1", "metal_cored", "6"),
        ("e81t1-m21a8-ni1 H4", "E81T1-M21A8-Ni1", "flux_cored", "6"),
        ("E491T1-C1A3-CS1", "E491T1-C1A3-CS1", "flux_cored", "6"),
        ("E71T8-A2-CS3", "E71T8-A2-CS3", "flux_cored", "6"),
    ],
)
def test_a_name_of_the_open_system_of_cored_wires_is_read_by_its_rule(
    typed: str, key: str, form: str, f_number: str
) -> None:
    filler = find_filler(typed)
    assert filler is not None
    assert (filler.key, filler.specification, filler.form) == (key, "SFA-5.36", form)
    process = "GMAW" if form == "metal_cored" else "FCAW"
    found = read({}, {"process": process, "filler_classification": typed})
    assert found.problems == ()
    whole = group(found.weld, edition("asme_ix_2023"))
    assert whole.lines[0]["f_number"] == frozenset({f_number})


@pytest.mark.parametrize("typed", ["E71T1-C1A0-CS9", "E71T1-XXX", "E71T8-C1A2-CS3", "A5.20 E71T1-C1A0-CS1"])
def test_what_does_not_fit_the_open_system_is_no_cored_wire(typed: str) -> None:
    assert find_filler(typed) is None


@pytest.mark.parametrize(
    "typed", ["ER4043 (A5.18)", "ER4043 / S Al 5356", "ER5356 (ER4043)", "ER70S-6 (SFA-5.10)"]
)
def test_two_names_of_two_fillers_name_none(typed: str) -> None:
    assert find_filler(typed) is None


@pytest.mark.parametrize("typed", ["5052 or equivalent", "5052-H32 or equal", "5052, or approved equivalent"])
def test_or_equivalent_is_read_as_the_one_that_is_named_and_says_so(typed: str) -> None:
    found = find_metal(typed)
    assert found is not None
    assert found.key == "5052"
    said = read({"base_metal_a": typed}).readings[None, "base_metal_a"]
    assert said.endswith("“equivalent” is not defined and lets nothing else in")


@pytest.mark.parametrize("name", ["ranges", "coverage"])
def test_the_machine_interface_takes_iso_positions(name: str) -> None:
    assert '"PF"' in json.dumps(document_schema(name))
