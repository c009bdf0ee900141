"""Which tests a coupon has to pass, and the strictness of the tables behind it."""

from __future__ import annotations

import copy
import itertools
from decimal import Decimal as D
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.quantities import SI, US
from qualification.rules.editions.loader import build, edition, shipped_files
from qualification.rules.entries.reading import read_weld
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.requirements import Requirements
from qualification.rules.testing.results import BENDS
from qualification.rules.testing.specimens import required_tests, say_specimen, tables_of
from qualification.rules.testing.test_options import Particulars, read_particulars
from qualification.rules.variables.definition import RecordKind

IX = "asme_ix_2023"
PLATE = {
    "weld_type": "groove",
    "base_metal_a": "6061",
    "base_metal_b": "same",
    "thickness_a": "1/4",
    "thickness_b": "same",
    "product_form": "plate",
    "test_position": "3G",
}
GMAW = {
    "process": "GMAW",
    "transfer_mode": "spray",
    "filler_classification": "ER5356",
    "deposit_thickness": "1/4",
}


def required(
    joint: dict[str, str],
    line: dict[str, str],
    side: Side,
    particulars: Particulars | None = None,
    system: str = US,
) -> Requirements:
    read = read_weld(
        {**PLATE, **joint},
        [{**GMAW, **line}],
        RecordKind.TEST if side is Side.PROCEDURE else RecordKind.WELDER_TEST,
        system,
    )
    assert not read.problems, read.problems
    return required_tests(Coupon("T1", read.weld, system), edition(IX), side, particulars)


def test_a_list_to_cut_specimens_by() -> None:
    asked = required({}, {}, Side.PROCEDURE)
    lines = [say_specimen(s, US) for r in asked.requirements for a in r.alternatives for s in a.specimens]
    assert lines == [
        "2 tension tests",
        "2 face bends, specimen 1/8 in thick, 1 1/2 in wide, former 2 1/16 in",
        "2 root bends, specimen 1/8 in thick, 1 1/2 in wide, former 2 1/16 in",
    ]


def test_every_requirement_and_every_bend_names_its_clauses() -> None:
    asked = required({"thickness_a": "1/2"}, {}, Side.PROCEDURE)
    for requirement in asked.requirements:
        assert requirement.citation.clause.startswith("QW-")
        assert requirement.because.endswith(".")
        for alternative in requirement.alternatives:
            for specimen in alternative.specimens:
                if specimen.kind in BENDS:
                    clauses = {c.clause for c in specimen.citations}
                    assert any(c.startswith("QW-466.1") for c in clauses)
                    assert any(c.startswith("QW-462") for c in clauses)


def test_what_is_missing_is_named_in_words() -> None:
    asked = required({"thickness_a": ""}, {"deposit_thickness": ""}, Side.WELDER)
    (item,) = asked.open
    assert item.needs == ("deposit_thickness",)
    assert item.sentence.startswith(
        "State deposit thickness. The number and kind of tests depend on it, QW-452.1(a)"
    )


# Multiples of the specimen thickness as the jig page prints them.
@pytest.mark.parametrize(
    ("clause_row", "multiple"), [(0, D("16.5")), (1, D(20) / 3), (2, D(8)), (3, D(10)), (5, D(4))], ids=str
)
def test_printed_formers_are_the_printed_multiple(clause_row: int, multiple: D) -> None:
    jig = tables_of(edition(IX)).formers[clause_row].printed
    assert jig is not None
    assert jig.a.us / jig.thickness.us == pytest.approx(multiple, rel=D("1e-20"))


# B is the radius of A, C is A + 2 t + clearance, D is half of C: the formulas of the jig page (source JIG).
@pytest.mark.parametrize("row", [0, 1, 2, 3, 5])
def test_printed_dimensions_follow_the_printed_formulas(row: int) -> None:
    former = tables_of(edition(IX)).formers[row]
    jig = former.printed
    assert jig is not None
    assert jig.b.us == jig.a.us / 2
    assert jig.c.us == jig.a.us + 2 * jig.thickness.us + former.clearance.us
    assert jig.d.us == jig.c.us / 2
    # The metric column is the inch one rounded to a tenth, or a hair more.
    for us, si in ((jig.a.us, jig.a.si), (jig.b.us, jig.b.si), (jig.c.us, jig.c.si), (jig.d.us, jig.d.si)):
        assert abs(us - si) <= D("0.1")


