"""Readers of an edition's tables of base metals and fillers: the group it puts each in, the strength it asks.

  base_metals.toml   metals and their groups, in a table named after the edition's system ([[p_number]],
                     [[m_number]] ...); [[minimum_tensile]] minima, by form and thickness
  fillers.toml       [[f_number]] or [[filler_group]], fillers and their numbers; [[typical_deposit]] what a
                     filler usually leaves

A metal or filler the catalogue does not know, one that is numbered twice, and minima that overlap are
refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

from ..core.findings import Citation
from ..core.quantities import SI, US
from ..core.values import Interval
from ..tabular import schema
from ..tabular.schema import CITED, Column, Pair, PairInterval, TablePlace, read_row, required
from ..variables.metal_systems import SYSTEMS, MetalSystem
from ..variables.registry import registry
from .catalogue import catalogue

PRODUCT_FORMS = ("plate", "pipe", "extrusion", "fitting")
"""`plate` and `pipe` are choices of the variable `product_form`; the others are told apart by minima only."""


@dataclass(frozen=True)
class Numbered:
    """One item and the number the edition gives it."""

    item: str
    number: str
    citation: Citation
    group: str = ""
    """Group within the group, where the system has such; empty where the edition gives none."""


@dataclass(frozen=True)
class Minimum:
    """A minimum tensile strength, for one form and one span of thickness."""

    minimum: Pair
    form: str
    """One of PRODUCT_FORMS; empty for every form."""
    span: PairInterval
    citation: Citation


@dataclass(frozen=True)
class BaseMetals:
    system: MetalSystem | None = None
    """The numbering system of `numbers`."""
    numbers: Mapping[str, Numbered] = field(default_factory=dict)
    minima: Mapping[str, tuple[Minimum, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Fillers:
    f_numbers: Mapping[str, Numbered] = field(default_factory=dict)
    groups: Mapping[str, Numbered] = field(default_factory=dict)
    """Filler groups of ISO 9606."""
    deposits: Mapping[str, Numbered] = field(default_factory=dict)


def _known_metals(raw: Any, place: TablePlace) -> tuple[str, ...]:
    return _known(raw, catalogue().metals, "metal", place)


def _known_fillers(raw: Any, place: TablePlace) -> tuple[str, ...]:
    return _known(raw, catalogue().fillers, "filler", place)


def _known(raw: Any, among: Mapping[str, object], what: str, place: TablePlace) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    strange = [key for key in found if key not in among]
    if strange:
        raise place.fail(f"{strange[0]!r} is not a {what} of the catalogue")
    return found


def _choice_of(variable: str) -> Column:
    return schema.one_of(*(choice.key for choice in registry()[variable].choices))


def numbering(system: MetalSystem) -> dict[str, Column]:
    """Columns of the rows that place metals in the groups of a system."""
    columns = {**CITED, "metals": required(_known_metals), "number": required(_choice_of(system.side("a")))}
    return {**columns, "group": _choice_of(system.sub_side("a"))} if system.sub_stem else columns


MINIMUM: dict[str, Column] = {
    **CITED,
    "metals": required(_known_metals),
    "minimum": required(schema.pair("stress")),
    "form": schema.one_of(*PRODUCT_FORMS),
    "span": schema.pair_interval("length"),
}
F_NUMBER: dict[str, Column] = {
    **CITED,
    "fillers": required(_known_fillers),
    "number": required(_choice_of("f_number")),
}
FILLER_GROUP: dict[str, Column] = {
    **CITED,
    "fillers": required(_known_fillers),
    "number": required(_choice_of("filler_group")),
}
DEPOSIT: dict[str, Column] = {
    **CITED,
    "fillers": required(_known_fillers),
    "number": required(_choice_of("a_number")),
}

FILLERS: dict[str, dict[str, Column]] = {
    "f_number": F_NUMBER,
    "filler_group": FILLER_GROUP,
    "typical_deposit": DEPOSIT,
}

Rows = list[tuple[Mapping[str, Any], Citation, TablePlace]]


def read_base_metals(raw: Mapping[str, Any], place: TablePlace) -> BaseMetals:
    """Raises TableError naming file and row."""
    named = [system for stem, system in SYSTEMS.items() if stem in raw]
    if len(named) > 1:
        raise place.fail(
            f"groups metals by {named[0].stem} and by {named[1].stem}; an edition has one system"
        )
    groups = {system.stem: numbering(system) for system in named}
    tables = _read(raw, {**groups, "minimum_tensile": MINIMUM}, "metals", place)
    minima: dict[str, list[Minimum]] = {}
    for row, cited, here in tables["minimum_tensile"]:
        span = row["span"] or PairInterval(Interval(None, None), Interval(None, None))
        made = Minimum(row["minimum"], row["form"] or "", span, cited)
        for metal in row["metals"]:
            minima.setdefault(metal, []).append(made)
            _check_minima(metal, minima[metal], here)
    system = named[0] if named else None
    numbers = _numbers(tables[system.stem], "metals") if system else {}
    return BaseMetals(system, numbers, {metal: tuple(found) for metal, found in minima.items()})


def read_fillers(raw: Mapping[str, Any], place: TablePlace) -> Fillers:
    """Raises TableError naming file and row."""
    tables = _read(raw, FILLERS, "fillers", place)
    return Fillers(
        **{
            name: _numbers(tables[table], "fillers")
            for name, table in (
                ("f_numbers", "f_number"),
                ("groups", "filler_group"),
                ("deposits", "typical_deposit"),
            )
        }
    )


def _read(
    raw: Mapping[str, Any],
    schemas: Mapping[str, Mapping[str, Column]],
    items: str,
    place: TablePlace,
) -> dict[str, Rows]:
    strange = sorted(set(raw) - set(schemas))
    if strange:
        raise place.fail(f"unknown table {strange[0]!r}; allowed are {', '.join(schemas)}")
    found: dict[str, Rows] = {table: [] for table in schemas}
    for table, columns in schemas.items():
        for index, item in enumerate(raw.get(table, []), start=1):
            named = ", ".join(map(str, item.get(items, [])[:3]))
            here = place.at(f"{table} {index} ({named})")
            row = read_row(item, columns, here)
            found[table].append((row, schema.citation(row, here), here))
    return found


def _numbers(rows: Rows, items: str) -> dict[str, Numbered]:
    found: dict[str, Numbered] = {}
    for row, cited, here in rows:
        for item in row[items]:
            if item in found:
                raise here.fail(f"{item!r} has a number already, in {found[item].citation.row}")
            found[item] = Numbered(item, row["number"], cited, row.get("group") or "")
    return found


def _check_minima(metal: str, minima: Sequence[Minimum], place: TablePlace) -> None:
    for one, other in combinations(minima, 2):
        if bool(one.form) != bool(other.form):
            raise place.fail(
                f"{metal!r} has a minimum for every form and one for a single form; give the form in both"
            )
        if one.form == other.form and any(
            one.span.of(system).meets(other.span.of(system)) for system in (US, SI)
        ):
            raise place.fail(f"{metal!r} has two minima for one thickness; the other is {one.citation.row}")
