"""The strict reader of `tables/engineering/`: published numbers of the trade that belong to no edition of a
code."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from ..core.findings import Source
from ..core.gases import GasError, read_gas
from ..core.quantities import SI, QuantityError, read_quantity
from ..core.values import Interval
from ..materials.catalogue import FAMILIES, FORMS, ORIGIN, Origin, origin
from ..tabular import edition, schema
from ..tabular.schema import Column, TableError, TablePlace, read_row, required
from ..variables.definition import PROCESSES
from ..variables.registry import variable

FOLDER = "engineering"


@dataclass(frozen=True)
class EngineeringRow:
    """One row: its columns by name, and where its numbers come from."""

    columns: Mapping[str, Any]
    origin: Origin

    def __getitem__(self, column: str) -> Any:
        return self.columns[column]


@dataclass(frozen=True)
class Engineering:
    rows: Mapping[str, tuple[EngineeringRow, ...]]
    """By the name of their table, such as `spray`."""
    sources: Mapping[str, Source]

    def table(self, name: str) -> tuple[EngineeringRow, ...]:
        return self.rows[name]

    def threshold(self, key: str) -> float:
        """A threshold of waveform.toml. Raises KeyError for one that is not there."""
        return float(self._one("threshold", key)["value"])

    def tolerance(self, key: str) -> Decimal:
        """A tolerance of plausibility.toml as a share of one. Raises KeyError for one that is not there."""
        return Decimal(self._one("tolerance", key)["percent"]) / 100

    def _one(self, table: str, key: str) -> EngineeringRow:
        for row in self.rows[table]:
            if row["key"] == key:
                return row
        raise KeyError(f"there is no {table} {key!r}")


def quantity(dimension: str) -> Column:
    """`"3/64 in"`: a number with its unit, as a Decimal in the canonical unit."""

    def read(raw: Any, place: TablePlace) -> Decimal:
        try:
            value = read_quantity(schema.text(raw, place), dimension, SI, many=False).interval.low
        except QuantityError as error:
            raise place.fail(str(error)) from error
        if value is None or not str(raw).rstrip()[-1:].isalpha():
            raise place.fail(f"{raw!r} has no unit")
        return value

    return read


def span(dimension: str) -> Column:
    """`{ at_least = "19 V", up_to = "22 V" }`, both ends required."""
    end = quantity(dimension)

    def read(raw: Any, place: TablePlace) -> Interval:
        if not isinstance(raw, dict) or set(raw) != {"at_least", "up_to"}:
            raise place.fail(f"expected {{ at_least = ..., up_to = ... }}, found {raw!r}")
        return _ordered(end(raw["at_least"], place), end(raw["up_to"], place), place)

    return read


def bounds(raw: Any, place: TablePlace) -> Interval:
    """`{ low = 90, high = 93 }`: plain numbers."""
    if not isinstance(raw, dict) or set(raw) != {"low", "high"}:
        raise place.fail(f"expected {{ low = ..., high = ... }}, found {raw!r}")
    return _ordered(schema.number(raw["low"], place), schema.number(raw["high"], place), place)


def ranges(raw: Any, place: TablePlace) -> Mapping[str, Interval]:
    """`{ name = [least, most], ... }`."""
    if not isinstance(raw, dict) or not raw:
        raise place.fail(f"expected ranges by name, found {raw!r}")
    found = {}
    for name, pair in raw.items():
        if not isinstance(pair, list) or len(pair) != 2:
            raise place.fail(f"expected [least, most] for {name}, found {pair!r}")
        found[name] = _ordered(schema.number(pair[0], place), schema.number(pair[1], place), place)
    return found


def _ordered(low: Decimal, high: Decimal, place: TablePlace) -> Interval:
    try:
        return Interval(low, high)
    except ValueError as error:
        raise place.fail(str(error)) from error


def _numbers(raw: Any, place: TablePlace) -> tuple[Decimal, ...]:
    if not isinstance(raw, list) or not raw:
        raise place.fail(f"expected numbers, found {raw!r}")
    return tuple(schema.number(each, place) for each in raw)


def _each(allowed: tuple[str, ...]) -> Column:
    def read(raw: Any, place: TablePlace) -> tuple[str, ...]:
        found = schema.keys(raw, place)
        strange = [item for item in found if item not in allowed]
        if strange:
            raise place.fail(f"{strange[0]!r} is not one of {', '.join(allowed)}")
        return found

    return read


def _gases(raw: Any, place: TablePlace) -> tuple[str, ...]:
    try:
        return tuple(read_gas(item) for item in schema.keys(raw, place))
    except GasError as error:
        raise place.fail(str(error)) from error


MODES = tuple(choice.key for choice in variable("transfer_mode").choices)
OPERATIONS = tuple(choice.key for choice in variable("operation").choices)
MEASURES = tuple(choice.key for choice in variable("heat_input_measure").choices)
_FAMILY, _FAMILIES = required(schema.one_of(*FAMILIES)), required(_each(FAMILIES))
_SIZE, _AMPS = required(quantity("length")), required(schema.number)

SCHEMAS: dict[str, dict[str, dict[str, Column]]] = {
    "wires.toml": {
        "density": {
            "families": _FAMILIES,
            "density": required(schema.number),
        },
        "feed": {
            "family": _FAMILY,
            "diameter": _SIZE,
            "amps": _AMPS,
            "feed": required(quantity("wire_feed")),
        },
        "melting": {
            "family": _FAMILY,
            "diameter": _SIZE,
            "arc_term": required(schema.number),
            "extension_term": required(schema.number),
            "sizes": required(span("length")),
            "extension": required(bounds),
            "off": required(schema.number),
        },
    },
    "transfer.toml": {
        "spray": {"families": _FAMILIES, "gases": required(_gases), "diameter": _SIZE, "amps": _AMPS},
        "setting": {
            "families": _FAMILIES,
            "modes": required(_each(MODES)),
            "gases": _gases,
            "diameter": _SIZE,
            "volts": required(span("voltage")),
            "amps": required(span("current")),
        },
        "current_range": {"family": _FAMILY, "diameter": _SIZE, "amps": required(span("current"))},
    },
    "heat.toml": {
        "convention": {
            "key": required(schema.text),
            "family": required(schema.one_of(*edition.FAMILIES)),
            "code": required(schema.text),
            "measure": required(schema.one_of(*MEASURES)),
            "efficiency": required(schema.yes_no),
            "clause": schema.text,
            "words": required(schema.text),
        },
        "efficiency": {"processes": required(_each(PROCESSES)), "factor": required(schema.number)},
    },
    "deposition.toml": {
        "yield": {
            "processes": required(_each(PROCESSES)),
            "modes": _each(MODES),
            "forms": _each(FORMS),
            "shielded": schema.yes_no,
            "percent": required(bounds),
        },
        "back_gouge": {"radius": required(span("length"))},
        "operating_factor": {
            "processes": required(_each(PROCESSES)),
            "operations": required(_each(OPERATIONS)),
            "percent": required(bounds),
        },
    },
    "steel.toml": {
        "cet_validity": {"ranges": required(ranges)},
        "preheat_validity": {"ranges": required(ranges)},
        "shape_factor": {
            "shape": required(schema.text),
            "label": required(schema.text),
            "two": required(bounds),
            "three": required(bounds),
        },
        "susceptibility": {
            "key": required(schema.text),
            "words": required(schema.text),
            "up_to": schema.number,
            "letters": required(schema.keys),
        },
        "pcm_step": {"ends": required(_numbers)},
        "hydrogen_scale": {"scale": required(schema.text), "above": required(schema.number)},
    },
    "start.toml": {
        "wire_start": {
            "family": _FAMILY,
            "weld_type": required(schema.one_of("groove", "fillet")),
            "thickness": _SIZE,
            "diameter": _SIZE,
            "amps": _AMPS,
            "volts": required(span("voltage")),
            "feed": required(quantity("wire_feed")),
            "travel": required(quantity("travel_speed")),
        },
        "tungsten_start": {
            "family": _FAMILY,
            "weld_type": required(schema.one_of("groove", "fillet")),
            "thickness": _SIZE,
            "amps": required(span("current")),
            "tungsten": _SIZE,
            "diameter": _SIZE,
            "flow": required(quantity("flow")),
        },
        "heat_start": {
            "series": required(schema.keys),
            "magnesium_above": schema.number,
            "preheat": required(quantity("temperature")),
            "interpass": required(quantity("temperature")),
        },
        "preheat_start": {
            "metals": required(schema.keys),
            "processes": required(_each(PROCESSES)),
            "up_to": quantity("length"),
            "preheat": required(quantity("temperature")),
        },
        "flow_start": {
            "process": required(schema.one_of(*PROCESSES)),
            "families": _FAMILIES,
            "flow": required(span("flow")),
        },
    },
    "plausibility.toml": {"tolerance": {"key": required(schema.text), "percent": required(schema.number)}},
    "waveform.toml": {
        "threshold": {
            "key": required(schema.text),
            "value": required(schema.number),
            "unit": lambda raw, place: raw if raw == "" else schema.one_of("Hz", "A", "V", "s")(raw, place),
        },
    },
}
"""Tables by file, columns by table."""


@lru_cache(maxsize=1)
def engineering() -> Engineering:
    """The tables that ship with the program. Raises TableError when they cannot be trusted."""
    return build(edition.read_files(edition.ROOT / FOLDER))


def build(files: Mapping[str, Mapping[str, Any]]) -> Engineering:
    """Check the parsed files. Raises TableError naming file and row."""
    for file in ("sources.toml", *SCHEMAS):
        if file not in files:
            raise TableError(f"{FOLDER}/{file}: the file is missing")
    for file in files:
        if file not in ("sources.toml", *SCHEMAS):
            raise TableError(f"{FOLDER}/{file}: not a file of these tables")
    sources = edition.read_sources(FOLDER, files["sources.toml"])
    found: dict[str, tuple[EngineeringRow, ...]] = {}
    for file, named in SCHEMAS.items():
        unknown = sorted(set(files[file]) - set(named))
        if unknown:
            raise TablePlace(FOLDER, file).fail(
                f"unknown table {unknown[0]!r}; allowed are {', '.join(named)}"
            )
        for table, columns in named.items():
            found[table] = _rows(files[file].get(table), file, table, columns, sources)
    _no_key_twice(found)
    return Engineering(found, sources)


def _rows(
    raw: Any, file: str, table: str, columns: Mapping[str, Column], sources: Mapping[str, Source]
) -> tuple[EngineeringRow, ...]:
    listed = []
    for item, place in schema.numbered(raw, TablePlace(FOLDER, file, table), table):
        row = read_row(item, {**ORIGIN, **columns}, place)
        from_where = origin(row, sources, place)
        listed.append(EngineeringRow({name: row[name] for name in columns}, from_where))
    return tuple(listed)


def _no_key_twice(found: Mapping[str, tuple[EngineeringRow, ...]]) -> None:
    keyed: tuple[tuple[str, Callable[[EngineeringRow], Any]], ...] = (
        ("tolerance", lambda row: row["key"]),
        ("threshold", lambda row: row["key"]),
        ("convention", lambda row: row["key"]),
        ("shape_factor", lambda row: row["shape"]),
    )
    for table, key in keyed:
        keys = [key(row) for row in found[table]]
        twice = [k for k in keys if keys.count(k) > 1]
        if twice:
            raise TableError(f"{FOLDER}: {table} {twice[0]!r} is listed twice")
