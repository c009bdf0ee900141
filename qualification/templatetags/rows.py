"""Filters that part the rows of a record's page: what is open before what is settled, and folds by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django import template

from qualification.rules.entries.settings_rows import said_rows
from qualification.tongues.told import listed, told, told_label_within, told_list

register = template.Library()

NAMED = 6
"""Variables a closed fold names before it counts the others."""
VALUES = 8
"""Entries a closed fold quotes at most; the line is cut to its width besides."""


def _of(row: Any, key: str) -> Any:
    return row[key] if isinstance(row, Mapping) else getattr(row, key)


@register.filter
def rows_by_size(words: str) -> list[tuple[str, dict[str, str]]]:
    """Settings by size of electrode, a row for each."""
    return said_rows(words)


@register.filter
def unsettled(rows: Iterable[Any]) -> list[Any]:
    """Rows that decide and are not covered."""
    return [row for row in rows if _of(row, "binds") and _of(row, "verdict") != "covered"]


@register.filter
def settled(rows: Iterable[Any]) -> list[Any]:
    """Rows that decide and are covered."""
    return [row for row in rows if _of(row, "binds") and _of(row, "verdict") == "covered"]


@register.filter
def nonessential(rows: Iterable[Any]) -> list[Any]:
    """Rows that only have to be recorded."""
    return [row for row in rows if not _of(row, "binds")]


@register.filter
def named(rows: Sequence[Any]) -> str:
    """The variables of the rows, each once: `process; weld type; 4 more`."""
    found = list(dict.fromkeys(_of(row, "label") for row in rows))
    labels = [told_label_within(each) for each in found]
    more = len(labels) - NAMED
    return listed([*labels[:NAMED], told(f"{more} more")] if more > 1 else labels)


@register.filter
def asides(steps: Iterable[Any]) -> list[Any]:
    """Workflow steps that lead away from approval."""
    return [step for step in steps if step.is_aside]


@register.filter
def in_brief(groups: Iterable[Mapping[str, Any]]) -> str:
    """What groups of entries state, values alone; the first of them."""
    words = dict.fromkeys(row["words"] for group in groups for row in group["rows"])
    return told_list(list(words)[:VALUES])


@register.filter
def required(contents: Mapping[str, Any] | None) -> list[Any]:
    """What the code requires and the record does not state, without the reasons."""
    return [row for _, rows in contents["required"] for row in rows] if contents else []


def _numbered(test: Callable[[int | None], bool]) -> Callable[[Mapping[str, Any] | None], int]:
    return lambda contents: sum(test(row.number) for row in required(contents))


register.filter("missing_of_joint", _numbered(lambda number: number is None))


@register.filter
def missing_of(contents: Mapping[str, Any] | None, number: int) -> int:
    """How many required entries of a process line are missing."""
    return _numbered(lambda of: of == number)(contents)
