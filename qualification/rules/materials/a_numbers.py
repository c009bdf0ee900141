"""A-Numbers: which of an edition's groups of ferrous weld metal an analysis falls in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from ..core.findings import Citation
from ..core.values import Interval
from ..tabular import schema
from ..tabular.edition import Edition
from ..tabular.schema import CITED, Column, TablePlace, read_row, required
from ..variables.registry import registry

ELEMENTS = {
    "C": "carbon",
    "Cr": "chromium",
    "Mo": "molybdenum",
    "Ni": "nickel",
    "Mn": "manganese",
    "Si": "silicon",
}


@dataclass(frozen=True)
class WeldMetalGroup:
    number: str
    name: str
    """What kind of weld metal it is, in our own words."""
    limits: Mapping[str, Interval]
    """Percentage by weight, by chemical symbol."""
    citation: Citation


@dataclass(frozen=True)
class ANumbers:
    """What an analysis says of the A-Number. An analysis in no group at all has two empty lists."""

    fits: tuple[WeldMetalGroup, ...]
    """Groups whose every limit is met."""
    open: tuple[WeldMetalGroup, ...]
    """Groups no given percentage rules out, but of which the analysis leaves an element out."""
    needs: tuple[str, ...]
    """Symbols of the elements left out that `open` turns on."""

    @property
    def numbers(self) -> tuple[str, ...]:
        return tuple(group.number for group in self.fits)


def _percent(raw: Any, place: TablePlace) -> Interval:
    """`{ at_least = 0.40, up_to = 0.65 }`, one or both ends."""
    if not isinstance(raw, dict) or not raw or set(raw) - {"at_least", "up_to"}:
        raise place.fail(f"expected at_least, up_to or both, found {raw!r}")
    low, high = (schema.number(raw[end], place) if end in raw else None for end in ("at_least", "up_to"))
    for end in (low, high):
        if end is not None and not 0 <= end <= 100:
            raise place.fail(f"{end} is not a percentage")
    try:
        return Interval(low, high)
    except ValueError as error:
        raise place.fail(str(error)) from error


ROW: dict[str, Column] = {
    **CITED,
    "number": required(
        schema.one_of(*(c.key for c in registry()["a_number"].choices if c.key != "unassigned"))
    ),
    "name": required(schema.text),
    **{symbol: required(_percent) for symbol in ELEMENTS},
}


def read_a_numbers(raw: Mapping[str, Any], place: TablePlace) -> tuple[WeldMetalGroup, ...]:
    """Reader of a_numbers.toml. Raises TableError naming file and row."""
    if set(raw) - {"a_number"}:
        raise place.fail("expected nothing but [[a_number]] entries")
    found: dict[str, WeldMetalGroup] = {}
    for index, item in enumerate(raw.get("a_number", []), start=1):
        here = place.at(f"a_number {index} (A-{item.get('number', '?')})")
        row = read_row(item, ROW, here)
        if row["number"] in found:
            raise here.fail(f"A-{row['number']} is listed twice")
        limits = {symbol: row[symbol] for symbol in ELEMENTS}
        found[row["number"]] = WeldMetalGroup(row["number"], row["name"], limits, schema.citation(row, here))
    return tuple(found.values())


def a_number_for(composition: Mapping[str, Decimal], edition: Edition) -> ANumbers:
    """The A-Numbers of weld metal with that analysis: percentages by chemical symbol.

    A limit belongs to its group. An element the analysis leaves out is missing, not zero. Raises ValueError
    for a percentage below 0 or above 100.
    """
    for symbol, percent in composition.items():
        if not 0 <= percent <= 100:
            raise ValueError(f"{symbol} {percent} % is not a percentage; give a number from 0 to 100.")
    fits, open_ones, needs = [], [], set()
    for group in edition.more.get("a_numbers", ()):
        given = {
            symbol: Interval.point(composition[symbol]) for symbol in group.limits if symbol in composition
        }
        if not all(value.within(group.limits[symbol]) for symbol, value in given.items()):
            continue
        left_out = set(group.limits) - set(given)
        if left_out:
            open_ones.append(group)
            needs |= left_out
        else:
            fits.append(group)
    return ANumbers(tuple(fits), tuple(open_ones), tuple(symbol for symbol in ELEMENTS if symbol in needs))
