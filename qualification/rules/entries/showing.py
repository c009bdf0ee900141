"""What a record states, in words, in the order and under the headings of the registry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from ..core.facts import Weld
from ..core.values import MISSING, NOT_APPLICABLE, Stated
from ..materials.grouping import Grouped
from ..variables.choice_words import choice_named
from ..variables.definition import READ, Level, RecordKind, ValueKind, Variable
from ..variables.registry import registry, variables_for
from . import settings_rows
from .completing import completed, directions, family_of, with_direction
from .reading import Entry, EntryError, plain, read_entry, understood_as
from .set_aside import set_aside
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
    is_read: bool = False
    """True where `words` is a reading of `typed`, which is what stands first; false for a choice that was
    ticked and for free text."""

    @property
    def first(self) -> str:
        """What stands first on page and paper: what was typed, where it was read."""
        return self.typed if self.is_read and self.typed else self.words

    @property
    def beside(self) -> str:
        """How it was read, as far as that is not what was typed: `(6.35 mm)` beside `1/4 in`."""
        return "" if self.first == self.words else self.words.removeprefix(f"{self.first} ")

    def as_json(self) -> dict[str, Any]:
        whole = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return whole | {"first": self.first, "beside": self.beside}


@dataclass(frozen=True)
class EnteredGroup:
    heading: str
    line: int | None
    process: str
    rows: tuple[EnteredRow, ...]
    not_stated: tuple[str, ...]
    """Labels of variables that could be stated here and are not; blank is not the same as not applicable."""
    set_aside: tuple[str, ...] = ()
    """Entries that say nothing for this weld, as label and text: kept for the editor, printed nowhere."""

    def as_json(self) -> dict[str, Any]:
        return {
            "heading": self.heading,
            "line": self.line,
            "process": self.process,
            "not_stated": list(self.not_stated),
            "set_aside": list(self.set_aside),
            "rows": [row.as_json() for row in self.rows],
        }


def entered_groups(
    joint: Mapping[str, Entry],
    lines: Sequence[Mapping[str, Entry]],
    use: RecordKind,
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
    family, up_or_down = family_of(joint), directions(joint)
    for index, line in enumerate(lines):
        typed = plain(line.get("process", ""))
        process = choice_named(registry()["process"], typed) or typed
        shown_here = _shown(line, use, Level.LINE, process or None, speaks)
        whole_line = with_direction(line, up_or_down)
        found += _groups(whole_line, shown_here, use, units, index, process, grouped, family)
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
    entries: Mapping[str, Entry],
    use: RecordKind,
    level: Level,
    process: str | None,
    speaks: frozenset[str] | None,
) -> list[Variable]:
    return [
        v
        for v in variables_for(use, level, process)
        if speaks is None or v.asked_by(speaks) or plain(entries.get(v.key, "")).strip()
    ]


def _groups(
    entries: Mapping[str, Entry],
    variables: Sequence[Variable],
    use: RecordKind,
    units: tuple[str, str],
    line: int | None,
    process: str,
    grouped: Sequence[Grouped],
    family: str = "",
) -> list[EnteredGroup]:
    whole = completed(entries, units[0], family)
    filled = whole.entries
    rows: dict[str, list[EnteredRow]] = {}
    blank: dict[str, list[str]] = {}
    aside: dict[str, list[str]] = {}
    out_of_place = set_aside(filled, _choices_stated(filled, use, units[0]))
    for variable in variables:
        entry = filled.get(variable.key, "")
        if variable.key in out_of_place and plain(entry).strip():
            rows.setdefault(variable.group, [])
            blank.setdefault(variable.group, [])
            aside.setdefault(variable.group, []).append(f"{variable.label}: {plain(entry)}")
            continue
        row = _row(variable, entry, plain(entries.get(variable.key, "")).strip(), use, units)
        if row is not None and variable.key in whole.refused:
            row = replace(row, words=whole.refused[variable.key], state="unread", is_read=False)
        elif row is not None and variable.key in whole.came_from:
            row = replace(
                row,
                typed="",
                words=f"{row.words}, from {whole.came_from[variable.key]}",
                state="derived",
                is_read=False,
            )
        row = row or _derived(
            variable, [g for g in grouped if g.key == variable.key and g.line == line], units[1]
        )
        if (
            row is not None
            and variable.kind is ValueKind.CHOICE
            and _was_rewritten(entries, filled, variable.key)
        ):
            row = replace(row, is_read=True)
        rows.setdefault(variable.group, [])
        blank.setdefault(variable.group, [])
        if row is not None:
            rows[variable.group].append(row)
        elif not _hidden(variable, filled):
            blank[variable.group].append(variable.label)
    return [
        EnteredGroup(
            heading,
            line,
            process,
            tuple(rows[heading]),
            tuple(blank[heading]),
            tuple(aside.get(heading, ())),
        )
        for heading in rows
    ]


def _choices_stated(entries: Mapping[str, Entry], use: RecordKind, system: str) -> dict[str, Stated]:
    """What the entries say by which other entries are meant or not."""
    found: dict[str, Stated] = {}
    for key in {v.shown_when[0] for v in registry().values() if v.shown_when} & entries.keys():
        with suppress(EntryError):
            found[key] = read_entry(entries[key], registry()[key], use, system)
    return found


def _was_rewritten(typed: Mapping[str, Entry], filled: Mapping[str, Entry], key: str) -> bool:
    """True where a choice is written by another name than its own, such as a position by ISO 6947."""
    return key in typed and bool(plain(typed[key]).strip()) and plain(typed[key]) != plain(filled[key])


def _hidden(variable: Variable, entries: Mapping[str, Entry]) -> bool:
    """True where another entry makes the variable meaningless, so that its blank is no omission; and while
    that other entry is blank, since then that one is the omission."""
    if variable.shown_when is None:
        return False
    entry = entries.get(variable.shown_when[0], "")
    typed = frozenset(({entry} if isinstance(entry, str) else set(entry)) - {""})
    return not typed or variable.says_nothing_beside(typed)


def _row(
    variable: Variable, entry: Entry, typed: str, use: RecordKind, units: tuple[str, str]
) -> EnteredRow | None:
    system, shown = units
    try:
        value: Stated = read_entry(entry, variable, use, system)
    except EntryError as error:
        return EnteredRow(variable.key, variable.label, typed, str(error), "unread")
    understood = understood_as(entry, variable, use, system)
    if value is MISSING and not understood:
        return None
    state = "not_applicable" if value is NOT_APPLICABLE else "stated"
    return EnteredRow(
        variable.key,
        variable.label,
        typed,
        understood or say_value(variable.key, value, shown),
        state,
        variable.kind is ValueKind.NUMBER,
        state == "stated"
        and (
            variable.kind in READ
            or variable.key == settings_rows.KEY
            or (variable.kind is ValueKind.CHOICE and bool(understood))
        ),
    )


def _derived(variable: Variable, grouped: Sequence[Grouped], system: str) -> EnteredRow | None:
    if not grouped:
        return None
    words = say_value(variable.key, frozenset(g.value for g in grouped), system)
    items = ", ".join(dict.fromkeys(g.item for g in grouped))
    return EnteredRow(variable.key, variable.label, "", f"{words}, from {items}", "derived")
