"""The table of what is set on a sheet: a row per process line, or per size of electrode where a line states
its settings by size."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from qualification.rules.entries.settings_rows import KEY as BY_SIZE
from qualification.rules.entries.settings_rows import said_rows
from wps.documents.entry_values import Value, value_of

NUMBER = r"−?\d[\d./]*(?: \d+/\d+)?"
NUMBER_AND_UNIT = re.compile(rf"^(?P<value>{NUMBER}(?: to {NUMBER})?)(?: ?(?P<unit>(?!to )[^\d\s−].*))?$")
COLUMNS = (
    ("amps",),
    ("volts",),
    ("wire_feed",),
    ("travel_speed",),
    ("pulse_frequency", "pulse_duty"),
    ("slow_frequency", "low_level"),
    ("voltage_trim", "inductance"),
    ("heat_input",),
)
"""Columns of the settings; two that are set together share one."""
SET = frozenset(key for column in COLUMNS for key in column)


@dataclass(frozen=True)
class Setting:
    """A number to set: without its unit where the column's head has it."""

    value: str
    other: str = ""


@dataclass(frozen=True)
class SettingsRow:
    """What is set in one process line, or for one size of electrode in it."""

    number: int
    """The process line, counted from 1."""
    process: str
    words: str
    """The process in words; empty in rows that follow for further sizes."""
    part: str
    """Its part of the joint, and the size."""
    cells: tuple[tuple[Setting | None, ...], ...]
    """One per head."""


@dataclass(frozen=True)
class Settings:
    """The table of what is set: heads as lines of (label, unit), and its rows."""

    heads: tuple[tuple[tuple[str, str], ...], ...]
    rows: tuple[SettingsRow, ...]


def settings_of(groups: Sequence[Mapping[str, Any]], numbers: Sequence[int]) -> Settings:
    stated = {
        (row["key"], group["line"]): row for group in groups for row in group["rows"] if row["key"] in SET
    }
    by_size = {number: _by_size(groups, number) for number in numbers}
    for number, sizes in by_size.items():
        for key in {key for _, values in sizes for key in values}:
            if (key, number) in stated:
                stated[key, number] = _said(next(values[key] for _, values in sizes if key in values))
    labels = {key: _label(groups, key) for key, _ in stated}
    columns = [kept for column in COLUMNS if (kept := tuple(key for key in column if key in labels))]
    units = {key: _unit_of([row for (of, _), row in stated.items() if of == key]) for key in labels}

    def cells(number: int, of_size: Mapping[str, str]) -> tuple[tuple[Setting | None, ...], ...]:
        rows = {key: row for (key, line), row in stated.items() if line == number}
        rows |= {key: _said(words) for key, words in of_size.items() if key in rows}
        return tuple(
            tuple(_setting(rows[key], units[key]) if key in rows else None for key in column)
            for column in columns
        )

    return Settings(
        tuple(tuple((labels[key], units[key]) for key in column) for column in columns),
        tuple(
            SettingsRow(
                index,
                next(group["process"] for group in groups if group["line"] == number),
                "" if at else _words(groups, number, "process"),
                ", ".join(part for part in (_words(groups, number, "part_of_joint"), size) if part),
                cells(number, of_size),
            )
            for index, number in enumerate(numbers, start=1)
            for at, (size, of_size) in enumerate(by_size[number] or [("", {})])
        ),
    )


def _by_size(groups: Sequence[Mapping[str, Any]], line: int) -> list[tuple[str, dict[str, str]]]:
    """The settings of a line by size of electrode; none where it states one setting for all."""
    for group in groups:
        for row in group["rows"] if group["line"] == line else ():
            if row["key"] == BY_SIZE and row["state"] == "stated":
                return [(size.split(" (")[0], values) for size, values in said_rows(row["words"])]
    return []


def _said(words: str) -> dict[str, Any]:
    """A number in words as a row of the record states it."""
    return {"words": words, "typed": "", "state": "stated", "is_read": False, "is_number": True}


def _label(groups: Sequence[Mapping[str, Any]], key: str) -> str:
    return next(row["label"] for group in groups for row in group["rows"] if row["key"] == key)


def _words(groups: Sequence[Mapping[str, Any]], line: int, key: str) -> str:
    return next(
        (
            row["words"]
            for group in groups
            for row in group["rows"]
            if group["line"] == line and row["key"] == key
        ),
        "",
    )


def _unit_of(rows: Sequence[Mapping[str, Any]]) -> str:
    """The unit all rows share, for the head; empty where they differ or one is not a number with a unit."""
    found = {match["unit"] if (match := _number(value_of(row))) else None for row in rows}
    return (found.pop() or "") if len(found) == 1 else ""


def _number(value: Value) -> re.Match[str] | None:
    return None if value.typed else NUMBER_AND_UNIT.match(value.text)


def _setting(row: Mapping[str, Any], unit: str) -> Setting:
    value = value_of(row)
    match = _number(value)
    if match is None:
        return Setting(f"{value.typed} {value.text}".strip(), value.other)
    return Setting(span(match["value"] if unit else value.text), span(value.other))


def span(words: str) -> str:
    """A span of numbers with a dash; in words where a number is negative, since a dash would read as one."""
    return words if "−" in words else words.replace(" to ", "–")
