"""The log of a procedure test's passes: what the meters showed while each was welded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from qualification.rules.arithmetic.heat import arc_energy_span
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import EntryError, read_entry
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry

COLUMNS = {
    "filler_diameter": "Filler diameter",
    "amps": "Current",
    "volts": "Voltage",
    "wire_feed": "Wire feed",
    "travel_speed": "Travel speed",
    "interpass_max": "Preheat or interpass",
}
"""Readings of a pass: the variable by which each is read, and what the log calls it."""
TEXTS = {"pass": "Pass", "process": "Process", "note": "Note"}


def read_reading(key: str, text: str, system: str) -> Interval | None:
    """One reading; `None` where nothing or n/a is typed. Raises EntryError with how to write it."""
    found = read_entry(text, registry()[key], RecordKind.TEST, system)
    return found if isinstance(found, Interval) else None


def pass_rows(passes: Sequence[Mapping[str, str]], system: str, shown: str) -> list[dict[str, str]]:
    """Each pass in words, readings in both unit systems with `shown` first; empty where nothing is stated.

    The arc energy is volts times amps by travel speed, from the least to the most the readings allow; it is
    worked out, never typed.
    """
    return [_row(each, system, shown) for each in passes]


def _row(typed: Mapping[str, str], system: str, shown: str) -> dict[str, str]:
    read = {key: _read_again(key, typed.get(key, ""), system) for key in COLUMNS}
    words = {
        key: typed.get(key, "") if value is None else show_both(value, str(registry()[key].dimension), shown)
        for key, value in read.items()
    }
    volts, amps, travel = read["volts"], read["amps"], read["travel_speed"]
    energy = ""
    if volts is not None and amps is not None and travel is not None and travel.low:
        energy = show_both(arc_energy_span(volts, amps, travel), "heat_input", shown)
    return {**{key: typed.get(key, "") for key in TEXTS}, **words, "energy": energy}


def _read_again(key: str, text: str, system: str) -> Interval | None:
    """A stored reading; the form let none in that cannot be read, but for a change of units since."""
    try:
        return read_reading(key, text, system)
    except EntryError:
        return None


def log_content(passes: Sequence[Mapping[str, str]], system: str, shown: str) -> dict[str, Any]:
    """The log as a table for page and paper: heads of the columns anything is stated in, and the rows."""
    rows = pass_rows(passes, system, shown)
    heads = {
        "pass": "Pass",
        "process": "Process",
        **COLUMNS,
        "energy": "Arc energy by the readings",
        "note": "Note",
    }
    used = [key for key in heads if key == "pass" or any(row[key] for row in rows)]
    return {"heads": [heads[key] for key in used], "rows": [[row[key] for key in used] for row in rows]}
