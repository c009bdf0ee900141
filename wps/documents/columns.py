"""Numbers in columns: the units they share stand in the head once, the other unit small below the number."""

from __future__ import annotations

from collections.abc import Sequence

from wps.documents.entry_values import IN_TWO_UNITS
from wps.documents.settings_table import NUMBER_AND_UNIT, Setting, span


def unit_of(words: Sequence[str]) -> str:
    """The units every number of a column has, the other one behind the first; empty where they differ."""
    found = {_parts(each)[1] for each in words}
    return found.pop() if len(found) == 1 else ""


def cell_of(words: str, unit: str) -> Setting:
    """A cell below a head with that unit; whole words where the head has none."""
    return _parts(words)[0] if unit else Setting(words)


def _parts(words: str) -> tuple[Setting, str]:
    """A number apart from its units; words whole."""
    match = IN_TWO_UNITS.match(words)
    values, units = [], []
    for each in (match["first"], match["other"]) if match else (words,):
        number = NUMBER_AND_UNIT.match(each)
        if number is None or not number["unit"]:
            return Setting(words), ""
        values.append(span(number["value"]))
        units.append(number["unit"])
    return Setting(values[0], values[1] if len(values) > 1 else ""), ", ".join(units)
