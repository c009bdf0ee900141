"""The reader of specimens.toml: which specimens a coupon gives, and how they are made and bent.

[[tests]]         one group of tests, with the alternatives that satisfy it; `coupon_thickness` and
                  `weld_metal` pick a row by the thinner side or by all weld metal in the coupon
[[retest]]        what a retest takes: coupons, or specimens for each that failed
[[volumetric]]    where a volumetric examination may stand in for the bends
[[method]]        limits of one volumetric method
[[extra]]         kinds of result a coupon may carry beyond what it has to
[[bend_specimen]] thickness of a bend specimen, first row that fits
[[bend_former]]   former and die by metals, filler and elongation, first row that fits
[[bend_width]]    width of face and root bend specimens by pipe diameter
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ..core.findings import Citation
from ..tabular import schema
from ..tabular.bands import Band, band_table
from ..tabular.schema import CITED, Column, PairInterval, TablePlace, read_row, required
from ..variables.metal_systems import SYSTEMS
from ..variables.retests import AFTER_A_FAILURE, REPEATS, SPECIMENS
from ..variables.special_welds import WELD_TYPE
from .results import BENDS, VOLUMETRIC, ResultKind
from .specimen_rows import (
    Count,
    ExtraRow,
    FormerRow,
    MetalTest,
    MethodRow,
    PrintedJig,
    RetestRow,
    SpecimenRow,
    SpecimenTables,
    TestsRow,
    VolumetricRow,
    WidthRow,
)

SIDES = ("procedure", "welder")
WELDS = tuple(choice.key for choice in WELD_TYPE.choices)


def _kind(raw: Any, place: TablePlace) -> ResultKind:
    try:
        return ResultKind(raw)
    except ValueError as error:
        raise place.fail(f"{raw!r} is not a kind of result; kinds are {', '.join(ResultKind)}") from error


def kinds(raw: Any, place: TablePlace) -> frozenset[ResultKind]:
    """A list of kinds of result. Raises TableError for one that is not known."""
    return frozenset(_kind(item, place) for item in schema.keys(raw, place))


def _counts(raw: Any, place: TablePlace) -> tuple[Count, ...]:
    """`[ { face_bend = 1, root_bend = 1 }, { side_bend = 2 } ]`."""
    if not isinstance(raw, list) or not raw or not all(isinstance(item, dict) and item for item in raw):
        raise place.fail(f"expected a list of numbers by kind of result, found {raw!r}")
    found = []
    for item in raw:
        counts = {_kind(key, place): schema.whole(number, place) for key, number in item.items()}
        if min(counts.values()) < 1:
            raise place.fail(f"{item!r} asks for less than one")
        found.append(counts)
    return tuple(found)


def _metal_tests(raw: Any, place: TablePlace) -> tuple[MetalTest, ...]:
    if not isinstance(raw, list) or not raw:
        raise place.fail(f"expected a list of metals, found {raw!r}")
    columns = {"one_side": schema.keys, "other_side": schema.keys, "f_any": schema.keys}
    found = []
    for item in raw:
        row = {
            key: None if value is None else frozenset(value)
            for key, value in read_row(item, columns, place).items()
        }
        if not any(row.values()):
            raise place.fail("a metals entry states nothing")
        if row["other_side"] and not row["one_side"]:
            raise place.fail("other_side without one_side")
        for key in ("one_side", "other_side"):
            _check_choices(row[key], [system.side("a") for system in SYSTEMS.values()], place)
        _check_choices(row["f_any"], ["f_number"], place)
        found.append(MetalTest(**row))
    return tuple(found)


def _check_choices(found: frozenset[str] | None, variables: Sequence[str], place: TablePlace) -> None:
    """That the choices are those of a variable; of groups of metals `cross_checks` knows the system."""
    known = {choice.key for variable in variables for choice in schema.registry()[variable].choices}
    strange = sorted((found or frozenset()) - known)
    if strange:
        raise place.fail(f"{strange[0]!r} is not a choice of {variables[0]}")


_length, _span = schema.pair("length"), schema.pair_interval("length")
SAID = {**CITED, "because": required(schema.text)}

TESTS: dict[str, Column] = {
    **SAID,
    "side": required(schema.one_of(*SIDES)),
    "weld": required(schema.one_of(*WELDS)),
    "group": required(schema.text),
    "optional": schema.yes_no,
    "choice": schema.one_of("transverse", "longitudinal"),
    "when": schema.conditions,
    "coupon_thickness": _span,
    "weld_metal": _span,
    "any_of": _counts,
    "not_encoded": schema.yes_no,
}
RETEST_ROW: dict[str, Column] = {
    **SAID,
    "side": required(schema.one_of(*SIDES)),
    "retest": required(schema.one_of(*sorted(AFTER_A_FAILURE | REPEATS))),
    "coupons": schema.whole,
    "for_each": schema.whole,
    "when": schema.conditions,
    "states": schema.known_variable,
}
VOLUMETRIC_ROW: dict[str, Column] = {
    **SAID,
    "side": required(schema.one_of(*SIDES)),
    "kinds": required(kinds),
    "instead_of": required(schema.text),
    "when": required(schema.conditions),
    "unless": schema.condition_sets,
}
METHOD: dict[str, Column] = {**SAID, "kind": required(_kind), "coupon_thickness": required(_span)}
EXTRA: dict[str, Column] = {
    **SAID,
    "side": required(schema.one_of(*SIDES)),
    "weld": required(schema.one_of(*WELDS)),
    "kinds": required(kinds),
}
SPECIMEN: dict[str, Column] = {
    **SAID,
    "kinds": required(kinds),
    "metals": _metal_tests,
    "coupon_thickness": _span,
    "thickness": _length,
    "as_coupon": schema.yes_no,
}
FORMER: dict[str, Column] = {
    **SAID,
    "metals": _metal_tests,
    "elongation": schema.pair_interval("percent"),
    "unstated": schema.yes_no,
    "thickness": _length,
    "a": _length,
    "b": _length,
    "c": _length,
    "d": _length,
    "by_elongation": schema.yes_no,
    "clearance": _length,
}
WIDTH: dict[str, Column] = {
    **SAID,
    "product_form": required(schema.one_of("plate", "pipe")),
    "diameter": _span,
    "width": required(_length),
}
PARTS = {
    "tests": TESTS,
    "retest": RETEST_ROW,
    "volumetric": VOLUMETRIC_ROW,
    "method": METHOD,
    "extra": EXTRA,
    "bend_specimen": SPECIMEN,
    "bend_former": FORMER,
    "bend_width": WIDTH,
}


def cited_rows(
    raw: Mapping[str, Any],
    part: str,
    columns: Mapping[str, Column],
    place: TablePlace,
) -> list[tuple[dict[str, Any], TablePlace]]:
    """The rows of one part with their citation in place of its columns."""
    if not isinstance(raw.get(part, []), list):
        raise place.fail(f"expected [[{part}]] entries")
    found = []
    for index, item in enumerate(raw.get(part, []), start=1):
        here = place.at(f"{part} {index} ({item.get('clause', 'no clause')})")
        row = read_row(item, columns, here)
        citation = schema.citation(row, here)
        found.append(
            ({key: value for key, value in row.items() if key not in CITED} | {"citation": citation}, here)
        )
    return found


def read_specimens(
    raw: Mapping[str, Any],
    place: TablePlace,
) -> SpecimenTables:
    """Read specimens.toml. Raises TableError naming file and row."""
    if set(raw) - set(PARTS):
        raise place.fail(f"unknown part {sorted(set(raw) - set(PARTS))[0]!r}; parts are {', '.join(PARTS)}")
    read = {part: cited_rows(raw, part, columns, place) for part, columns in PARTS.items()}
    tests = tuple(_tests_row(row, here) for row, here in read["tests"])
    bends_asked = any(kind in BENDS for row in tests for counts in row.any_of for kind in counts)
    for part in ("tests", *(("bend_specimen", "bend_former") if bends_asked else ())):
        if not read[part]:
            raise place.fail(f"expected [[{part}]] entries")
    check_tiles(
        [
            (
                (row.side, row.weld, row.group, row.choice, row.when, row.weld_metal is None),
                row.coupon_thickness or row.weld_metal,
                row.citation,
            )
            for row in tests
        ],
        "tests",
        place,
    )
    methods: dict[ResultKind, MethodRow] = {}
    for row, here in read["method"]:
        if row["kind"] not in VOLUMETRIC or row["kind"] in methods:
            raise here.fail(f"{row['kind']} is no volumetric method, or is listed twice")
        methods[row["kind"]] = MethodRow(**row)
    return SpecimenTables(
        tests=tests,
        retests=_retests(read["retest"]),
        volumetric=tuple(_volumetric_row(row, here) for row, here in read["volumetric"]),
        methods=methods,
        extras=tuple(ExtraRow(**row) for row, _ in read["extra"]),
        specimens=_specimen_rows(read["bend_specimen"], place),
        formers=_former_rows(read["bend_former"], place),
        widths=_width_rows(read["bend_width"], place),
    )


def _retests(rows: Sequence[tuple[dict[str, Any], TablePlace]]) -> tuple[RetestRow, ...]:
    found: list[RetestRow] = []
    for row, here in rows:
        if row["retest"] not in (REPEATS if row["side"] == "procedure" else AFTER_A_FAILURE):
            raise here.fail(f"{row['retest']} is no retest of that side")
        number = row["for_each" if row["retest"] == SPECIMENS else "coupons"]
        if (row["coupons"] is None) is (row["for_each"] is None) or number is None or number < 1:
            raise here.fail("gives the coupons of a retest, or of further specimens how many for each")
        made = RetestRow(**{**row, "coupons": row["coupons"] or 1, "when": row["when"] or ()})
        if any((made.side, made.retest, made.when) == (o.side, o.retest, o.when) for o in found):
            raise here.fail("says the same as another row")
        found.append(made)
    return tuple(found)


def _tests_row(row: dict[str, Any], place: TablePlace) -> TestsRow:
    if row["coupon_thickness"] is not None and row["weld_metal"] is not None:
        raise place.fail("goes by coupon thickness and by weld metal at once; give one of the two")
    not_encoded = bool(row.pop("not_encoded"))
    if not_encoded is (row["any_of"] is not None):
        raise place.fail("needs any_of, or not_encoded = true, and not both")
    return TestsRow(
        **{**row, "optional": bool(row["optional"]), "when": row["when"] or (), "any_of": row["any_of"] or ()}
    )


def check_tiles(
    rows: Sequence[tuple[Any, PairInterval | None, Citation]],
    name: str,
    place: TablePlace,
    *,
    from_zero: bool = True,
) -> None:
    """Rows with the same key, differing only in their span, have to follow one another without gap or
    overlap."""
    by_key: dict[str, list[tuple[PairInterval | None, Citation]]] = {}
    for key, span, cited in rows:
        by_key.setdefault(repr(key), []).append((span, cited))
    for listed in by_key.values():
        if len(listed) == 1:
            continue
        if any(span is None for span, _ in listed):
            raise place.fail(f"{listed[-1][1].row} says the same as a row without a span")
        band_table(
            name, [Band(span, {}, cited) for span, cited in listed if span], place, from_zero=from_zero
        )


def _volumetric_row(row: dict[str, Any], place: TablePlace) -> VolumetricRow:
    if not row["kinds"] <= VOLUMETRIC:
        raise place.fail("only volumetric examinations can stand in for other tests")
    return VolumetricRow(**{**row, "kinds": tuple(sorted(row["kinds"])), "unless": row["unless"] or ()})


def _specimen_row(row: dict[str, Any], place: TablePlace) -> SpecimenRow:
    as_coupon = row.pop("as_coupon")
    if (row["thickness"] is None) == (not as_coupon):
        raise place.fail("needs a thickness, or as_coupon = true, and not both")
    if not row["kinds"] <= BENDS:
        raise place.fail("names a kind that is not a bend")
    return SpecimenRow(**{**row, "metals": row["metals"] or ()})


def _specimen_rows(
    rows: Sequence[tuple[dict[str, Any], TablePlace]], place: TablePlace
) -> tuple[SpecimenRow, ...]:
    found = tuple(_specimen_row(row, here) for row, here in rows)
    check_tiles(
        [
            ((sorted(row.kinds), [_metal_key(m) for m in row.metals]), row.coupon_thickness, row.citation)
            for row in found
        ],
        "bend_specimen",
        place,
    )
    return found


def _metal_key(test: MetalTest) -> tuple[Any, ...]:
    return tuple(
        None if names is None else sorted(names) for names in (test.one_side, test.other_side, test.f_any)
    )


def _width_rows(rows: Sequence[tuple[dict[str, Any], TablePlace]], place: TablePlace) -> tuple[WidthRow, ...]:
    found = tuple(WidthRow(**row) for row, _ in rows)
    check_tiles(
        [(row.product_form, row.diameter, row.citation) for row in found],
        "bend_width",
        place,
        from_zero=False,
    )
    return found


def _former_rows(
    rows: Sequence[tuple[dict[str, Any], TablePlace]], place: TablePlace
) -> tuple[FormerRow, ...]:
    found = []
    for row, here in rows:
        sizes = {key: row.pop(key) for key in ("thickness", "a", "b", "c", "d")}
        former = [sizes[key] is not None for key in ("thickness", "a")]
        die = [size is not None for size in (sizes["b"], sizes["c"], sizes["d"], row["clearance"])]
        by_elongation = bool(row.pop("by_elongation"))
        if any(former) != all(former) or all(former) == by_elongation or (by_elongation and any(die[:3])):
            raise here.fail("needs thickness, a, b, c and d, or else by_elongation = true")
        if all(former) and any(die) != all(die):
            raise here.fail("gives a part of the die; b, c, d and clearance belong together")
        if row["metals"] is None and row["elongation"] is None:
            raise here.fail("is for no metals and no elongation")
        printed = PrintedJig(**sizes) if all(former) else None
        row |= {"metals": row["metals"] or (), "unstated": bool(row["unstated"])}
        found.append(FormerRow(printed=printed, **row))
    check_tiles(
        [(row.metals, row.elongation, row.citation) for row in found if not row.metals],
        "bend_former",
        place,
        from_zero=False,
    )
    printed_for_elongation = any(row.elongation is not None and row.printed is not None for row in found)
    if sum(row.unstated for row in found) != int(printed_for_elongation):
        raise place.fail("exactly one [[bend_former]] row has to serve an elongation nobody stated")
    return tuple(found)
