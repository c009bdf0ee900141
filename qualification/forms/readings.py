"""How each entry was read, in words, for the line below its field."""

from __future__ import annotations

from collections.abc import Mapping

from qualification.rules.core.facts import Facts
from qualification.rules.core.values import Interval, Stated
from qualification.rules.entries.derive import derive
from qualification.rules.entries.reading import ReadWeld
from qualification.rules.entries.wording import say_value
from qualification.rules.materials.grouping import group
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.metal_systems import SIDES
from qualification.rules.variables.registry import registry


def groups_of(edition: Edition) -> dict[str, str]:
    """Names from the catalogue, and the variable of the group the edition gives to them."""
    metals = (
        {} if edition.metals is None else {f"base_metal_{side}": edition.metals.side(side) for side in SIDES}
    )
    return {**metals, "filler_classification": "filler_group" if edition.family == "iso" else "f_number"}


def readings_of(read: ReadWeld, system: str, edition: Edition) -> dict[tuple[int | None, str], str]:
    """Words by (line, variable): numbers in both unit systems, gases as mixtures, metals and fillers with
    the group the edition puts them in. Entries that need no explanation are left out."""
    weld, own = derive(group(read.weld, edition)), groups_of(edition)
    found = {(None, key): words for key, words in _readings(read.weld.joint, weld.joint, system, own).items()}
    for index, line in enumerate(read.weld.lines):
        for key, words in _readings(line, weld.lines[index], system, own).items():
            found[(index, key)] = words
    for place, understood in read.readings.items():
        # `6061: P-23` becomes `6061, temper T6: P-23`.
        _, colon, said = found.get(place, "").partition(": ")
        found[place] = f"{understood}{colon}{said}"
    return found


def _readings(stated: Facts, grouped: Facts, system: str, groups: Mapping[str, str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, value in stated.items():
        words = _reading(key, value, grouped, system, groups)
        if words:
            found[key] = words
    return found


def _reading(key: str, value: Stated, grouped: Facts, system: str, groups: Mapping[str, str]) -> str:
    kind = registry()[key].kind
    if isinstance(value, Interval) or (kind is ValueKind.GAS and isinstance(value, frozenset)):
        return say_value(key, value, system)
    if key in groups and isinstance(value, frozenset):
        own = groups[key]
        names = say_value(key, value, system)
        return f"{names}: {say_value(own, grouped[own], system)}" if grouped.given(own) else names
    return ""
