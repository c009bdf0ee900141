"""The range of a test record parted for its page: what a weld like the coupon meets, other cases, toughness.

Nothing is left out: a row that is not shown at once stands in a fold that names it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from qualification.evidence.sides import both_sides_once
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.wording import NO_LIMIT
from qualification.rules.variables.metal_systems import SYSTEMS

Row = Mapping[str, Any]
RANGES = (" above ", " below ", " up to ", " or more")
"""Words of a condition on a number."""
SAID_ELSEWHERE = frozenset({"process", "supplemental_filler"})
"""Variables that are folded where nothing but what was tested is qualified: the heading names the process."""
MOST_SHOWN = 9
"""So many limits are read at a glance; of more, those on `ASKED_FIRST` are shown."""
ASKED_FIRST = frozenset(
    {
        "weld_type",
        "product_form",
        "position",
        "iso_position",
        "diameter",
        "thickness_thinner",
        "thickness_thicker",
        "thickness_a",
        "thickness_b",
        "deposit_thickness",
        "f_number",
        "filler_classification",
        "transfer_mode",
        "shielding_gas",
        "iso_gas",
        "pwht",
        *(system.pair for system in SYSTEMS.values()),
        *(system.side("a") for system in SYSTEMS.values()),
    }
)


@dataclass(frozen=True)
class Parts:
    """The range of one process line."""

    label: str
    shown: tuple[Row, ...]
    others: tuple[Row, ...]
    """No limit, or a condition that a weld like the coupon does not meet."""
    tough: tuple[Row, ...]
    """Only where toughness is required, and it was not of the coupon."""
    details: tuple[Row, ...] = ()
    """Of a long range the limits that are asked for last."""


def range_parts(content: Mapping[str, Any]) -> list[Parts]:
    """The parts line by line, in the order of the range."""
    processes = {group["line"]: group["process"] for group in content["entered"] if group["line"] is not None}
    lines: dict[int, list[Row]] = {}
    for row in content["range"]:
        lines.setdefault(row["line"] or 0, []).append(row)
    return [
        _parts(
            f"Process {line + 1}, {processes.get(line, '')}"
            if len(processes) > 1
            else processes.get(line, ""),
            rows,
            _stated(content["entered"], line),
        )
        for line, rows in sorted(lines.items())
    ]


def _parts(label: str, rows: Sequence[Row], stated: Mapping[str, set[str]]) -> Parts:
    shown: list[Row] = []
    others: list[Row] = []
    tough: list[Row] = []
    is_tough = "yes" in stated.get("toughness required", set()) | stated.get("toughness tested", set())
    for row in rows:
        if row["standing"] == "supplementary":
            (shown if is_tough else tough).append(row)
        elif row["qualified"] == NO_LIMIT or not concerns(row["when"], stated) or _is_said(row, shown):
            others.append(row)
        else:
            shown.append(row)
    shown, details = _asked_first(both_sides_once(shown, _like))
    return Parts(label, tuple(shown), tuple(others), tuple(tough), tuple(details))


def _asked_first(rows: list[Row]) -> tuple[list[Row], list[Row]]:
    """The rows of a long range in two: what decides of a weld most often, and the rest."""
    if len(rows) <= MOST_SHOWN:
        return rows, []
    first = [row for row in rows if row["variable"] in ASKED_FIRST or row["standing"] == "supplementary"]
    return (first, [row for row in rows if row not in first]) if first else (rows, [])


def _is_said(row: Row, shown: Sequence[Row]) -> bool:
    """Whether the row only repeats what was tested, or is a further case of a variable already in sight."""
    if row["variable"] in SAID_ELSEWHERE and row["qualified"] == row["found"]:
        return True
    return _is_of_numbers(row["when"]) and any(row["variable"] == each["variable"] for each in shown)


def _like(row: Row) -> tuple[str, ...]:
    return tuple(
        str(row[name]) for name in ("found", "qualified", "when", "clause", "provenance", "because", "note")
    )


def _is_of_numbers(when: str) -> bool:
    return any(words in f" {part.partition(': ')[2]}" for part in when.split("; ") for words in RANGES)


def concerns(when: str, stated: Mapping[str, set[str]]) -> bool:
    """Whether a weld like the coupon meets a condition in words, as far as words tell: a choice of which it
    states another, or a number it does not state, is another case; any doubt keeps the row in sight."""
    for part in when.split("; "):
        label, _, allowed = part.partition(": ")
        if not allowed or part.startswith("unless "):
            continue
        is_number = _is_of_numbers(part)
        values = stated.get(label)
        if values is None:
            if is_number:
                return False
        elif not is_number and not any(value in allowed for value in values):
            return False
    return True


def _stated(groups: Sequence[Mapping[str, Any]], line: int) -> dict[str, set[str]]:
    """What the joint and the line state, by label, both as a sentence writes them."""
    return {
        within_sentence(row["label"]): {within_sentence(each) for each in row["words"].split("; ")}
        for group in groups
        if group["line"] in (None, line)
        for row in group["rows"]
        if row["words"]
    }