@given(st.decimals(D(3), D("19.9"), places=1))
def test_a_former_by_elongation_stretches_the_fibre_by_that_elongation(elongation: D) -> None:
    """Percent outer fibre elongation is 100 t / (A + t): source JIG, note (b)."""
    asked = required({"base_metal_a": "A356.0"}, {}, Side.PROCEDURE, Particulars(elongation=elongation))
    for requirement in asked.requirements:
        for specimen in requirement.alternatives[0].specimens:
            if specimen.kind in BENDS:
                assert specimen.former is not None
                assert specimen.thickness is not None
                strain = 100 * specimen.thickness / (specimen.former + specimen.thickness)
                assert strain == pytest.approx(elongation, rel=D("1e-20"))


@given(st.decimals(D("0.02"), D(8), places=3), st.sampled_from([US, SI]), st.sampled_from(list(Side)))
def test_every_thickness_has_its_tests(inches: D, system: str, side: Side) -> None:
    thickness = f"{inches} in"
    asked = required({"thickness_a": thickness}, {"deposit_thickness": thickness}, side, system=system)
    assert asked.open == ()
    groups = {r.group: r for r in asked.requirements}
    assert set(groups) == ({"tension", "bends"} if side is Side.PROCEDURE else {"visual", "bends"})
    for alternative in groups["bends"].alternatives:
        assert sum(s.number for s in alternative.specimens) == (4 if side is Side.PROCEDURE else 2)
        for specimen in alternative.specimens:
            assert specimen.thickness is not None
            assert specimen.former_most is not None
            assert specimen.former is not None
            assert specimen.former <= specimen.former_most


@pytest.mark.parametrize("positions", list(itertools.combinations(("1G", "2G", "3G", "4G"), 2)), ids="+".join)
def test_positions_on_one_record_add_up(positions: tuple[str, str]) -> None:
    asked = required({"test_position": "; ".join(positions)}, {}, Side.WELDER)
    assert sorted({r.position for r in asked.requirements}) == sorted(positions)
    bends = [r for r in asked.requirements if r.group == "bends"]
    assert sum(s.number for r in bends for s in r.alternatives[0].specimens) == 4


@pytest.mark.parametrize(
    ("entries", "fragment"),
    [
        ({"bends": "sideways"}, "Bends: “sideways” is not one of the choices: transverse, longitudinal."),
        ({"elongation": "0"}, "outside what it can be"),
        ({"elongation": "100 %"}, "below 100 %"),
        ({"elongation": "12 mm"}, "is not a unit this field takes"),
        ({"minimum_tensile": "much"}, "could not be read as a number"),
        ({"colour": "red"}, "is not something a record says of its tests"),
    ],
)
def test_particulars_that_cannot_be_read(entries: dict[str, str], fragment: str) -> None:
    particulars, problems = read_particulars(entries, US)
    assert particulars == Particulars()
    assert len(problems) == 1
    assert fragment in problems[0].message


def test_particulars_as_typed() -> None:
    particulars, problems = read_particulars(
        {"bends": "longitudinal", "elongation": "17", "minimum_tensile": "24 ksi"}, US
    )
    assert problems == ()
    assert particulars.bends == "longitudinal"
    assert particulars.elongation == 17
    assert particulars.stated_minimum == D("165.474175")


# --- The loader refuses what it cannot trust ------------------------------------------------------------

FILES = shipped_files(IX)


def changed(file: str, part: str, index: int, **columns: Any) -> dict[str, Any]:
    files = {**FILES, file: copy.deepcopy(FILES[file])}
    row = files[file][part][index]
    for key, value in columns.items():
        if value is None:
            del row[key]
        else:
            row[key] = value
    return files


SPECIMENS, ACCEPTANCE = "specimens.toml", "acceptance.toml"


def index_of(file: str, part: str, **wanted: Any) -> int:
    return next(
        i for i, row in enumerate(FILES[file][part]) if all(row.get(k) == v for k, v in wanted.items())
    )


def test_the_tables_as_they_are_load() -> None:
    assert build(IX, FILES).more["specimens"] == edition(IX).more["specimens"]


