"""The rows of an edition in the order of the book, numbered, as somebody holds them against a copy of it; and
what it means when the book's number is typed beside a row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from ..core.quantities import SI, US
from ..tabular.book_order import book_order, heading_of
from ..tabular.edition import Edition, RawEdition
from ..tabular.overlay import Path, hash_of, leaves_of, value_at
from .table_words import TableRow, tables_in_words

SAME = frozenset({"y", "yes", "ok", "same", "="})
"""What is typed, in small letters, where the book says the same."""
_CITED_PLACE = re.compile(r" \(.*\)$")
_MEASURE = re.compile(r"(?P<number>-?(?:\d+[ -]\d+/\d+|\d+/\d+|\d+(?:\.\d+)?|\.\d+))\s*(?P<unit>[^\d\s(].*)?")


@dataclass(frozen=True)
class SheetRow:
    """One row and its number on every work sheet of its edition."""

    number: int
    """Its place in the order of the book, from 1. It changes only with the tables of a release."""
    words: TableRow
    hash: str
    """`hash_of` the row as it is in force: what was shown is what is confirmed."""
    numbers: tuple[tuple[Path, str], ...]
    """Each single number in the row: where it stands, and as written."""

    @property
    def heading(self) -> str:
        return heading_of(self.words.clause)

    def says_the_same(self, typed: str) -> bool:
        """True for a plain yes, and for the number itself where the row has one number, in either of a code's
        two units. In a row of several numbers one of them says too little."""
        if typed.strip().casefold() in SAME:
            return True
        return self._has_one_number and any(_alike(typed, own) for _, own in self.numbers)

    def place_for(self, typed: str) -> Path | None:
        """Where in the row a number that differs belongs: that of its unit, or the only one there is. `None`
        where that is not certain."""
        if not self._has_one_number or _MEASURE.fullmatch(typed.strip()) is None:
            return None
        unit = _read(typed)[1]
        fits = [path for path, own in self.numbers if unit and _read(own)[1] == unit]
        if len(fits) == 1:
            return fits[0]
        return self.numbers[0][0] if len(self.numbers) == 1 else None

    @property
    def _has_one_number(self) -> bool:
        """One number, or one in both of a code's units."""
        places = {path[:-1] if path[-1] in (US, SI) else path for path, _ in self.numbers}
        return len(places) == 1


def numbered_rows(edition: Edition, files: RawEdition) -> tuple[SheetRow, ...]:
    """Every row of the edition in the order of the book; rows of one clause as the tables have them."""
    rows = [row for table in tables_in_words(edition, files) for row in table.rows]
    rows.sort(key=lambda row: book_order(row.clause))
    return tuple(
        sheet_row(number, row, value_at(files[f"{row.file}.toml"], row.path))
        for number, row in enumerate(rows, start=1)
    )


def sheet_row(number: int, words: TableRow, row: Mapping[str, Any]) -> SheetRow:
    """One row of a file in words, as a row of the sheet."""
    return SheetRow(number, words, hash_of(row), tuple(_numbers_in(row)))


def _numbers_in(row: Mapping[str, Any]) -> Iterator[tuple[Path, str]]:
    for path, value in leaves_of(row):
        if isinstance(value, (bool, list)) or path == ("because",):
            continue
        if _MEASURE.fullmatch(str(value).strip()):
            yield path, str(value)


def place_cited(row: str) -> str:
    """The place that a citation names, `bands.toml, groove_thickness row 2`, as `TableRow` names it."""
    file, _, place = _CITED_PLACE.sub("", row).partition(".toml, ")
    return f"{file}, {re.sub(r' row (?=[0-9]+$)', ' ', place)}"


def place_shown(row: TableRow) -> str:
    """The same of a row in words."""
    return f"{row.file}, {row.place}"


def _alike(typed: str, own: str) -> bool:
    if not _MEASURE.fullmatch(typed.strip()):
        return False
    (number, unit), (own_number, own_unit) = _read(typed), _read(own)
    return number == own_number and unit in ("", own_unit)


def _read(text: str) -> tuple[Fraction, str]:
    """A number with its unit in small letters without blanks; `1-1/2 in` is one and a half."""
    found = _MEASURE.fullmatch(text.strip())
    assert found is not None
    sign = -1 if found["number"].startswith("-") else 1
    parts = re.split(r"[ -]", found["number"].removeprefix("-"))
    return sign * sum(map(Fraction, parts), Fraction(0)), "".join((found["unit"] or "").casefold().split())
