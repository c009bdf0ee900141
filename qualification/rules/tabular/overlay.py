"""A shop's own checks laid over an edition's tables: rows confirmed against its copy of the code, or
corrected.

The tables that ship are never edited. A check names the row it was made on and that row's content; when a
later release changes the row, the check no longer matches, is reported as stale, and has no effect.
"""

from __future__ import annotations

import copy
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from ..core.findings import Provenance
from .schema import TableError

Path = tuple[str | int, ...]
NOT_CONTENT = frozenset({"provenance", "source", "remark"})
"""What says where a row was read, and is no part of what it says."""


@dataclass(frozen=True)
class TableVerification:
    """What one person found for one row in the shop's own copy."""

    file: str
    path: Path
    """Keys and list places that lead to the row inside the file."""
    row_hash: str
    """`hash_of` the row as it stood when it was checked."""
    person: str
    day: date
    copy: str
    """Which copy it was held against: edition, printing, number."""
    changes: Mapping[Path, Any] = field(default_factory=dict, hash=False)
    """Corrected values by their path inside the row; empty when the row was confirmed as it stands."""

    @property
    def is_correction(self) -> bool:
        return bool(self.changes)


def hash_of(row: Mapping[str, Any]) -> str:
    """SHA-256 of what a row says, without where it was read."""
    content = {key: value for key, value in row.items() if key not in NOT_CONTENT}
    return hashlib.sha256(json.dumps(content, sort_keys=True, default=str).encode()).hexdigest()


def rows_of(files: Mapping[str, Any]) -> Iterator[tuple[str, Path, Mapping[str, Any]]]:
    """Every row of every file that carries a clause, with the path that leads to it."""
    for file, body in files.items():
        yield from ((file, path, row) for path, row in _walk(body, ()))


def _walk(node: Any, path: Path) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    if isinstance(node, dict):
        if "clause" in node and "provenance" in node:
            yield path, node
            return
        for key, value in node.items():
            yield from _walk(value, (*path, key))
    elif isinstance(node, list):
        for index, item in enumerate(node):
            yield from _walk(item, (*path, index))


def leaves_of(row: Mapping[str, Any]) -> Iterator[tuple[Path, Any]]:
    """Every single value of a row that can be corrected: numbers, quantities, yes or no, lists of choices,
    and last the sentence that says the rule, because it names the numbers as well."""
    for key, value in sorted(row.items(), key=lambda item: item[0] == "because"):
        if key not in NOT_CONTENT | {"clause", "rule", "variable", "standing"}:
            yield from _leaves(value, (key,))


def _leaves(node: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _leaves(value, (*path, key))
    elif isinstance(node, list) and any(isinstance(item, (dict, list)) for item in node):
        for index, item in enumerate(node):
            yield from _leaves(item, (*path, index))
    else:
        yield path, node


def laid_over(
    files: Mapping[str, Mapping[str, Any]], checks: Sequence[TableVerification]
) -> tuple[dict[str, Any], tuple[TableVerification, ...]]:
    """The files with the checks applied, and the checks that no longer match their row. Files without a check
    are handed back as they are.

    Of several checks of one row the last in the sequence counts. Raises TableError when a correction names a
    value its row does not have; the values themselves are checked when the edition is built.
    """
    touched = {check.file for check in checks}
    made = {file: copy.deepcopy(body) if file in touched else body for file, body in files.items()}
    latest = {(check.file, check.path): check for check in checks}
    stale = []
    for check in latest.values():
        row = value_at(made.get(check.file, {}), check.path)
        if not isinstance(row, dict) or hash_of(row) != check.row_hash:
            stale.append(check)
            continue
        for path, value in check.changes.items():
            _put(row, path, value, check)
        if check.is_correction:
            row.pop("source", None)  # those pages state another number
        row["provenance"] = Provenance.SHOP.value
        row["remark"] = _remark(check, row.get("remark", ""))
    return made, tuple(stale)


def value_at(node: Any, path: Path) -> Any:
    """What stands at the end of a path, or `None` when there is nothing."""
    for step in path:
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            return None
    return node


def _put(row: dict[str, Any], path: Path, value: Any, check: TableVerification) -> None:
    node: Any = value_at(row, path[:-1])
    if not isinstance(node, (dict, list)) or value_at(row, path) is None:
        raise TableError(
            f"{check.file}, {row.get('clause', '')}: there is no value {'.'.join(map(str, path))} to correct"
        )
    place: Any = path[-1]
    node[place] = value


def _remark(check: TableVerification, before: str) -> str:
    done = "Corrected" if check.is_correction else "Confirmed"
    said = f"{done} by {check.person} on {check.day.isoformat()} against {check.copy}."
    return f"{said} {before}".strip()