@pytest.mark.parametrize(
    ("file", "part", "index", "columns", "message"),
    [
        (SPECIMENS, "tests", 0, {"clause": None}, r"specimens.toml, tests 1 .*'clause' is missing"),
        (SPECIMENS, "tests", 0, {"colour": "red"}, "unknown key 'colour'"),
        (SPECIMENS, "tests", 0, {"source": ["NOBODY"]}, "'NOBODY' is not listed"),
        (SPECIMENS, "tests", 0, {"source": None}, "marked published, but names no source"),
        (SPECIMENS, "tests", 0, {"side": "welding operator"}, "is not one of procedure, welder"),
        (SPECIMENS, "tests", 0, {"any_of": [{"handbell": 2}]}, "'handbell' is not a kind of result"),
        (SPECIMENS, "tests", 0, {"any_of": [{"tension": 0}]}, "asks for less than one"),
        (SPECIMENS, "tests", 0, {"any_of": []}, "expected a list of numbers"),
        (
            SPECIMENS,
            "tests",
            2,
            {"coupon_thickness": {"at_least": {"us": "1/2 in", "si": "10 mm"}}},
            "gap|nothing covers|overlaps",
        ),
        (
            SPECIMENS,
            "tests",
            2,
            {"weld_metal": {"below": {"us": "1 in", "si": "25 mm"}}},
            "at once; give one of the two",
        ),
        (SPECIMENS, "volumetric", 0, {"kinds": ["macro"]}, "only volumetric examinations"),
        (SPECIMENS, "method", 0, {"kind": "macro"}, "no volumetric method"),
        (SPECIMENS, "bend_specimen", 0, {"as_coupon": False}, "needs a thickness, or as_coupon"),
        (SPECIMENS, "bend_specimen", 4, {"kinds": ["macro"]}, "not a bend"),
        (
            SPECIMENS,
            "bend_specimen",
            0,
            {"metals": [{"one_side": ["99"]}]},
            "'99' is not a choice of p_number_a",
        ),
        (SPECIMENS, "bend_specimen", 0, {"metals": [{"other_side": ["23"]}]}, "other_side without one_side"),
        (SPECIMENS, "bend_specimen", 0, {"metals": [{}]}, "states nothing"),
        (SPECIMENS, "bend_specimen", 0, {"metals": []}, "expected a list of metals"),
        (SPECIMENS, "bend_former", 0, {"c": None}, "belong together"),
        (SPECIMENS, "bend_former", 0, {"by_elongation": True}, "needs thickness, a, b, c and d"),
        (SPECIMENS, "bend_former", 0, {"metals": None}, "is for no metals and no elongation"),
        (SPECIMENS, "bend_former", 5, {"unstated": False}, "exactly one"),
        (
            SPECIMENS,
            "bend_former",
            5,
            {"elongation": {"at_least": {"us": "25 %", "si": "25 %"}}},
            "there is a gap",
        ),
        (SPECIMENS, "bend_width", 2, {"diameter": {"above": {"us": "2 in", "si": "50 mm"}}}, "overlaps|gap"),
        (ACCEPTANCE, "check", 0, {"check": "taste"}, "there is no check 'taste'"),
        (ACCEPTANCE, "check", 0, {"divisor": 1}, "strength takes .*found divisor"),
        (ACCEPTANCE, "check", 1, {"share": None}, "base_metal_break takes share, found none"),
        (ACCEPTANCE, "check", 0, {"kinds": ["song"]}, "'song' is not a kind of result"),
    ],
)
def test_a_table_that_cannot_be_trusted_is_refused(
    file: str, part: str, index: int, columns: dict[str, Any], message: str
) -> None:
    with pytest.raises(TableError, match=message):
        build(IX, changed(file, part, index, **columns))


def test_rows_of_a_check_leave_no_gap() -> None:
    index = index_of(ACCEPTANCE, "check", check="linear_length", divisor=3)
    span = {"above": {"us": "1/2 in", "si": "10 mm"}, "up_to": {"us": "2-1/4 in", "si": "57 mm"}}
    with pytest.raises(TableError, match="gap"):
        build(IX, changed(ACCEPTANCE, "check", index, coupon_thickness=span))


def test_a_length_check_takes_one_kind_of_number() -> None:
    index = index_of(ACCEPTANCE, "check", check="linear_length", divisor=3)
    with pytest.raises(TableError, match="exactly one of"):
        build(IX, changed(ACCEPTANCE, "check", index, most={"us": "1 in", "si": "25 mm"}))


@pytest.mark.parametrize(
    ("file", "part"), [(SPECIMENS, "tests"), (SPECIMENS, "bend_former"), (ACCEPTANCE, "check")]
)
def test_a_missing_or_strange_part_is_refused(file: str, part: str) -> None:
    files = {**FILES, file: {key: rows for key, rows in FILES[file].items() if key != part}}
    with pytest.raises(TableError, match="expected"):
        build(IX, files)
    with pytest.raises(TableError, match="unknown part|nothing but"):
        build(IX, {**FILES, file: {**FILES[file], "tune": []}})
