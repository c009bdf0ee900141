"""Tables that say which choices a tested choice covers, and under which circumstances of the weld."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..core.findings import Citation
from . import schema
from .schema import CITED, Column, ConditionSpec, TablePlace, read_row, required


@dataclass(frozen=True)
class Cover:
    tested: frozenset[str]
    """Any one of these tested makes the row speak; with `together`, all of them are needed."""
    together: bool
    test_when: tuple[ConditionSpec, ...]
    covers: frozenset[str]
    weld_when: tuple[ConditionSpec, ...]
    citation: Citation

    def speaks_for(self, tested: frozenset[str]) -> bool:
        return self.tested <= tested if self.together else bool(self.tested & tested)


@dataclass(frozen=True)
class CoverTable:
    name: str
    rows: tuple[Cover, ...]

    @property
    def circumstances(self) -> tuple[tuple[ConditionSpec, ...], ...]:
        """Every distinct set of weld conditions, in table order. A weld in one of these whose test matches no
        row there is covered for nothing, so each of them has to yield a limit."""
        return tuple(dict.fromkeys(row.weld_when for row in self.rows))


def _keys_or_none(raw: Any, place: TablePlace) -> tuple[str, ...]:
    return () if raw == [] else schema.keys(raw, place)


ROW: dict[str, Column] = {
    **CITED,
    "tested": required(schema.keys),
    "together": schema.yes_no,
    "test_when": schema.conditions,
    "covers": required(_keys_or_none),
    "weld_when": schema.conditions,
}


def read_table(name: str, rows: Any, place: TablePlace) -> CoverTable:
    """Raises TableError naming the row for a repeated one."""
    found: list[Cover] = []
    seen: set[tuple[Any, ...]] = set()
    for item, here in schema.numbered(rows, place, f"{name} row"):
        row = read_row(item, ROW, here)
        cover = Cover(
            tested=frozenset(row["tested"]),
            together=bool(row["together"]),
            test_when=row["test_when"] or (),
            covers=frozenset(row["covers"]),
            weld_when=row["weld_when"] or (),
            citation=schema.citation(row, here),
        )
        key = (cover.tested, cover.together, repr(cover.test_when), repr(cover.weld_when))
        if key in seen:
            raise here.fail("repeats an earlier row")
        seen.add(key)
        found.append(cover)
    return CoverTable(name, tuple(found))
