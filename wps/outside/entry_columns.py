"""Entries of a weld as columns of a table: the same headings in lists that go out, in templates to fill in,
and in lists that come in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from qualification.rules.variables.definition import Level, RecordKind, Variable
from qualification.rules.variables.registry import registry

MOST_LINES = 3
"""Processes of one record that a row has room for."""


def entry_head(variable: Variable, line: int = 0) -> str:
    """The heading of an entry; of a further process with its number: `Process 2: Filler classification`."""
    return variable.label if line == 0 else f"Process {line + 1}: {variable.label}"


@cache
def variables_of(use: RecordKind) -> tuple[Variable, ...]:
    """Every entry such a record may have: of the joint first, then of a process."""
    asked = [each for each in registry().values() if use in each.uses and not each.derived]
    return (
        *(each for each in asked if each.level is Level.JOINT),
        *(each for each in asked if each.level is Level.LINE),
    )


def filled_columns(records: Iterable[Any], use: RecordKind) -> list[tuple[Variable, int]]:
    """The entries that any of the records states, each with the number of its process from 0."""
    stated: set[tuple[str, int]] = set()
    for record in records:
        stated |= {(key, 0) for key, entry in record.joint.items() if entry not in ("", [], None)}
        for number, line in enumerate(record.lines):
            stated |= {(key, number) for key, entry in line.items() if entry not in ("", [], None)}
    most = max((number for _, number in stated), default=0)
    return [
        (variable, number)
        for number in range(most + 1)
        for variable in variables_of(use)
        if (variable.key, number) in stated and (number == 0 or variable.level is Level.LINE)
    ]


def entry_text(record: Any, variable: Variable, line: int) -> str:
    """The entry as typed, choices in words; several in a row with semicolons."""
    entries: Mapping[str, Any]
    if variable.level is Level.JOINT:
        entries = record.joint
    else:
        entries = record.lines[line] if line < len(record.lines) else {}
    entry = entries.get(variable.key, "")
    texts = entry if isinstance(entry, list) else [entry]
    return "; ".join(variable.choice_label(str(text)) for text in texts if text)
