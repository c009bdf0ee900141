"""The strict reading of `tables/practice/combinations.toml`: entries that do not go together, as data."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ..core.findings import Provenance, Source
from ..core.gases import COMPONENTS
from ..core.quantities import SI, QuantityError, read_quantity
from ..materials.catalogue import FAMILIES, Origin, origin
from ..tabular import schema
from ..tabular.schema import Column, TableError, TablePlace, read_row, required
from ..variables.definition import RecordKind
from ..variables.registry import registry

FILE = "combinations.toml"
TABLES = {"combination", "current", "kind", "record"}
COMMON_PRACTICE = "common practice"
BASES = {
    Provenance.PUBLISHED.value: Provenance.PUBLISHED.words,
    COMMON_PRACTICE: COMMON_PRACTICE,
    Provenance.MEMORY.value: Provenance.MEMORY.words,
}
"""What a row may rest on, and in words."""
ARITHMETIC = (
    "filler_process",
    "filler_specification",
    "load_voltage",
    "volts_for_feed",
    "current_of_electrode",
    "current_of_tungsten",
    "heat_input",
    "melts",
    "deposits_short",
    "root_opening",
    "temper",
    "fillet_size",
)
"""Comparisons that a row may name in `check`."""
RECORD_KEYS = ("welded_after_approval", "test_after_procedure", "welder_inactive", "welder_too_young")
"""What may be odd about the days of a record; each has a row."""


@dataclass(frozen=True)
class Beyond:
    """A value lies wholly above one number, wholly below another, or both, in canonical units."""

    above: Decimal | None
    below: Decimal | None


@dataclass(frozen=True)
class Combination:
    """One row; every condition of it has to hold."""

    key: str
    text: str
    fields: tuple[str, ...]
    basis: str
    """In words: public source, common practice, or unverified."""
    origin: Origin
    check: str
    when: Mapping[str, frozenset[str]]
    unless: Mapping[str, frozenset[str]]
    uses: frozenset[RecordKind]
    """Records it is about; none of them means every one."""
    stated: tuple[str, ...]
    words: tuple[str, ...]
    limits: Mapping[str, Beyond]
    metals: frozenset[str]
    both_metals: frozenset[str]
    unlike: bool
    """The sides are of different families."""
    metal_starts: tuple[str, ...]
    magnesium_above: Decimal | None
    heat_treatable: bool | None
    wrought: bool
    fillers: frozenset[str]
    filler_series: frozenset[str]
    filler_magnesium_above: Decimal | None
    filler_names: re.Pattern[str] | None
    """Every filler named has to be written so."""
    gas_above: Mapping[str, Decimal]
    no_gas: bool
    numbers: Mapping[str, Decimal]
    """Numbers of its arithmetic, lengths in mm."""
    accepted: frozenset[str]


@dataclass(frozen=True)
class Currents:
    """The currents an electrode of one size bears."""

    of: str
    diameter: Decimal
    polarity: str | None
    at_least: Decimal | None
    up_to: Decimal


@dataclass(frozen=True)
class CombinationKind:
    """What a group of a code says of the kind of a metal or a filler."""

    variables: tuple[str, ...]
    choices: frozenset[str]
    families: frozenset[str]
    processes: frozenset[str]


@dataclass(frozen=True)
class OfRecord:
    """Something odd about the days of a record or its welder."""

    key: str
    text: str
    basis: str
    origin: Origin
    years: Decimal | None


@dataclass(frozen=True)
class Combinations:
    rows: tuple[Combination, ...]
    of_records: Mapping[str, OfRecord]
    currents: tuple[Currents, ...]
    kinds: tuple[CombinationKind, ...]


def quantity(dimension: str) -> Column:
    """A single value written with its unit, in the canonical one."""

    def read(raw: Any, place: TablePlace) -> Decimal:
        try:
            value = read_quantity(schema.text(raw, place), dimension, SI, many=False).interval.low
        except QuantityError as error:
            raise place.fail(str(error)) from error
        assert value is not None
        return value

    return read


def _known(raw: Any, place: TablePlace) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    strange = [key for key in found if key not in registry()]
    if strange:
        raise place.fail(f"{strange[0]!r} is not a variable")
    return found


def _families(raw: Any, place: TablePlace) -> frozenset[str]:
    found = frozenset(schema.keys(raw, place))
    if found - set(FAMILIES):
        raise place.fail(f"{sorted(found - set(FAMILIES))[0]!r} is not a family of metals")
    return found


def _when(raw: Any, place: TablePlace) -> Mapping[str, frozenset[str]]:
    found = {}
    for key, choices in _table(raw, place).items():
        _known([key], place)
        found[key] = frozenset(schema.keys(choices, place))
        strange = found[key] - {choice.key for choice in registry()[key].choices}
        if strange:
            raise place.fail(f"{sorted(strange)[0]!r} is not a choice of {key}")
    return found


def _uses(raw: Any, place: TablePlace) -> frozenset[RecordKind]:
    words = {use.value: use for use in RecordKind}
    found = schema.keys(raw, place)
    if strange := set(found) - set(words):
        raise place.fail(f"{sorted(strange)[0]!r} is not one of {', '.join(sorted(words))}")
    return frozenset(words[each] for each in found)


def _limits(raw: Any, place: TablePlace) -> Mapping[str, Beyond]:
    found = {}
    for key, sides in _table(raw, place).items():
        _known([key], place)
        read = quantity(str(registry()[key].dimension))
        row = read_row(sides, {"above": read, "below": read}, place)
        if row["above"] is None and row["below"] is None:
            raise place.fail(f"{key} needs `above` or `below`")
        found[key] = Beyond(row["above"], row["below"])
    return found


def _gas(raw: Any, place: TablePlace) -> Mapping[str, Decimal]:
    found = {part: schema.number(share, place) for part, share in _table(raw, place).items()}
    strange = sorted(set(found) - set(COMPONENTS.values()))
    if strange:
        raise place.fail(f"{strange[0]!r} is not a component of gases")
    return found


def _table(raw: Any, place: TablePlace) -> Mapping[str, Any]:
    if not isinstance(raw, Mapping) or not raw:
        raise place.fail(f"expected keys and values, found {raw!r}")
    return raw


def _pattern(raw: Any, place: TablePlace) -> re.Pattern[str]:
    try:
        return re.compile(schema.text(raw, place))
    except re.error as error:
        raise place.fail(str(error)) from error


def _check(raw: Any, place: TablePlace) -> str:
    return schema.one_of(*ARITHMETIC)(raw, place)


_NUMBERS: dict[str, Column] = {
    "share": schema.number,
    "base": schema.number,
    "per_amp": schema.number,
    "off": schema.number,
    "slack": quantity("length"),
    "times": schema.number,
    "backed_times": schema.number,
    "backed_slack": quantity("length"),
}
_ORIGIN: dict[str, Column] = {
    "provenance": required(schema.one_of(*BASES)),
    "source": schema.keys,
    "remark": schema.text,
}
_COMBINATION: dict[str, Column] = {
    **_ORIGIN,
    **_NUMBERS,
    "key": required(schema.text),
    "text": required(schema.text),
    "fields": required(_known),
    "check": _check,
    "when": _when,
    "unless": _when,
    "uses": _uses,
    "stated": _known,
    "words": schema.keys,
    "limits": _limits,
    "metals": _families,
    "both_metals": _families,
    "unlike": schema.yes_no,
    "metal_starts": schema.keys,
    "magnesium_above": schema.number,
    "heat_treatable": schema.yes_no,
    "wrought": schema.yes_no,
    "fillers": _families,
    "filler_series": schema.keys,
    "filler_magnesium_above": schema.number,
    "filler_names": _pattern,
    "gas_above": _gas,
    "no_gas": schema.yes_no,
    "accepted": schema.keys,
}
_CURRENT: dict[str, Column] = {
    **_ORIGIN,
    "of": required(schema.one_of("covered", "tungsten")),
    "diameter": required(quantity("length")),
    "polarity": schema.one_of("DCEN", "DCEP", "AC"),
    "at_least": quantity("current"),
    "up_to": required(quantity("current")),
}
_KIND: dict[str, Column] = {
    **_ORIGIN,
    "variables": required(_known),
    "choices": required(schema.keys),
    "families": required(_families),
    "processes": schema.keys,
}
_RECORD: dict[str, Column] = {
    **_ORIGIN,
    "key": required(schema.one_of(*RECORD_KEYS)),
    "text": required(schema.text),
    "years": schema.number,
}


def build_combinations(raw: Mapping[str, Any], sources: Mapping[str, Source], folder: str) -> Combinations:
    """Check the parsed file. Raises TableError naming file and row."""
    if set(raw) != TABLES:
        raise TableError(f"{folder}/{FILE}: expected entries of {', '.join(sorted(TABLES))}")

    def rows(table: str, columns: Mapping[str, Column]) -> list[tuple[dict[str, Any], Origin, TablePlace]]:
        found = []
        for item, place in schema.numbered(raw[table], TablePlace(folder, FILE, table), table):
            row = read_row(item, columns, place)
            found.append((row, _origin(row, sources, place), place))
        return found

    made = [_combination(row, where, place) for row, where, place in rows("combination", _COMBINATION)]
    keys = [each.key for each in made]
    if len(set(keys)) != len(keys):
        raise TableError(f"{folder}/{FILE}: a key of [[combination]] stands twice")
    of_records = {
        row["key"]: OfRecord(row["key"], row["text"], BASES[row["provenance"]], where, row["years"])
        for row, where, _ in rows("record", _RECORD)
    }
    if set(of_records) != set(RECORD_KEYS):
        raise TableError(f"{folder}/{FILE}: expected one [[record]] entry for each of {RECORD_KEYS}")
    return Combinations(
        tuple(made),
        of_records,
        tuple(
            Currents(row["of"], row["diameter"], row["polarity"], row["at_least"], row["up_to"])
            for row, _, _ in rows("current", _CURRENT)
        ),
        tuple(
            CombinationKind(
                row["variables"],
                frozenset(row["choices"]),
                row["families"],
                frozenset(row["processes"] or ()),
            )
            for row, _, _ in rows("kind", _KIND)
        ),
    )


def _origin(row: Mapping[str, Any], sources: Mapping[str, Source], place: TablePlace) -> Origin:
    confirmed = row["provenance"] == Provenance.PUBLISHED.value
    written = Provenance.PUBLISHED if confirmed else Provenance.MEMORY
    return origin({**row, "provenance": written.value}, sources, place)


def _combination(row: Mapping[str, Any], where: Origin, place: TablePlace) -> Combination:
    empty: frozenset[str] = frozenset()
    made = Combination(
        key=row["key"],
        text=row["text"],
        fields=row["fields"],
        basis=BASES[row["provenance"]],
        origin=where,
        check=row["check"] or "",
        when=row["when"] or {},
        unless=row["unless"] or {},
        uses=row["uses"] or frozenset(),
        stated=row["stated"] or (),
        words=row["words"] or (),
        limits=row["limits"] or {},
        metals=row["metals"] or empty,
        both_metals=row["both_metals"] or empty,
        unlike=bool(row["unlike"]),
        metal_starts=row["metal_starts"] or (),
        magnesium_above=row["magnesium_above"],
        heat_treatable=row["heat_treatable"],
        wrought=bool(row["wrought"]),
        fillers=row["fillers"] or empty,
        filler_series=frozenset(row["filler_series"] or ()),
        filler_magnesium_above=row["filler_magnesium_above"],
        filler_names=row["filler_names"],
        gas_above=row["gas_above"] or {},
        no_gas=bool(row["no_gas"]),
        numbers={key: row[key] for key in _NUMBERS if row[key] is not None},
        accepted=frozenset(row["accepted"] or ()),
    )
    speaks_of_something = (
        made.check,
        made.stated,
        made.words,
        made.limits,
        made.fillers,
        made.filler_series,
        made.filler_names,
        made.gas_above,
        made.no_gas,
        len(made.when) > 1,
    )
    if not any(speaks_of_something):
        raise place.fail("needs a second entry to speak of")
    return made
