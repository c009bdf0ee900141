"""The range of a test as tables: what every process line shares once, then each line's own rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_lowercase
from typing import Any

from qualification.evidence.sides import both_sides_once
from qualification.rules.entries.wording import NO_LIMIT, NO_RULE

LONGEST_WHERE = 36
"""Letters of a circumstance that still stand in a row of the range."""
LIKENESS = ("label", "found", "qualified", "when", "clause", "provenance")
"""What rows of two process lines have to agree in to be printed once; those of two sides in all but the
label."""
SUPPLEMENTARY, MISSING = "supplementary", "Not stated"


@dataclass(frozen=True)
class RangeGroup:
    """Rows under one heading. `notes` are long circumstances, each with the letter that stands for it."""

    name: str
    rows: tuple[Mapping[str, Any], ...]
    notes: tuple[tuple[str, str], ...]
    unlimited: tuple[str, ...] = ()
    """Variables without a limit, each with its circumstance and clause."""
    without_rule: tuple[str, ...] = ()
    """Variables of which the tables have no rule in some circumstance, each with its clauses."""


def range_groups(content: Mapping[str, Any]) -> tuple[RangeGroup, ...]:
    """What binds always, then what binds only where toughness is required. Where the coupon was not impact
    tested and the record says so, the latter is left to the appendix."""
    rows = content.get("range", [])
    groups = _split([row for row in rows if row.get("standing") != SUPPLEMENTARY], "")
    if not rows_left_out(content):
        tough = [row for row in rows if row.get("standing") == SUPPLEMENTARY]
        groups += _split(tough, ": further limits where toughness is required")
    return tuple(_group(name, each) for name, each in groups if each)


def rows_left_out(content: Mapping[str, Any]) -> int:
    """How many rows for toughness the paper leaves to its appendix."""
    untested = any(
        row["key"] == "impact_tested" and row["words"] == "No"
        for group in content["entered"]
        for row in group["rows"]
    )
    rows = [row for row in content.get("range", []) if row.get("standing") == SUPPLEMENTARY]
    return len(rows) if untested else 0


def _split(rows: Sequence[Mapping[str, Any]], more: str) -> list[tuple[str, list[Mapping[str, Any]]]]:
    lines: dict[int, list[Mapping[str, Any]]] = {}
    for row in rows:
        lines.setdefault(row["line"] or 0, []).append(row)
    likes = [{_like(row) for row in each} for each in lines.values()]
    common = set.intersection(*likes) if len(likes) > 1 else set()
    shared = [row for row in next(iter(lines.values()), []) if _like(row) in common]
    apart = [
        (f"Process line {line + 1}{more}", [row for row in each if _like(row) not in common])
        for line, each in sorted(lines.items())
    ]
    return [(f"In every process line{more}", shared), *apart]


def _like(row: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(str(row[name]) for name in LIKENESS)


def _group(name: str, rows: Sequence[Mapping[str, Any]]) -> RangeGroup:
    notes: dict[str, str] = {}
    once = both_sides_once(rows, lambda row: _like(row)[1:])
    limits = [row for row in once if row["qualified"] not in (NO_LIMIT, NO_RULE)]
    return RangeGroup(
        name,
        tuple({**row, "where": _where(row["when"], notes)} for row in _told_once(limits)),
        tuple((mark, words) for words, mark in notes.items()),
        tuple(dict.fromkeys(_unlimited(row) for row in once if row["qualified"] == NO_LIMIT)),
        tuple(
            f"{label} ({', '.join(clauses)})"
            for label, clauses in _clauses(row for row in once if row["qualified"] == NO_RULE).items()
        ),
    )


def _told_once(rows: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Rows; those that qualify the same in several circumstances as one that names each."""
    found: dict[tuple[str, ...], Mapping[str, Any]] = {}
    for row in rows:
        key = tuple(str(row[name]) for name in LIKENESS if name != "when")
        other = found.get(key)
        found[key] = row if other is None else {**row, "when": _either(other["when"], row["when"])}
    return list(found.values())


def _either(one: str, other: str) -> str:
    """Both circumstances; what holds always leaves no other to name."""
    return f"{one}; or {other}" if one and other else ""


def _unlimited(row: Mapping[str, Any]) -> str:
    found = "" if row["found"] == MISSING else f" {row['found']}"
    when = f", {row['when']}" if row["when"] else ""
    return f"{row['label']}{found}{when} ({_clause(row)})"


def _clause(row: Mapping[str, Any]) -> str:
    return f"{row['clause']}{'*' if row['provenance'] == 'memory' else ''}"


def _clauses(rows: Iterable[Mapping[str, Any]]) -> dict[str, dict[str, None]]:
    found: dict[str, dict[str, None]] = {}
    for row in rows:
        found.setdefault(row["label"], {})[_clause(row)] = None
    return found


def _where(when: str, notes: dict[str, str]) -> str:
    if not when:
        return "Always"
    if len(when) <= LONGEST_WHERE:
        return when[:1].upper() + when[1:]
    return f"Note {notes.setdefault(when, ascii_lowercase[len(notes) % 26] * (1 + len(notes) // 26))}"
