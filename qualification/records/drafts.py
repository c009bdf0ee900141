"""Saving a draft: with its audit entry, and never over what somebody else saved meanwhile."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import models, transaction

from qualification.models.record import Record
from qualification.records.audit import events_of, name_of, record_event
from qualification.records.value_changes import changes_between
from qualification.roles import Person

Links = Mapping[str, Iterable[models.Model]]
"""Many-to-many fields of the record, and what each is to hold."""


@dataclass(frozen=True)
class Saved:
    """Who saved a record last, and when."""

    who: str
    at: datetime


class SavedMeanwhile(Exception):
    """Somebody else saved the draft after this person had opened it; nothing was written."""

    def __init__(self, stored: Any, saved: Saved) -> None:
        super().__init__(f"{saved.who} saved {stored} meanwhile, at {saved.at:%Y-%m-%d %H:%M}.")
        self.stored, self.saved = stored, saved


def version_of(record: Record) -> str:
    """A token for what is stored now: a form carries it, and hands it back when saving."""
    return record.updated_at.isoformat() if record.pk else ""


def create_draft(record: Record, person: Person, links: Links | None = None) -> None:
    """Store a new draft as written by `person`."""
    with transaction.atomic():
        record.author, record.author_name = person, name_of(person)  # type: ignore[assignment]
        record.save()
        _link(record, links)
        record_event("create", record, person)


def save_draft(
    record: Record, person: Person, version: str, changed: Iterable[str] = (), links: Links | None = None
) -> None:
    """Store a changed draft. `version` is the token the form was drawn with, `changed` names what changed,
    for the history.

    Raises SavedMeanwhile when the stored draft is no longer that version, and FrozenRecord when it is no
    draft any more.
    """
    with transaction.atomic():
        stored = type(record).objects.select_for_update(no_key=True).get(pk=record.pk)
        if version_of(stored) != version:
            raise SavedMeanwhile(stored, last_saved(stored))
        before = {**stored.content(), **_links_of(stored)}
        record.save()
        _link(record, links)
        replaced = changes_between(before, {**record.content(), **_links_of(record)})
        record_event("change", record, person, {"detail": ", ".join(changed), "changes": replaced})


def last_saved(record: Record) -> Saved:
    """Who touched this revision last, from the audit trail."""
    entry = next((e for e in events_of(record) if e.record_id == record.pk), None)
    return Saved(entry.actor_name, entry.at) if entry else Saved(record.author_name, record.updated_at)


def _links_of(record: Record) -> dict[str, list[str]]:
    """What the record points at, by name: as the audit trail keeps it."""
    return {
        field.name: sorted(str(each) for each in getattr(record, field.name).all())
        for field in record._meta.many_to_many
    }


def _link(record: Record, links: Links | None) -> None:
    for name, targets in (links or {}).items():
        getattr(record, name).set(targets)
