"""What is known of the edition that followed one of these: differences told on public pages, and what is told
nowhere.

It decides no verdict. It is shown beside ranges, so that nobody takes the numbers of the older edition for
the newer one's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..core.findings import Citation, Source
from . import schema
from .schema import CITED, Column, TablePlace, read_row, required

HEAD: dict[str, Column] = {
    "edition": required(schema.text),
    "open": required(schema.text),
    "difference": lambda raw, _: raw,
}
ROW: dict[str, Column] = {**CITED, "name": required(schema.text), "because": required(schema.text)}


@dataclass(frozen=True)
class Difference:
    """One thing the later edition has otherwise, in our own words."""

    name: str
    because: str
    citation: Citation


@dataclass(frozen=True)
class LaterEdition:
    code: str
    edition: str
    differences: tuple[Difference, ...]
    open: str
    """One sentence: what no public page tells of it."""

    @property
    def name(self) -> str:
        return f"{self.code}, {self.edition}"


def read_later(
    raw: Mapping[str, Any], code: str, edition: str, sources: Mapping[str, Source], place: TablePlace
) -> LaterEdition:
    """Raises TableError for a file without differences, or one that names its own edition as the later
    one."""
    head = read_row(raw, HEAD, place)
    if head["edition"] == edition:
        raise place.fail(f"{edition!r} is this edition, not a later one")
    rows = []
    for index, item in enumerate(schema.row_list(head["difference"], place), start=1):
        here = TablePlace(place.edition, place.file, f"difference {index}")
        row = read_row(item, ROW, here)
        rows.append(
            Difference(
                row["name"], row["because"], schema.citation(row, code, head["edition"], sources, here)
            )
        )
    return LaterEdition(code, head["edition"], tuple(rows), head["open"])
