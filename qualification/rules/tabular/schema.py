"""Column types for the code tables, and the error that names file and row.

A column type is a function from the raw TOML value and the place it stands in to the typed value. What a
schema does not name is refused: a table with a misspelt key must never half-load.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from ..core.findings import Citation, Provenance, Source
from ..core.quantities import DIMENSIONS, SI, US, QuantityError, read_quantity
from ..core.values import Interval
from ..variables.definition import ValueKind
from ..variables.limits import Condition
from ..variables.registry import registry


class TableError(ValueError):
    """A code table cannot be trusted; the message opens with file and row."""


@dataclass(frozen=True)
class Book:
    """The code that a table is of, as findings cite it, and the public pages that its rows may name."""

    code: str
    edition: str
    sources: Mapping[str, Source]


@dataclass(frozen=True)
class TablePlace:
    """Where in the tables something stands, for errors, for citing it and for finding the row again."""

    edition: str
    file: str
    row: str = ""
    book: Book = Book("", "", {})

    def at(self, row: str) -> TablePlace:
        """A row of the same file."""
        return replace(self, row=row)

    def fail(self, message: str) -> TableError:
        where = f"{self.edition}/{self.file}" + (f", {self.row}" if self.row else "")
        return TableError(f"{where}: {message}")


@dataclass(frozen=True)
class Pair:
    """One limit in both unit systems, each in canonical units; codes round them apart."""

    us: Decimal
    si: Decimal

    def of(self, system: str) -> Decimal:
        return self.us if system == US else self.si


@dataclass(frozen=True)
class PairInterval:
    """An interval of limits in both unit systems."""

    us: Interval
    si: Interval

    def of(self, system: str) -> Interval:
        return self.us if system == US else self.si


@dataclass(frozen=True)
class ConditionSpec:
    """A condition as the table writes it, for either unit system."""

    variable: str
    allowed: frozenset[str] | PairInterval

    def of(self, system: str) -> Condition:
        return self._us if system == US else self._si

    @cached_property
    def _us(self) -> Condition:
        return self._in(US)

    @cached_property
    def _si(self) -> Condition:
        return self._in(SI)

    def _in(self, system: str) -> Condition:
        return Condition(
            self.variable, self.allowed.of(system) if isinstance(self.allowed, PairInterval) else self.allowed
        )


Column = Callable[[Any, TablePlace], Any]
Schema = Mapping[str, Column]
_REQUIRED = "required"


def row_list(raw: Any, place: TablePlace) -> list[Any]:
    """The entries of `[[name]]`. Raises TableError when there is not one."""
    if not isinstance(raw, list) or not raw:
        raise place.fail(f"expected [[...]] entries, found {raw!r}")
    return raw


def numbered(raw: Any, place: TablePlace, name: str, told: str = "") -> Iterator[tuple[Any, TablePlace]]:
    """The entries of `[[name]]`, each with its place; `told`: the column that tells it beside its number.
    Raises TableError when there is not one."""
    for number, item in enumerate(row_list(raw, place), start=1):
        known = item.get(told, f"no {told}") if isinstance(item, Mapping) else "not a row"
        yield item, place.at(f"{name} {number} ({known})" if told else f"{name} {number}")


def required(column: Column) -> Column:
    """A column that no row may leave out."""

    def read(raw: Any, place: TablePlace) -> Any:
        return column(raw, place)

    setattr(read, _REQUIRED, True)
    return _taking(read, *takes(column))


def is_required(column: Column) -> bool:
    """Whether a row may not leave the column out."""
    return bool(getattr(column, _REQUIRED, False))


_TAKES = "takes"


def _taking(column: Column, kind: str, of: Any = None) -> Column:
    setattr(column, _TAKES, (kind, of))
    return column


def takes(column: Column) -> tuple[str, Any]:
    """What is written in a column, for forms: the name of its type, and what it is of (the choices of
    `one_of`, the dimension of `pair` and `pair_interval`)."""
    return getattr(column, _TAKES, (getattr(column, "__name__", ""), None))


def read_row(raw: Any, schema: Schema, place: TablePlace) -> dict[str, Any]:
    """Every column of `schema`, `None` where an optional one is left out.

    Raises TableError for an unknown key or a missing required one.
    """
    if not isinstance(raw, Mapping):
        raise place.fail(f"expected a row of keys and values, found {raw!r}")
    unknown = sorted(set(raw) - set(schema))
    if unknown:
        raise place.fail(f"unknown key {unknown[0]!r}; allowed are {', '.join(sorted(schema))}")
    row: dict[str, Any] = {}
    for key, column in schema.items():
        if key in raw:
            row[key] = column(raw[key], place)
        elif is_required(column):
            raise place.fail(f"the key {key!r} is missing")
        else:
            row[key] = None
    return row


def text(raw: Any, place: TablePlace) -> str:
    """Words, without blanks around them. Raises TableError for none."""
    if not isinstance(raw, str) or not raw.strip():
        raise place.fail(f"expected text, found {raw!r}")
    return raw.strip()


def day(raw: Any, place: TablePlace) -> date:
    """A day, written bare: `read = 2026-11-25`."""
    if type(raw) is not date:
        raise place.fail(f"expected a day such as 2026-11-25, without quotation marks, found {raw!r}")
    return raw


def yes_no(raw: Any, place: TablePlace) -> bool:
    """`true` or `false`. Raises TableError for anything else."""
    if not isinstance(raw, bool):
        raise place.fail(f"expected true or false, found {raw!r}")
    return raw


def keys(raw: Any, place: TablePlace) -> tuple[str, ...]:
    """A list of texts without repeats, in order."""
    if (
        not isinstance(raw, list)
        or not raw
        or not all(isinstance(item, str) and item.strip() for item in raw)
    ):
        raise place.fail(f"expected a list of texts, found {raw!r}")
    if len(set(raw)) != len(raw):
        raise place.fail(f"{raw!r} names something twice")
    return tuple(raw)


def key_lists(raw: Any, place: TablePlace) -> tuple[tuple[str, ...], ...]:
    """A list of lists as `keys` reads them, at least one. Raises TableError for anything else."""
    if not isinstance(raw, list) or not raw:
        raise place.fail(f"expected a list of lists, found {raw!r}")
    return tuple(keys(item, place) for item in raw)


def number(raw: Any, place: TablePlace) -> Decimal:
    """A plain number; TOML floats are read as Decimal, so 1.1 is 1.1."""
    if isinstance(raw, bool) or not isinstance(raw, (int, Decimal)):
        raise place.fail(f"expected a number, found {raw!r}")
    return Decimal(raw)


def whole(raw: Any, place: TablePlace) -> int:
    """A whole number. Raises TableError for anything else."""
    if isinstance(raw, bool) or not isinstance(raw, int):
        raise place.fail(f"expected a whole number, found {raw!r}")
    return raw


def one_of(*allowed: str) -> Column:
    """A column that holds one of these texts."""

    def read(raw: Any, place: TablePlace) -> str:
        if raw not in allowed:
            raise place.fail(f"{raw!r} is not one of {', '.join(allowed)}")
        return str(raw)

    return _taking(read, "one_of", allowed)


def pair(dimension: str) -> Column:
    """`{ us = "1/2 in", si = "13 mm" }`, both required; a code of one system writes `"13 mm"`, which stands
    for both."""

    def read(raw: Any, place: TablePlace) -> Pair:
        if dimension not in DIMENSIONS:
            raise place.fail(f"{raw!r} is given for something that is not a number")
        if isinstance(raw, str):
            raw = {US: raw, SI: raw}
        if not isinstance(raw, dict) or set(raw) != {US, SI}:
            raise place.fail(f"expected {{ us = ..., si = ... }}, or one quantity for both, found {raw!r}")
        values = []
        for system in (US, SI):
            values.append(_quantity(text(raw[system], place), dimension, system, place))
        return Pair(*values)

    return _taking(read, "pair", dimension)


def _quantity(written: str, dimension: str, system: str, place: TablePlace) -> Decimal:
    if DIMENSIONS[dimension].canonical.symbol and not re.search(r"[^\d\s.,/+-]", written):
        raise place.fail(f"{written!r} has no unit")
    try:
        value = read_quantity(written, dimension, system, many=False).interval.low
    except QuantityError as error:
        raise place.fail(str(error)) from error
    assert value is not None
    return value


_ENDS = {
    "at_least": ("low", False),
    "above": ("low", True),
    "up_to": ("high", False),
    "below": ("high", True),
}


def pair_interval(dimension: str) -> Column:
    """`{ at_least | above = PAIR, up_to | below = PAIR }`, one or both ends."""
    read_pair = pair(dimension)

    def read(raw: Any, place: TablePlace) -> PairInterval:
        if not isinstance(raw, dict) or not raw or set(raw) - set(_ENDS):
            raise place.fail(f"expected ends among {', '.join(_ENDS)}, found {raw!r}")
        ends: dict[str, tuple[Pair, bool]] = {}
        for word, value in raw.items():
            side, is_open = _ENDS[word]
            if side in ends:
                raise place.fail(f"{raw!r} gives the {side} end twice")
            ends[side] = (read_pair(value, place), is_open)
        return _interval_of(ends, place)

    return _taking(read, "pair_interval", dimension)


def _interval_of(ends: dict[str, tuple[Pair, bool]], place: TablePlace) -> PairInterval:
    built = []
    for system in (US, SI):
        low, low_open = (ends["low"][0].of(system), ends["low"][1]) if "low" in ends else (None, False)
        high, high_open = (ends["high"][0].of(system), ends["high"][1]) if "high" in ends else (None, False)
        try:
            built.append(Interval(low, high, low_open, high_open))
        except ValueError as error:
            raise place.fail(str(error)) from error
    return PairInterval(*built)


def known_variable(raw: Any, place: TablePlace) -> str:
    """The key of a variable of the registry. Raises TableError for any other."""
    if raw not in registry():
        raise place.fail(f"{raw!r} is not a variable")
    return str(raw)


def conditions(raw: Any, place: TablePlace) -> tuple[ConditionSpec, ...]:
    """`{ variable = ["choice", ...], other = { below = PAIR } }`, all of which have to hold."""
    if not isinstance(raw, dict) or not raw:
        raise place.fail(f"expected conditions by variable, found {raw!r}")
    found = []
    for key, allowed in raw.items():
        definition = registry()[known_variable(key, place)]
        if definition.kind is ValueKind.NUMBER:
            found.append(ConditionSpec(key, pair_interval(str(definition.dimension))(allowed, place)))
            continue
        choices = keys(allowed, place)
        known = {c.key for c in definition.choices}
        strange = [c for c in choices if known and c not in known]
        if strange:
            raise place.fail(f"{strange[0]!r} is not a choice of {key}")
        found.append(ConditionSpec(key, frozenset(choices)))
    return tuple(found)


def condition_sets(raw: Any, place: TablePlace) -> tuple[tuple[ConditionSpec, ...], ...]:
    """A list of condition tables, any one of which is enough."""
    if not isinstance(raw, list) or not raw:
        raise place.fail(f"expected a list of condition tables, found {raw!r}")
    return tuple(conditions(item, place) for item in raw)


CITED: dict[str, Column] = {
    "clause": required(text),
    "provenance": required(one_of("published", "memory", "shop")),
    "source": keys,
    "remark": text,
}
"""Columns every row carries: where its numbers come from."""


def citation(row: Mapping[str, Any], place: TablePlace) -> Citation:
    """The citation of a row. Raises TableError for `published` without a source, or an unlisted source."""
    named, book = row["source"] or (), place.book
    for key in named:
        if key not in book.sources:
            raise place.fail(f"source {key!r} is not listed in sources.toml")
    if row["provenance"] == Provenance.PUBLISHED and not named:
        raise place.fail("marked published, but names no source")
    return Citation(
        code=book.code,
        edition=book.edition,
        clause=row["clause"],
        provenance=Provenance(row["provenance"]),
        sources=tuple(book.sources[key] for key in named),
        row=f"{place.file}, {place.row}",
        remark=row["remark"] or "",
    )
