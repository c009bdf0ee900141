"""What is known of the edition that followed one of these: differences told on public pages, and what is told
nowhere; or that none was found on a certain day, and what is told of work on one.

It decides no verdict. It is shown beside ranges, so that nobody takes the numbers of the older edition for
the newer one's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from ..core.findings import Citation
from . import schema
from .schema import CITED, Column, TablePlace, read_row, required

HEAD: dict[str, Column] = {
    "edition": schema.text,
    "searched": schema.day,
    "open": required(schema.text),
    "difference": lambda raw, _: raw,
}
ROW: dict[str, Column] = {**CITED, "name": required(schema.text), "because": required(schema.text)}


@dataclass(frozen=True)
class Difference:
    """One thing the later edition has otherwise, or one thing told of work on it, in our own words."""

    name: str
    because: str
    citation: Citation


@dataclass(frozen=True)
class LaterEdition:
    code: str
    edition: str
    """Empty where none is known."""
    searched: date | None
    """The day on which public pages were searched for one in vain."""
    differences: tuple[Difference, ...]
    open: str
    """What no public page tells of it, or what to do for want of one."""

    @property
    def name(self) -> str:
        return f"{self.code}, {self.edition}"


def read_later(raw: Mapping[str, Any], place: TablePlace) -> LaterEdition:
    """Raises TableError for a file that names no later edition and no day of a search, or both; for a later
    edition without differences; and for one that names its own edition as the later one."""
    head = read_row(raw, HEAD, place)
    later, searched = head["edition"], head["searched"]
    if (later is None) == (searched is None):
        raise place.fail("name the later edition, or the day on which none was found")
    own = place.book
    if later == own.edition:
        raise place.fail(f"{own.edition!r} is this edition, not a later one")
    cited = replace(place, book=replace(own, edition=later or own.edition))
    none = searched and head["difference"] is None
    rows = []
    for item, here in () if none else schema.numbered(head["difference"], cited, "difference"):
        row = read_row(item, ROW, here)
        rows.append(Difference(row["name"], row["because"], schema.citation(row, here)))
    return LaterEdition(own.code, later or "", searched, tuple(rows), head["open"])
