"""What a change replaced: old and new values by where they stand, for the audit trail."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import models

LEFT_OUT = ("id", "created_at", "updated_at")
"""Written by the program, and told by the entry itself."""


def stored_values(thing: models.Model, *, lock: bool = False) -> dict[str, Any]:
    """The fields of the thing as the database has them now, as plain JSON; empty before it is stored. `lock`
    keeps others from saving it until the transaction ends."""
    kept = type(thing)._default_manager.all()
    kept = kept.select_for_update(no_key=True) if lock else kept
    stored = kept.filter(pk=thing.pk).first() if thing.pk else None
    return values_of(stored) if stored is not None else {}


def values_of(thing: models.Model) -> dict[str, Any]:
    """The fields of the thing as plain JSON."""
    fields = (field.attname for field in thing._meta.concrete_fields)
    return {name: _plain(getattr(thing, name)) for name in fields if name not in LEFT_OUT}


def changes_between(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, list[Any]]:
    """Old and new value of everything that differs; `lines.0.amps` is an entry of the first process line.
    What was not there before, or is not any more, is null."""
    old, new = dict(_flat(before)), dict(_flat(after))
    return {
        name: [old.get(name), new.get(name)]
        for name in dict.fromkeys([*old, *new])
        if old.get(name) != new.get(name)
    }


def _flat(value: Any, at: str = "") -> list[tuple[str, Any]]:
    inner: Iterable[tuple[Any, Any]]
    if isinstance(value, Mapping):
        inner = value.items()
    elif isinstance(value, Sequence) and not isinstance(value, str) and any(map(_has_parts, value)):
        inner = [(str(index), each) for index, each in enumerate(value)]
    else:
        return [(at, value)]
    return [found for name, each in inner for found in _flat(each, f"{at}.{name}" if at else str(name))]


def _has_parts(value: Any) -> bool:
    return isinstance(value, Mapping | list)


def _plain(value: Any) -> Any:
    return value if value is None or isinstance(value, str | int | bool | list | dict) else str(value)
