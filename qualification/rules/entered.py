"""What a record states, in words, in the order and under the headings of the registry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from .entries import Entry, EntryError, read_entry, with_same_filled_in
from .facts import Weld
from .grouping import Grouped
from .values import MISSING, NOT_APPLICABLE, Stated
from .variables import Kind, Level, Use, Variable, registry, variables_for
from .wording import say_value


@dataclass(frozen=True)
class EnteredRow:
    """One variable as typed and as understood."""

    key: str
    label: str
    typed: str
    words: str
    """The reading in both unit systems, or what is wrong with it."""
    state: str
    """`stated`, `derived` (follows from a catalogue item), `not_applicable` or `unread`."""
    is_number: bool = False

    def as_json(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


@dataclass(frozen=True)
class EnteredGroup:
    heading: str
    line: int | None
    process: str
    rows: tuple[EnteredRow, ...]
    not_stated: tuple[str, ...]
    """Labels of variables that could be stated here and are not; blank is not the same as not applicable."""

    def as_json(self) -> dict[str, Any]:
        return {
            "heading": self.heading,
            "line": self.line,
            "process": self.process,
            "not_stated": list(self.not_stated),
            "rows": [row.as_json() for row in self.rows],
        }


def entered_groups(
    joint: Mapping[str, Entry],
    lines: Sequence[Mapping[str, Entry]],
    use: Use,
    system: str,
    grouped: Sequence[Grouped] = (),
    speaks: frozenset[str] | None = None,
    shown: str = "",
    whole: Weld | None = None,
) -> tuple[EnteredGroup, ...]:
    """Groups of the joint, then of each process line. `grouped` are the values that follow from metals and
    fillers named; they are shown with what they follow from wherever the record does not state its own. With
    `speaks` (of an edition) only what it asks for is shown, and whatever is stated besides. `system` reads
    bare numbers; `shown` stands first in words where it is another. `whole`, the weld with everything
    derived, gives the terms of standards that follow from what is stated, such as the position by ISO
    6947."""
    units = (system, shown or system)
    found = _groups(joint, _shown(joint, use, Level.JOINT, None, speaks), use, units, None, "", grouped)
    for index, line in enumerate(lines):
        process = _plain(line.get("process", ""))
        found += _groups(
            line, _shown(line, use, Level.LINE, process or None, speaks), use, units, index, process, grouped
        )
        if whole is not None and speaks:
            found = _with_terms(found, whole, index, process, speaks, units[1])
    return tuple(found)


def _with_terms(
    groups: list[EnteredGroup], whole: Weld, line: int, process: str, speaks: frozenset[str], shown: str
) -> list[EnteredGroup]:
    """The groups with the terms that the edition's standards have for the line; a group of their own where
    there is none."""
    found, facts = list(groups), whole.lines[line]
    for variable in registry().values():
        if not (
            variable.derived
            and variable.level is Level.LINE
            and variable.codes & speaks
            and facts.given(variable.key)
        ):
            continue
        row = EnteredRow(
            variable.key, variable.label, "", say_value(variable.key, facts[variable.key], shown), "derived"
        )
        at = next(
            (i for i, group in enumerate(found) if group.line == line and group.heading == variable.group),
            None,
        )
        if at is None:
            found.append(EnteredGroup(variable.group, line, process, (row,), ()))
        else:
            found[at] = replace(found[at], rows=(*found[at].rows, row))
    return found


def _shown(
    entries: Mapping[str, Entry], use: Use, level: Level, process: str | None, speaks: frozenset[str] | None
) -> list[Variable]:
    return [
        v
        for v in variables_for(use, level, process)
        if speaks is None or v.asked_by(speaks) or _plain(entries.get(v.key, "")).strip()
    ]


def _groups(
    entries: Mapping[str, Entry],
    variables: Sequence[Variable],
    use: Use,
    units: tuple[str, str],
    line: int | None,
    process: str,
    grouped: Sequence[Grouped],
) -> list[EnteredGroup]:
    filled = with_same_filled_in(entries)
    rows: dict[str, list[EnteredRow]] = {}
    blank: dict[str, list[str]] = {}
    for variable in variables:
        entry = filled.get(variable.key, "")
        row = _row(variable, entry, _plain(entries.get(variable.key, "")), use, units)
        row = row or _derived(
            variable, [g for g in grouped if g.key == variable.key and g.line == line], units[1]
        )
        rows.setdefault(variable.group, [])
        blank.setdefault(variable.group, [])
        if row is not None:
            rows[variable.group].append(row)
        elif not _hidden(variable, filled):
            blank[variable.group].append(variable.label)
    return [
        EnteredGroup(heading, line, process, tuple(rows[heading]), tuple(blank[heading])) for heading in rows
    ]


def _hidden(variable: Variable, entries: Mapping[str, Entry]) -> bool:
    """True where another entry makes the variable meaningless, so that its blank is no omission."""
    if variable.shown_when is None:
        return False
    key, choices = variable.shown_when
    entry = entries.get(key, "")
    stated = {entry} if isinstance(entry, str) else set(entry)
    return bool(stated - {""}) and not stated & choices


def _row(variable: Variable, entry: Entry, typed: str, use: Use, units: tuple[str, str]) -> EnteredRow | None:
    system, shown = units
    try:
        value: Stated = read_entry(entry, variable, use, system)
    except EntryError as error:
        return EnteredRow(variable.key, variable.label, typed, str(error), "unread")
    if value is MISSING:
        return None
    state = "not_applicable" if value is NOT_APPLICABLE else "stated"
    return EnteredRow(
        variable.key,
        variable.label,
        typed,
        say_value(variable.key, value, shown),
        state,
        variable.kind is Kind.NUMBER,
    )


def _derived(variable: Variable, grouped: Sequence[Grouped], system: str) -> EnteredRow | None:
    if not grouped:
        return None
    words = say_value(variable.key, frozenset(g.value for g in grouped), system)
    items = ", ".join(dict.fromkeys(g.item for g in grouped))
    return EnteredRow(variable.key, variable.label, "", f"{words}, from {items}", "derived")


def _plain(entry: Entry) -> str:
    return entry if isinstance(entry, str) else "; ".join(entry)
