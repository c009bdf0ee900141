"""Two sets of tables row by row: what was added, what changed, what is gone; and what the shop, or the
edition it began from, changed since."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from qualification.codes.editions_in_force import in_force
from qualification.codes.own_tables import build, parsed_all
from qualification.models import OwnEdition
from qualification.rules.editions.table_words import TableRow, row_in_words
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.overlay import Path, hash_of, rows_of
from qualification.rules.tabular.schema import TableError

ADDED, CHANGED, GONE = "Added", "Changed", "Removed"


@dataclass(frozen=True)
class RowChange:
    """One row that is not the same in both."""

    how: str
    before: TableRow | None
    after: TableRow | None

    @property
    def row(self) -> TableRow:
        found = self.after or self.before
        assert found is not None
        return found


Placed = tuple[str, Path, Mapping[str, Any]]


def row_changes(
    before: Mapping[str, Any], was: Edition, after: Mapping[str, Any], now: Edition
) -> list[RowChange]:
    """Rows that differ, in the order of the tables. Rows are paired by what they are about: table, clause
    and variable; in a table of bands or covers by their place."""
    old, new = _by_hash(before), _by_hash(after)
    gone = [row for key, rows in old.items() for row in rows[len(new.get(key, [])) :]]
    come = [row for key, rows in new.items() for row in rows[len(old.get(key, [])) :]]
    left: dict[tuple[str, ...], list[Any]] = {}
    for row in gone:
        left.setdefault(_about(row), []).append(row)
    found = []
    for row in come:
        pair = left.get(_about(row))
        earlier = pair.pop(0) if pair else None
        found.append(
            RowChange(
                CHANGED if earlier else ADDED,
                row_in_words(was, *earlier) if earlier else None,
                row_in_words(now, *row),
            )
        )
    return [
        *found,
        *(RowChange(GONE, row_in_words(was, *row), None) for rows in left.values() for row in rows),
    ]


def _by_hash(files: Mapping[str, Any]) -> dict[tuple[str, Any, str], list[Placed]]:
    found: dict[tuple[str, Any, str], list[Placed]] = {}
    for file, path, row in rows_of(files):
        found.setdefault((file, _section(path), hash_of(row)), []).append((file, path, row))
    return found


def _section(path: Path) -> tuple[str, ...]:
    return tuple(step for step in path if isinstance(step, str))


def _about(placed: Placed) -> tuple[Any, ...]:
    file, path, row = placed
    named = row.get("variable") or row.get("check") or row.get("name")
    return (file, _section(path), (row["clause"], named) if named else path[-1])


def changes_since(own: OwnEdition, files: dict[str, Any], made: Edition) -> list[RowChange]:
    """What the shop changed of its parent's rows as they were copied; of an empty start every row."""
    if not own.parent_files:
        return row_changes({}, made, files, made)
    before = parsed_all(own.parent_files)
    return row_changes(before, build(own.parent or own.key, before), files, made)


def parent_moved(own: OwnEdition) -> list[RowChange]:
    """Rows of the parent that are not the same any more as when they were copied."""
    if not own.parent:
        return []
    try:
        now = in_force(own.parent)
        if now.edition.fingerprint == own.parent_fingerprint:
            return []
        before = parsed_all(own.parent_files)
        return row_changes(before, build(own.parent, before), now.files, now.edition)
    except TableError:
        return []
