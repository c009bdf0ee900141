"""Sizes as bought: pipe by nominal size and schedule, tube by outside diameter and wall, sheet by gauge.

What a size is in length stands in `tables/catalogue/sizes.toml`. A record in US units takes a pipe's inch
dimensions, one in SI its metric ones, since codes give their limits in both, rounded apart.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any

from ..core.quantities import US, QuantityError, read_quantity
from ..tabular import schema
from ..tabular.schema import Column, Pair, TableError, TablePlace, read_row, required
from .catalogue import ORIGIN
from .terms import FOLDER, catalogue_file

FILE = "sizes.toml"
_INCH, _HUNDREDTH = Decimal("25.4"), Decimal("0.01")
GAUGED = frozenset({"steel", "galvanized", "stainless", "aluminum"})
"""Sheets that come in gauges."""
ASKS = ("tube_outside_above", "tube_wall_from", "tube_wall_below", "metric_pipe_above", "metric_pipe_off_by")


@dataclass(frozen=True)
class Pipe:
    nps: Fraction
    dn: int
    outside: Pair
    walls: Mapping[str, Decimal]
    """Inches by schedule."""

    def wall(self, schedule: str, system: str) -> Decimal:
        """In mm. Raises QuantityError for a schedule this size does not come in."""
        if schedule not in self.walls:
            example = "wall .280" if system == US else "wall 7.11 mm"
            raise QuantityError(
                f"NPS {say_size(self.nps)} has no wall for {_say_schedule(schedule)} here. Write the wall"
                f" itself, for example {example}."
            )
        exact = self.walls[schedule] * _INCH
        return exact if system == US else exact.quantize(_HUNDREDTH, ROUND_HALF_UP)


@dataclass(frozen=True)
class Sizes:
    pipes: Mapping[Fraction, Pipe]
    emt: Mapping[Fraction, tuple[Decimal, Decimal]]
    """Outside diameter and wall of electrical metallic tubing by trade size, inches."""
    gauges: Mapping[str, Mapping[int, Decimal]]
    """Inches by metal and gauge."""
    asks: Mapping[str, Decimal]
    """In mm, the ends beyond which a number without a unit asks for it, by `ASKS`."""


def _walls(raw: Any, place: TablePlace) -> dict[str, Decimal]:
    if not isinstance(raw, dict) or not raw:
        raise place.fail(f"expected lengths in inches by name, found {raw!r}")
    return {key: Decimal(value) for key, value in raw.items()}


_PIPE: dict[str, Column] = {
    **ORIGIN,
    "nps": required(schema.text),
    "dn": required(schema.whole),
    "outside": required(schema.pair("length")),
    "walls": required(_walls),
}
_EMT: dict[str, Column] = {
    **ORIGIN,
    "trade": required(schema.text),
    "outside": required(schema.text),
    "wall": required(schema.text),
}
_GAUGE: dict[str, Column] = {**ORIGIN, "metal": required(schema.text), "sheets": required(_walls)}
_ASK: dict[str, Column] = {
    **ORIGIN,
    "key": required(schema.one_of(*ASKS)),
    "length": required(schema.text),
}


@lru_cache(maxsize=1)
def sizes() -> Sizes:
    """The sizes that ship with the program. Raises TableError."""
    raw = catalogue_file(FILE)
    pipes = [
        Pipe(read_size(row["nps"]), row["dn"], row["outside"], row["walls"])
        for row in _rows(raw, "pipe", _PIPE)
    ]
    found = Sizes(
        {pipe.nps: pipe for pipe in pipes},
        {
            read_size(row["trade"]): (Decimal(row["outside"]), Decimal(row["wall"]))
            for row in _rows(raw, "emt", _EMT)
        },
        {
            row["metal"]: {int(gauge): inches for gauge, inches in row["sheets"].items()}
            for row in _rows(raw, "gauge", _GAUGE)
        },
        {
            row["key"]: read_quantity(row["length"], "length", US, many=False).interval.low or Decimal(0)
            for row in _rows(raw, "ask", _ASK)
        },
    )
    if len(found.pipes) < len(pipes) or set(found.gauges) != GAUGED:
        raise TableError(f"{FOLDER}/{FILE}: a pipe or a metal is listed twice or missing")
    if set(found.asks) != set(ASKS) or not all(found.asks.values()):
        raise TableError(f"{FOLDER}/{FILE}: an ask is missing or gives no length")
    return found


def _rows(raw: Mapping[str, Any], table: str, columns: dict[str, Column]) -> list[dict[str, Any]]:
    return [
        read_row(item, columns, place)
        for item, place in schema.numbered(raw.get(table), TablePlace(FOLDER, FILE), table)
    ]


def read_size(text: str) -> Fraction:
    """`2 1/2`, `2-1/2`, `2.5`, `3/4`. Raises QuantityError for a division by zero."""
    try:
        return sum((Fraction(part) for part in re.split(r"[ -]+", text.strip())), Fraction(0))
    except ZeroDivisionError as error:
        raise QuantityError(f"“{text.strip()}” divides by zero; write a size like 1/2.") from error


def say_size(size: Fraction) -> str:
    """A size in inches as a whole number and a fraction: `1 1/4`."""
    whole, rest = divmod(size, 1)
    return f"{whole} {rest}" if whole and rest else str(rest or whole)


def _say_schedule(schedule: str) -> str:
    return f"Sch {schedule}" if schedule[0].isdecimal() else schedule


def is_metric_pipe(number: Decimal) -> bool:
    """True for a number that is the outside diameter of a pipe in mm, and of few in inches."""
    asks = sizes().asks
    return number > asks["metric_pipe_above"] and any(
        abs(each.outside.si - number) <= asks["metric_pipe_off_by"] for each in sizes().pipes.values()
    )


def is_nominal(inches: Decimal) -> bool:
    """True for a number that is the nominal size of a pipe whose outside diameter is another."""
    pipe = sizes().pipes.get(Fraction(inches))
    return pipe is not None and pipe.outside.us != inches * _INCH
