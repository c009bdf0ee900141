"""Writing the audit trail and checking that its chain is whole."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from qualification.models.audit import AuditEntry
from qualification.models.record import Record
from qualification.roles import Person

GENESIS = "0" * 64
"""Stands for the entry before the first."""
CHAIN_LOCK = 7_248_001
"""Number of the lock of the chain among the advisory locks of a PostgreSQL database; any number of our
own."""


def name_of(person: Person) -> str:
    """The person's name as plain text: full name, else sign-in name."""
    return person.get_full_name() or person.get_username()


def record_event(verb: str, record: Record, actor: Person, data: dict[str, Any] | None = None) -> AuditEntry:
    """Append one event. Call it in the transaction that makes the change, so that neither stands alone."""
    return append(verb, record.KIND, record.pk, str(record), name_of(actor), data or {})


def append(
    verb: str, kind: str, record_id: int, record_name: str, actor_name: str, data: dict[str, Any]
) -> AuditEntry:
    """Append one event about anything that has a kind, an id and a name."""
    with transaction.atomic():
        _wait_for_the_end_of_the_chain()
        last = AuditEntry.objects.order_by("-id").first()
        entry = AuditEntry(
            # Seconds: what is hashed has to read back the same from every database.
            at=timezone.now().astimezone(UTC).replace(microsecond=0),
            actor_name=actor_name,
            verb=verb,
            record_kind=kind,
            record_id=record_id,
            record_name=record_name,
            data=data,
            previous_hash=last.hash if last else GENESIS,
        )
        entry.hash = entry.expected_hash()
        entry.save()
    return entry


def _wait_for_the_end_of_the_chain() -> None:
    """Whoever appends waits here until the transaction that appended before has ended.

    On PostgreSQL a lock on the last entry would not do: after the wait it still hands out that entry, which
    is the last one no more, and of the first entry there is nothing to lock. SQLite lets one transaction
    write at a time.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [CHAIN_LOCK])


def first_break() -> AuditEntry | None:
    """The first entry whose hash or link is not what it has to be; `None` when the chain is whole."""
    previous = GENESIS
    for entry in AuditEntry.objects.order_by("id").iterator():
        at: datetime = entry.at.astimezone(UTC)
        entry.at = at
        if entry.previous_hash != previous or entry.hash != entry.expected_hash():
            return entry
        previous = entry.hash
    return None


def events_of(record: Record) -> list[AuditEntry]:
    """Events of all revisions of the record's number, newest first."""
    ids = list(record.revisions().values_list("pk", flat=True))
    return list(AuditEntry.objects.filter(record_kind=record.KIND, record_id__in=ids).order_by("-id"))
