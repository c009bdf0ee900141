"""The edition's numbers for metals, fillers and weld metal: each pinned by a case, some checked elsewhere."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.core.quantities import US, read_quantity
from qualification.rules.materials.a_numbers import a_number_for, read_a_numbers
from qualification.rules.materials.catalogue import catalogue
from qualification.rules.materials.grouping import base_metals, fillers, minimum_tensile
from qualification.rules.materials.grouping_tables import read_base_metals, read_fillers
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError, TablePlace
from tests.rules.readers.catalogue_case_files import answers, complaints
from tests.rules.readers.grouping_edition import FILES, SECTION_IX, SECTION_IX_FILES, edition_with

ALL = list(answers(SECTION_IX))


def test_the_tables_answer_as_stated() -> None:
    assert [answer.complaint for answer in ALL if answer.complaint] == []


def test_tables_call_a_number_published_exactly_where_a_page_states_it() -> None:
    wrong = []
    for answer in ALL:
        page = re.fullmatch(r"published: (\S+)", answer.source)
        assert page or answer.source == "memory", f"{answer.name}: {answer.source}"
        if answer.provenance and (answer.provenance == "published") != bool(page):
            wrong.append(answer.name)
        if answer.provenance and page and page[1] not in answer.sources:
            wrong.append(f"{answer.name}: {page[1]} is not among {answer.sources}")
    assert wrong == []


def test_every_item_of_the_tables_and_of_the_catalogue_has_its_case() -> None:
    named = {answer.name.rpartition(":")[0] for answer in ALL}
    assert set(base_metals(SECTION_IX).numbers) | set(base_metals(SECTION_IX).minima) <= named
    assert set(fillers(SECTION_IX).f_numbers) <= named
    assert set(catalogue().metals) | set(catalogue().fillers) <= named


def _mutations() -> Iterator[tuple[str, str, Edition | None]]:
    """Each group number, strength, span and limit changed on its own; `None` where the loader refuses it."""
    for file in FILES:
        for table, rows in SECTION_IX_FILES[file].items():
            for index, row in enumerate(rows):
                for name, changed in _changed_rows(row):
                    raw = {**SECTION_IX_FILES[file], table: [*rows[:index], changed, *rows[index + 1 :]]}
                    try:
                        yield file, f"{table} {index + 1}: {name}", edition_with(file, raw)
                    except TableError:
                        yield file, f"{table} {index + 1}: {name}", None


def _changed_rows(row: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for key, value in row.items():
        if key in ("number", "group", "form"):
            for other in ("1", "2", "23", "43", "plate", "pipe"):
                if other != value:
                    yield f"{key} {value} -> {other}", {**row, key: other}
        elif key in ("metals", "fillers"):
            for gone in value:
                yield f"without {gone}", {**row, key: [item for item in value if item != gone]}
        elif isinstance(value, dict):
            yield from _changed_ends(row, key)
    if "group" in row:
        yield "without group", {k: v for k, v in row.items() if k != "group"}


def _changed_ends(row: dict[str, Any], key: str) -> Iterator[tuple[str, dict[str, Any]]]:
    for path in _leaves(row[key]):
        for factor in (Decimal("1.01"), Decimal("0.99")):
            changed = copy.deepcopy(row)
            node = changed[key]
            for step in path[:-1]:
                node = node[step]
            node[path[-1]] = _times(node[path[-1]], factor)
            yield f"{key} {'.'.join(path)} x {factor}", changed


def _leaves(node: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _leaves(value, (*path, key))
    else:
        yield path


def _times(value: Any, factor: Decimal) -> Any:
    if isinstance(value, Decimal):
        return value * factor
    reading = re.fullmatch(r"(?:(\d+) )?(\d+)(?:/(\d+)|(\.\d+))? (\S+)", value)
    assert reading, value
    number = Decimal(reading[1] or 0) + Decimal(reading[2] + (reading[4] or "")) / Decimal(reading[3] or 1)
    return f"{number * factor:f} {reading[5]}"


def test_every_number_changed_on_its_own_is_noticed_by_a_case() -> None:
    tried, unnoticed = 0, []
    for file, name, changed in _mutations():
        tried += 1
        if changed is not None and next(complaints(changed, file), None) is None:
            unnoticed.append(f"{file}: {name}")
    assert tried > 1000
    assert not unnoticed, "\n".join(unnoticed)


# The Welding of Aluminium and its Alloys, page 207, tables 10.5 and 10.6.
TEXTBOOK_P = {
    "21": "1060 1100 3003",
    "22": "3004 5052 5154 5254 5454 5652",
    "23": "6061 6063",
    "25": "5083 5086 5456",
}
TEXTBOOK_F = {
    "21": "E1100 ER1100 ER1188 E3003",
    "22": "ER5554 ER5356 ER5556 ER5183 ER5654",
    "23": "ER4009 ER4010 ER4043 ER4047 ER4145 ER4643",
    "25": "ER2319",
}


def test_aluminium_groups_agree_with_the_textbook() -> None:
    numbers, f_numbers = base_metals(SECTION_IX).numbers, fillers(SECTION_IX).f_numbers
    assert {p: {m for m in names.split() if numbers[m].number == p} for p, names in TEXTBOOK_P.items()} == {
        p: set(names.split()) for p, names in TEXTBOOK_P.items()
    }
    assert {f: {n for n in names.split() if f_numbers[n].number == f} for f, names in TEXTBOOK_F.items()} == {
        f: set(names.split()) for f, names in TEXTBOOK_F.items()
    }


# Rules for high-speed craft, minimum ultimate strength of butt-welded alloys in plate up to 1 1/2 in, in ksi:
# a classification society's rule book, part 2, butt-welded aluminum.
BUTT_WELDED = {"5083": 40, "5086": 35, "5454": 31, "5456": 42, "6061": 24}


@pytest.mark.parametrize(("metal", "ksi"), BUTT_WELDED.items())
def test_minimum_of_plate_agrees_with_another_rule_book(metal: str, ksi: int) -> None:
    quarter_inch = read_quantity("1/4 in", "length", US).interval
    found = minimum_tensile(metal, SECTION_IX, quarter_inch, "plate")
    assert found.strength == read_quantity(f"{ksi} ksi", "stress", US).interval.low


def test_5083_armour_plate_is_asked_40_ksi_whatever_its_temper() -> None:
    """Aluminum Workshop (thefabricator.com): 5083-H131, 1/2 in, broke at 41 ksi and passes at 40."""
    found = minimum_tensile("5083-H131", SECTION_IX, read_quantity("1/2 in", "length", US).interval, "plate")
    broke_at = read_quantity("41 ksi", "stress", US).interval.low
    assert found.strength == read_quantity("40 ksi", "stress", US).interval.low < broke_at


# Weld metal of covered electrodes by AWS A5.5 (https://rewon.com.my/ferrous_data/table_8-7.htm) and of insert
# wire by SFA-5.30 (http://robvon.com/html/consumchem.html): the middle of each range, or the highest value.
# Which of the twelve groups such deposits are qualified as is common practice.
DEPOSITS = {
    "E7018-A1": ({"C": "0.12", "Mn": "0.90", "Si": "0.80", "Ni": "0", "Cr": "0", "Mo": "0.52"}, "2"),
    "E8018-B2": ({"C": "0.08", "Mn": "0.90", "Si": "0.80", "Ni": "0", "Cr": "1.25", "Mo": "0.52"}, "3"),
    "E9018-B3": ({"C": "0.08", "Mn": "0.90", "Si": "0.80", "Ni": "0", "Cr": "2.25", "Mo": "1.05"}, "4"),
    "E8018-C1": ({"C": "0.12", "Mn": "1.25", "Si": "0.80", "Ni": "2.4", "Cr": "0", "Mo": "0"}, "10"),
    "E8018-C2": ({"C": "0.12", "Mn": "1.25", "Si": "0.80", "Ni": "3.4", "Cr": "0", "Mo": "0"}, "10"),
    "308L": ({"C": "0.03", "Mn": "1.75", "Si": "0.42", "Ni": "10.0", "Cr": "20.75", "Mo": "0"}, "8"),
    "316L": ({"C": "0.03", "Mn": "1.75", "Si": "0.42", "Ni": "12.5", "Cr": "19.0", "Mo": "2.5"}, "8"),
}


@pytest.mark.parametrize(("name", "analysis", "number"), [(name, *case) for name, case in DEPOSITS.items()])
def test_published_weld_metal_falls_in_its_group(name: str, analysis: dict[str, str], number: str) -> None:
    found = a_number_for({symbol: Decimal(percent) for symbol, percent in analysis.items()}, SECTION_IX)
    assert found.numbers == (number,)
    assert found.open == ()


def test_analysis_with_an_element_left_out_leaves_the_group_open() -> None:
    found = a_number_for(
        {"C": Decimal("0.08"), "Mn": Decimal("0.9"), "Cr": Decimal("1.25"), "Mo": Decimal("0.5")}, SECTION_IX
    )
    assert found.numbers == ()
    assert [g.number for g in found.open] == ["3", "12"]
    assert found.needs == ("Ni", "Si")


def test_analysis_that_fits_no_group_has_none() -> None:
    high_manganese = {"C": "0.4", "Mn": "12", "Si": "0.5", "Ni": "0", "Cr": "0", "Mo": "0"}
    found = a_number_for({symbol: Decimal(percent) for symbol, percent in high_manganese.items()}, SECTION_IX)
    assert (found.fits, found.open, found.needs) == ((), (), ())


def test_percentage_that_cannot_be_is_refused_with_its_value() -> None:
    with pytest.raises(ValueError, match="Cr 120 % is not a percentage; give a number from 0 to 100"):
        a_number_for({"Cr": Decimal(120)}, SECTION_IX)


PLACE = TablePlace("some_code", "some.toml")
CITED = {"clause": "1", "provenance": "memory"}
TENSILE = {"metals": ["6061"], "minimum": {"us": "24 ksi", "si": "165 MPa"}, **CITED}
THIN = {"span": {"up_to": {"us": "1 in", "si": "25 mm"}}}
MIDDLE = {"span": {"at_least": {"us": "1 in", "si": "25 mm"}, "up_to": {"us": "2 in", "si": "50 mm"}}}
SI_ONLY = {"span": {"above": {"us": "1 in", "si": "24 mm"}}}
P_23 = {"metals": ["6061"], "number": "23", **CITED}


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (
            {"p_number": [{**P_23, "metals": ["Unobtainium"]}]},
            "p_number 1 (Unobtainium): 'Unobtainium' is not a metal of",
        ),
        ({"p_number": [{**P_23, "metals": ["6061", "6061"]}]}, "names something twice"),
        (
            {"p_number": [P_23, {**P_23, "metals": ["6063", "6061"]}]},
            "p_number 2 (6063, 6061): '6061' has a number already, in",
        ),
        ({"p_number": [{**P_23, "number": "2"}]}, "'2' is not one of"),
        ({"p_number": [{**P_23, "clause": " "}]}, "expected text"),
        ({"p_number": [{k: v for k, v in P_23.items() if k != "clause"}]}, "the key 'clause' is missing"),
        ({"p_number": [{**P_23, "provenance": "published"}]}, "marked published, but names no source"),
        ({"p_number": [{**P_23, "source": ["X"]}]}, "source 'X' is not listed"),
        ({"p_number": [{**P_23, "pnumber": "23"}]}, "unknown key 'pnumber'"),
        ({"p_numbers": [P_23]}, "some_code/some.toml: unknown table 'p_numbers'"),
        ({"minimum_tensile": [{**TENSILE, "minimum": {"us": "24 ksi"}}]}, "expected { us = ..., si = ... }"),
        (
            {"minimum_tensile": [TENSILE, TENSILE]},
            "minimum_tensile 2 (6061): '6061' has two minima for one thickness",
        ),
        ({"minimum_tensile": [{**TENSILE, **THIN}, {**TENSILE, **MIDDLE}]}, "two minima for one thickness"),
        ({"minimum_tensile": [{**TENSILE, **THIN}, {**TENSILE, **SI_ONLY}]}, "two minima for one thickness"),
        (
            {"minimum_tensile": [TENSILE, {**TENSILE, "form": "plate"}]},
            "one for a single form; give the form in both",
        ),
        ({"minimum_tensile": [{**TENSILE, "form": "foil"}]}, "'foil' is not one of plate"),
    ],
)
def test_table_of_base_metals_is_refused_naming_the_row(raw: dict[str, Any], message: str) -> None:
    with pytest.raises(TableError) as refused:
        read_base_metals(raw, PLACE)
    assert message in str(refused.value)
    assert str(refused.value).startswith("some_code/some.toml")


F_22 = {"fillers": ["ER5356"], "number": "22", **CITED}


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (
            {"f_number": [{**F_22, "fillers": ["ER9999"]}]},
            "f_number 1 (ER9999): 'ER9999' is not a filler of the catalogue",
        ),
        (
            {"f_number": [F_22, {**F_22, "number": "23"}]},
            "'ER5356' has a number already, in some.toml, f_number 1 (ER5356)",
        ),
        ({"f_number": [{**F_22, "number": "7"}]}, "'7' is not one of"),
        ({"typical_deposit": [{**F_22, "number": "22"}]}, "'22' is not one of 1, 2"),
    ],
)
def test_table_of_fillers_is_refused_naming_the_row(raw: dict[str, Any], message: str) -> None:
    with pytest.raises(TableError) as refused:
        read_fillers(raw, PLACE)
    assert message in str(refused.value)


A_1 = {
    "number": "1",
    "name": "Mild steel",
    **{s: {"up_to": Decimal(1)} for s in ("C", "Cr", "Mo", "Ni", "Mn", "Si")},
    **CITED,
}


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        ({"a_number": [A_1, A_1]}, "a_number 2 (A-1): A-1 is listed twice"),
        ({"a_number": [{**A_1, "number": "unassigned"}]}, "is not one of 1, 2"),
        (
            {"a_number": [{**A_1, "Cr": {"at_least": Decimal(2), "up_to": Decimal(1)}}]},
            "cannot run from 2 to 1",
        ),
        ({"a_number": [{**A_1, "Cr": {"up_to": Decimal(101)}}]}, "101 is not a percentage"),
        ({"a_number": [{**A_1, "Cr": {"below": Decimal(1)}}]}, "expected at_least, up_to or both"),
        ({"a_number": [{k: v for k, v in A_1.items() if k != "Si"}]}, "the key 'Si' is missing"),
        ({"groups": []}, "expected nothing but [[a_number]] entries"),
    ],
)
def test_table_of_weld_metal_is_refused_naming_the_row(raw: dict[str, Any], message: str) -> None:
    with pytest.raises(TableError) as refused:
        read_a_numbers(raw, PLACE)
    assert message in str(refused.value)
