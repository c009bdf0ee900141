"""What public pages, or memory, tell of an edition beside its rows: what it is for, what it rests on, which
other record it asks for.

It decides no verdict. It is shown on the edition's page and beside records written under it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..core.findings import Citation
from . import schema
from .schema import CITED, Column, TablePlace, read_row, required

ROW: dict[str, Column] = {**CITED, "name": required(schema.text), "because": required(schema.text)}


@dataclass(frozen=True)
class Told:
    """One thing told of the edition, in our own words."""

    name: str
    because: str
    citation: Citation


def read_scope(raw: Mapping[str, Any], place: TablePlace) -> tuple[Told, ...]:
    """Raises TableError for a file without rows, or with two of one name."""
    if set(raw) != {"told"}:
        raise place.fail("expected nothing but [[told]] entries")
    found: list[Told] = []
    for item, here in schema.numbered(raw["told"], place, "told"):
        row = read_row(item, ROW, here)
        if any(row["name"] == each.name for each in found):
            raise here.fail(f"{row['name']!r} is told by an earlier row as well")
        found.append(Told(row["name"], row["because"], schema.citation(row, here)))
    return tuple(found)
