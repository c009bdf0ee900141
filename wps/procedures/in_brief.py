"""A procedure in brief for its page: the settings of each process, and the weld in six facts.

Read off the entries in words, so that an approved procedure shows what was approved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from qualification.rules.variables.registry import registry

SETTINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Filler", ("filler_classification", "f_number", "filler_diameter")),
    ("Current", ("amps",)),
    ("Voltage", ("volts",)),
    ("Wire feed", ("wire_feed",)),
    ("Travel", ("travel_speed",)),
    ("Gas", ("shielding_gas", "shielding_flow")),
)
"""Heads of the settings and the entries below each."""
FACTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Joint", ("weld_type", "joint_form", "groove_type", "groove_angle", "sides_welded")),
    ("Metal", ("base_metal_a", "base_metal_b", "product_form")),
    ("Thickness", ("thickness_a", "thickness_b")),
    ("Operation", ("operation", "transfer_mode")),
    ("Position", ("position", "progression")),
    ("Preheat; PWHT", ("preheat_min", "pwht")),
)
"""What a welder asks first of a procedure beside its settings, and the entries that say it."""


@dataclass(frozen=True)
class Settings:
    """One process line with its settings, in the order of `SETTINGS`; an empty one is not stated."""

    number: int
    process: str
    cells: tuple[tuple[str, str], ...]


def settings_of(content: dict[str, Any]) -> list[Settings]:
    """The settings line by line; a head that no line states or could state is left out."""
    found = []
    for index, entries in enumerate(content["lines"]):
        groups = [group for group in content["entered"] if group["line"] == index]
        words = _words(groups)
        process = str(entries.get("process", ""))
        blank = {label for group in groups for label in group["not_stated"]}
        cells = tuple(
            (head, "; ".join(words[key] for key in keys if key in words))
            for head, keys in SETTINGS
            if any(key in words for key in keys) or registry()[keys[0]].label in blank
        )
        found.append(Settings(index + 1, process, cells))
    return found


def facts_of(content: dict[str, Any]) -> list[tuple[str, str]]:
    """The weld in six facts; a fact with nothing stated is left out."""
    words: dict[str, list[str]] = {}
    for group in content["entered"]:
        for key, said in _words([group]).items():
            words.setdefault(key, []).append(said)
    found = [
        (head, "; ".join(dict.fromkeys(said for key in keys for said in words.get(key, ()))))
        for head, keys in FACTS
    ]
    return [(head, said) for head, said in found if said]


def _words(groups: Sequence[dict[str, Any]]) -> dict[str, str]:
    return {row["key"]: row["words"] for group in groups for row in group["rows"] if row["words"]}
