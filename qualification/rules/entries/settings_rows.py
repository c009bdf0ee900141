"""Settings by size of electrode: one line of a record with a row of settings for each diameter.

`3/32: 70-100 A, 20-24 V; 1/8: 90-130 A, 22-26 V; 5/32: 130-180 A` states three rows. Limits are intervals, so
all rows lie within one exactly when their common span does: the span is what the rules judge, and checks of
common sense look at each row.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import lru_cache

from ..core.quantities import QuantityError, show_both
from ..core.units import DIMENSIONS
from ..core.values import Interval
from .notation import Manner, read_measure

KEY = "settings_by_size"
SIZE = "filler_diameter"
COLUMNS = {"amps": "current", "volts": "voltage", "wire_feed": "wire_feed"}
"""What a row may state, by variable, in the order in which bare numbers are taken."""
_ROW = re.compile(r"(?P<size>[^:=→>]+?) ?(?::|=|→|[-–]>) ?(?P<rest>.+)")
_BETWEEN = re.compile(r",\s+|\s/\s|\s\|\s|\t")


@dataclass(frozen=True)
class SettingsRow:
    """One size and what it is welded with, in canonical units."""

    size: Interval
    values: Mapping[str, Interval] = field(default_factory=dict)


def read_rows(text: str, system: str) -> tuple[SettingsRow, ...]:
    """The rows of a text. Raises QuantityError with how to write one."""
    return _read_rows(" ".join(text.split()), system)


@lru_cache(maxsize=512)
def _read_rows(text: str, system: str) -> tuple[SettingsRow, ...]:
    rows = tuple(_row(part.strip(), system) for part in text.split(";") if part.strip())
    sizes = [row.size for row in rows]
    if len(set(sizes)) < len(sizes):
        raise QuantityError("one size stands in two rows. Give each size one row.")
    return rows


def _row(text: str, system: str) -> SettingsRow:
    match = _ROW.fullmatch(text)
    if not match:
        raise QuantityError(
            f"“{text}” is not a size with its settings. Write it like 3/32: 70-100 A, 20-24 V, and put a"
            " semicolon between sizes."
        )
    size = read_measure(match["size"], "length", system, Manner(many=False, thing=SIZE)).interval
    if size is None:
        raise QuantityError(f"“{match['size']}” is not a size. Write it like 3/32 or 2.5 mm.")
    values: dict[str, Interval] = {}
    for piece in _BETWEEN.split(match["rest"]):
        key, value = _setting(piece.strip(), system, [each for each in COLUMNS if each not in values])
        values[key] = value
    return SettingsRow(size, values)


def _setting(text: str, system: str, left: Sequence[str]) -> tuple[str, Interval]:
    """A setting by its unit; a bare number is the next one of those left."""
    bare = not re.search(r"[A-Za-z\"]", re.sub(r"\bto\b", "", text))
    for key in left:
        dimension = DIMENSIONS[COLUMNS[key]]
        try:
            value = read_measure(text, dimension.key, system, Manner()).interval
        except QuantityError:
            if bare:
                raise
            continue
        if value is not None and value.low is not None and value.high is not None:
            return key, value
    raise QuantityError(f"“{text}” is not a current, a voltage or a wire feed speed that is still open.")


def cells_of(text: str, system: str) -> list[dict[str, str]]:
    """The rows of a text as a table has them, as typed, each cell by its variable. Nothing is judged: what
    belongs to no column stands in the first that is free."""
    found = []
    for part in (part.strip() for part in text.split(";")):
        if not part:
            continue
        match = _ROW.fullmatch(part)
        size, rest = (match["size"], match["rest"]) if match else part.partition(":")[::2]
        cells = {SIZE: size.strip()}
        for piece in (piece.strip() for piece in _BETWEEN.split(rest.strip())):
            if piece:
                key = _column(piece, system, [each for each in COLUMNS if each not in cells])
                cells[key] = f"{cells[key]}, {piece}" if key in cells else piece
        found.append(cells)
    return found


def _column(text: str, system: str, left: Sequence[str]) -> str:
    with suppress(QuantityError):
        return _setting(text, system, left)[0]
    ends = {"A": "amps", "V": "volts"}
    named = ends.get(text.strip()[-1:].upper(), "")
    return named if named in left else left[0] if left else "wire_feed"


def text_of(rows: Sequence[Mapping[str, str]], system: str) -> str:
    """The cells of a table as one text, a bare number with the unit of its column; `cells_of` takes it apart
    again."""
    said = []
    for cells in rows:
        values = [_with_unit(text, key, system) for key in COLUMNS if (text := _plain(cells.get(key, "")))]
        size = _plain(cells.get(SIZE, ""))
        if size or values:
            said.append(f"{size}: {', '.join(values)}".strip())
    return "; ".join(said)


def _plain(text: str) -> str:
    """A cell without the signs that part cells and rows."""
    return " ".join(re.sub(r"[;:\t]|,(?=\s)", " ", text).split())


def _with_unit(text: str, key: str, system: str) -> str:
    bare = not re.search(r"[A-Za-z\"]", re.sub(r"\b(?:to|max|min)\b\.?", "", text))
    return f"{text} {DIMENSIONS[COLUMNS[key]].unit_for(system).symbol}" if bare else text


def said_rows(words: str) -> list[tuple[str, dict[str, str]]]:
    """The rows of `say_rows`, each with its size and its settings in words."""
    found = []
    for row in words.split("; "):
        size, _, rest = row.partition(": ")
        values: dict[str, str] = {}
        for piece in rest.split(", "):
            unit = piece.rpartition(" ")[2]
            values[{"A": "amps", "V": "volts"}.get(unit, "wire_feed")] = piece
        found.append((size, values))
    return found


def spans(rows: Sequence[SettingsRow]) -> dict[str, Interval]:
    """What all rows state together, by variable: the span of the sizes, and of each setting that every row
    states."""
    found = {SIZE: [row.size for row in rows]} | {
        key: [row.values[key] for row in rows] for key in COLUMNS if all(key in row.values for row in rows)
    }
    return {
        key: Interval(min(v.low for v in values), max(v.high for v in values))  # type: ignore[type-var]
        for key, values in found.items()
        if values
    }


def say_rows(rows: Sequence[SettingsRow], system: str) -> str:
    """The rows in words and both unit systems, one after the other."""
    return "; ".join(
        f"{show_both(row.size, 'length', system)}: "
        + ", ".join(show_both(value, COLUMNS[key], system) for key, value in row.values.items())
        for row in rows
    )
