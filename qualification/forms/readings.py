"""How each entry was read, in words, for the line below its field."""

from __future__ import annotations

from qualification.rules.derive import derive
from qualification.rules.entries import ReadWeld
from qualification.rules.facts import Facts
from qualification.rules.grouping import group
from qualification.rules.tables import Edition
from qualification.rules.values import Interval, Stated
from qualification.rules.variables import Kind, registry
from qualification.rules.wording import say_value

GROUP_OF = {"base_metal_a": "p_number_a", "base_metal_b": "p_number_b", "filler_classification": "f_number"}
"""Names from the catalogue, and the group the edition gives to them."""


def readings_of(read: ReadWeld, system: str, edition: Edition) -> dict[tuple[int | None, str], str]:
    """Words by (line, variable): numbers in both unit systems, gases as mixtures, metals and fillers with
    the group the edition puts them in. Entries that need no explanation are left out."""
    weld = derive(group(read.weld, edition))
    found = {(None, key): words for key, words in _readings(read.weld.joint, weld.joint, system).items()}
    for index, line in enumerate(read.weld.lines):
        for key, words in _readings(line, weld.lines[index], system).items():
            found[(index, key)] = words
    return found


def _readings(stated: Facts, grouped: Facts, system: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, value in stated.items():
        words = _reading(key, value, grouped, system)
        if words:
            found[key] = words
    return found


def _reading(key: str, value: Stated, grouped: Facts, system: str) -> str:
    kind = registry()[key].kind
    if isinstance(value, Interval) or (kind is Kind.GAS and isinstance(value, frozenset)):
        return say_value(key, value, system)
    if key in GROUP_OF and isinstance(value, frozenset):
        own = GROUP_OF[key]
        names = say_value(key, value, system)
        return f"{names}: {say_value(own, grouped[own], system)}" if grouped.given(own) else names
    return ""
