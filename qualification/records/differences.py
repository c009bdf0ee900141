"""What differs between two contents of a record, entry by entry, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from qualification.rules.core.values import MISSING, Stated
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.completing import completed
from qualification.rules.entries.reading import Entry, EntryError, read_entry
from qualification.rules.entries.wording import say_value
from qualification.rules.trials.change_words import say_change
from qualification.rules.variables.definition import Level, RecordKind, Variable
from qualification.rules.variables.registry import registry

Content = Mapping[str, Any]


@dataclass(frozen=True)
class Difference:
    """One thing that is not the same in both."""

    where: str
    """`The joint`, or the process line; empty for the head of the record."""
    label: str
    before: str
    after: str
    variable: str = ""
    """Key of the entry; empty for the head of the record and for a whole line."""
    words: str = ""
    """`current raised from 140 A to 150 A`, for an entry."""


def differences(
    before: Content, after: Content, use: RecordKind, heads: Mapping[str, str]
) -> list[Difference]:
    """All differences, in the order of a form. `heads` names the plain fields to compare, by key."""
    found = [
        Difference("", label, _plain(before.get(key)), _plain(after.get(key)))
        for key, label in heads.items()
        if _plain(before.get(key)) != _plain(after.get(key))
    ]
    systems = before["units"], after["units"]
    found += entry_differences("The joint", before["joint"], after["joint"], Level.JOINT, use, systems)
    lines_before, lines_after = _by_process(before["lines"]), _by_process(after["lines"])
    for name in dict.fromkeys([*lines_before, *lines_after]):
        found += _of_line(name, lines_before.get(name), lines_after.get(name), use, systems)
    if set(lines_before) == set(lines_after) and list(lines_before) != list(lines_after):
        found.append(Difference("", "Order of processes", ", ".join(lines_before), ", ".join(lines_after)))
    return found


def _by_process(lines: Sequence[Mapping[str, Entry]]) -> dict[str, Mapping[str, Entry]]:
    """Lines by process, so that one that was moved is compared with itself."""
    found: dict[str, Mapping[str, Entry]] = {}
    for line in lines:
        process = _plain(line.get("process")) or "Process not stated"
        same = sum(1 for name in found if name == process or name.startswith(f"{process}, line "))
        found[f"{process}, line {same + 1}" if same else process] = line
    return found


def _of_line(
    name: str,
    before: Mapping[str, Entry] | None,
    after: Mapping[str, Entry] | None,
    use: RecordKind,
    systems: tuple[str, str],
) -> list[Difference]:
    if before is None or after is None:
        return [
            Difference(
                name,
                "Process line",
                "None" if before is None else "Present",
                "None" if after is None else "Present",
            )
        ]
    return entry_differences(name, before, after, Level.LINE, use, systems)


def entry_differences(
    where: str,
    before: Mapping[str, Entry],
    after: Mapping[str, Entry],
    level: Level,
    use: RecordKind,
    systems: tuple[str, str],
) -> list[Difference]:
    """Entries of one level that do not mean the same, each read by the units of its own side; an entry that
    cannot be read is compared and shown as typed."""
    found = []
    before, after = completed(before, systems[0]).entries, completed(after, systems[1]).entries
    for variable in _variables(level, {*before, *after}):
        (was, said_before), (now, said_after) = (
            _reading(side.get(variable.key, ""), variable, use, system)
            for side, system in zip((before, after), systems, strict=True)
        )
        if was != now:
            if isinstance(was, Unread) or isinstance(now, Unread):
                words = f"{within_sentence(variable.label)} changed from {said_before} to {said_after}"
            else:
                words = say_change(variable.key, was, now, systems[1])
            found.append(Difference(where, variable.label, said_before, said_after, variable.key, words))
    return found


def _variables(level: Level, keys: Iterable[str]) -> list[Variable]:
    wanted = set(keys)
    return [v for v in registry().values() if v.level is level and v.key in wanted]


@dataclass(frozen=True)
class Unread:
    """An entry that could not be read, as typed."""

    typed: str


def _reading(entry: Entry, variable: Variable, use: RecordKind, system: str) -> tuple[Stated | Unread, str]:
    """What the entry means, so that 1/4 and .250 are the same, and its words; as typed where unreadable."""
    try:
        value = read_entry(entry, variable, use, system)
    except EntryError:
        return Unread(_plain(entry)), f"“{_plain(entry)}”"
    if value is MISSING and _plain(entry).strip():
        return Unread(_plain(entry).strip()), _plain(entry).strip()  # a group of metals, for example
    return value, say_value(variable.key, value, system)


def _plain(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "Yes" if value else "No"
    return "; ".join(value) if isinstance(value, list) else str(value)
