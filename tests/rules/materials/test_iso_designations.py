"""Fillers by their ISO designation alone, and fillers as records write them.

How a designation is built is published in the standards' own listings of symbols; the examples are those that
suppliers' data sheets print for common wires and electrodes.
"""

from __future__ import annotations

import pytest

from qualification.rules.core.findings import Citation
from qualification.rules.core.values import MISSING
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.materials.catalogue import catalogue
from qualification.rules.materials.grouping import group
from qualification.rules.materials.iso_designations import read_iso_filler
from qualification.rules.variables.definition import RecordKind

DESIGNATIONS = [
    # as typed, name, standard, group of ISO 9606-1, covering or core
    ("G 42 4 M21 3Si1", "G 42 4 M21 3Si1", "ISO 14341", "FM1", ""),
    ("EN ISO 14341-A - G 42 4 M21 3Si1", "G 42 4 M21 3Si1", "ISO 14341", "FM1", ""),
    ("G3Si1", "G3Si1", "ISO 14341", "FM1", ""),
    ("E 42 2 B", "E 42 2 B", "ISO 2560", "FM1", "B"),
    ("E 38 0 RC 11", "E 38 0 RC 11", "ISO 2560", "FM1", "RC"),
    ("E 46 4 B 42 H5", "E 46 4 B 42 H5", "ISO 2560", "FM1", "B"),
    ("E 19 12 3 L R 3 2", "E 19 12 3 L R 3 2", "ISO 3581", "FM5", "R"),
    ("G 19 9 L Si", "G 19 9 L Si", "ISO 14343", "FM5", ""),
    ("W 42 5 W3Si1", "W 42 5 W3Si1", "ISO 636", "FM1", ""),
    ("T 46 4 P M21 1 H5", "T 46 4 P M21 1 H5", "ISO 17632", "FM1", "P"),
    ("T 42 3 M M 3 H5", "T 42 3 M M 3 H5", "ISO 17632", "FM1", "M"),
    ("G 69 6 M21 Mn4Ni2CrMo", "G 69 6 M21 Mn4Ni2CrMo", "ISO 16834", "FM2", ""),
    ("W CrMo1Si", "W CrMo1Si", "ISO 21952", "FM3", ""),
    ("S 42 4 AB S2", "S 42 4 AB S2", "ISO 14171", "FM1", ""),
    ("S Al 4047A (AlSi12(A))", "S Al 4047A", "ISO 18273", "", ""),
]


@pytest.mark.parametrize(("typed", "name", "standard", "fm", "cover"), DESIGNATIONS)
def test_a_designation_says_its_standard_group_and_covering(
    typed: str, name: str, standard: str, fm: str, cover: str
) -> None:
    found = read_iso_filler(typed)
    assert found is not None
    assert (found.name, found.standard, found.group, found.cover) == (name, standard, fm, cover)
    assert isinstance(found.citation, Citation)
    again = read_iso_filler(found.name)
    assert again is not None
    assert again.name == name


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "G",
        "E 37 4 B",
        "G 42 4 M21",
        "ISO 2560-A: G 42 4 M21 3Si1",
        "T 46 4 Q M21",
        "S355",
        "B 42",
        "x" * 90,
    ],
)
def test_what_is_not_built_as_a_designation_is_none(typed: str) -> None:
    assert read_iso_filler(typed) is None


def test_no_classification_of_the_catalogue_is_taken_for_a_solid_wire_of_another_kind() -> None:
    for filler in catalogue().fillers.values():
        found = read_iso_filler(filler.key)
        assert found is None or found.process != "GMAW", filler.key


def line_of(text: str, process: str, use: RecordKind = RecordKind.WELDER_TEST, code: str = "iso_9606_1_2012"):  # noqa: ANN201
    made = edition(code)
    found = read_weld(
        {}, [{"process": process, "filler_classification": text}], use, "si", speaks=made.speaks
    )
    return group(found.weld, made).lines[0], [p.message for p in found.problems]


@pytest.mark.parametrize(
    ("typed", "process", "fm", "cover"),
    [
        ("G 42 4 M21 3Si1", "GMAW", "FM1", ""),
        ("E 42 4 B 42 H5", "SMAW", "FM1", "B"),
        ("T 46 4 P M21 1 H5", "FCAW", "FM1", "P"),
        ("G 19 12 3 L Si", "GMAW", "FM5", ""),
    ],
)
def test_an_iso_name_alone_gives_group_and_covering_to_an_iso_record(
    typed: str, process: str, fm: str, cover: str
) -> None:
    line, problems = line_of(typed, process)
    assert problems == []
    assert line["filler_group"] == frozenset({fm})
    assert line["covering_type"] == (frozenset({cover}) if cover else MISSING)
    assert line["iso_filler"] == frozenset({typed})


def test_under_a_code_with_f_numbers_an_iso_name_alone_is_asked_for_its_own() -> None:
    line, problems = line_of("G 42 4 M21 3Si1", "GMAW", RecordKind.TEST, "asme_ix_2023")
    assert [("state its F-Number" in problem) for problem in problems] == [True]
    assert "f_number" not in line


FILLERS = [
    ("E71T-1C/-1M", RecordKind.SPEC, {"E71T-1C", "E71T-1M"}),
    ("E71T-9C/M", RecordKind.SPEC, {"E71T-9C", "E71T-9M"}),
    ("E71T-1C/-1M", RecordKind.TEST, {"E71T-1C"}),
    ("E309L-16/17", RecordKind.SPEC, {"E309L-16", "E309L-17"}),
    ("E6010/E7018", RecordKind.SPEC, {"E6010", "E7018"}),
    ("E71T-1M-JH8", RecordKind.TEST, {"E71T-1M"}),
    ("7018", RecordKind.TEST, {"E7018"}),
    ("F7A2-EM12K", RecordKind.TEST, {"EM12K"}),
]


@pytest.mark.parametrize(("typed", "use", "names"), FILLERS)
def test_a_filler_as_written_names_its_classes(typed: str, use: RecordKind, names: set[str]) -> None:
    found = read_weld({}, [{"process": "FCAW", "filler_classification": typed}], use, "us")
    assert found.weld.lines[0]["filler_classification"] == frozenset(names)


def test_two_electrodes_on_a_test_are_asked_for_a_line_each() -> None:
    found = read_weld(
        {}, [{"process": "SMAW", "filler_classification": "E6010/E7018"}], RecordKind.TEST, "us"
    )
    assert "names 2 things" in found.problems[0].message


def test_the_size_behind_a_filler_is_its_diameter() -> None:
    line = {"process": "GTAW", "filler_classification": "ER70S-2, 3/32"}
    facts = read_weld({}, [line], RecordKind.TEST, "us").weld.lines[0]
    assert facts["filler_classification"] == frozenset({"ER70S-2"})
    assert str(facts["filler_diameter"].low) == "2.38125"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("typed", "key", "a", "b"),
    [
        ("A36 to A572 Gr 50", "base_metal", "SA-36", "A572 50"),
        ("P No. 1 Gr. 1 to P No. 8 Gr. 1", "p_number", "1", "8"),
        ("P-No 8 to P-No 8", "p_number", "8", "8"),
    ],
)
def test_two_metals_in_one_text_are_the_two_sides(typed: str, key: str, a: str, b: str) -> None:
    joint = read_weld({"base_metal_a": typed}, [], RecordKind.SPEC, "us").weld.joint
    assert (joint[f"{key}_a"], joint[f"{key}_b"]) == (frozenset({a}), frozenset({b}))
