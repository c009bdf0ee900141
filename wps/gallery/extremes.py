"""Records as nobody keeps them, to see that their papers hold: one with nothing in it, one with as much as
fits. They are stored while the papers are made, and taken back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import copy
from typing import Any

from django.db import transaction

from qualification.models import Record, State
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.registry import registry
from wps.documents.kinds import KINDS

LONG = "Clean, dry, brush, wipe with acetone, let it dry in still air before the next pass; "
EMPTY, FULL = "EMPTY", "LONG"
LINES_OF_NOTES, AND_MORE = 20, ", and all that goes with it, "
LINES = 4
"""Process lines of the long record, or as many as it has."""


def extremes() -> Iterator[tuple[str, Record]]:
    """An empty and a long record of each kind that the shop has a record of, with its kind."""
    with transaction.atomic():
        for kind, model in KINDS.items():
            like = model.objects.order_by("number", "revision").first()
            if like is not None:
                yield kind, _stored(like, EMPTY, title="", joint={}, lines=[], **_without_results(like))
                yield kind, _stored(like, FULL, **_long(like))
        transaction.set_rollback(True)


def typed_in_extremes() -> Iterator[str]:
    """What somebody would have typed on the long records."""
    yield from (LONG.strip(), LONG.strip(" ;"), LONG.strip(" ;").upper(), AND_MORE, EMPTY, FULL)


def _without_results(like: Record) -> dict[str, Any]:
    return {"results": []} if hasattr(like, "results") else {}


def _long(like: Record) -> dict[str, Any]:
    lines = [_wordy(like.lines[place % len(like.lines)]) for place in range(LINES)] if like.lines else []
    return {
        "title": (like.title + AND_MORE + like.title)[:120],
        "notes": LONG * LINES_OF_NOTES,
        "joint": _wordy(like.joint),
        "lines": lines,
    }


def _wordy(entries: Mapping[str, Any]) -> dict[str, Any]:
    """The entries, with whatever is written freely as a long text."""
    return {
        key: LONG * 2 if key in registry() and registry()[key].kind is ValueKind.TEXT else said
        for key, said in entries.items()
    }


def _stored(like: Record, number: str, **changes: Any) -> Record:
    made = copy(like)
    made._state = copy(like._state)
    made._state.adding, made.pk, made.number, made.state = True, None, number, State.DRAFT
    made.snapshot, made.approved_at, made.approved_by, made.approved_by_name = None, None, None, ""
    for name, value in changes.items():
        setattr(made, name, value)
    made.save()
    return made
