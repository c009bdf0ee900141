"""Writing the audit trail, and naming its end; `audit_check.py` checks that it is whole."""

from __future__ import annotations

import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from qualification.models.audit import AuditEntry
from qualification.models.record import Record, spelled
from qualification.records.audit_key import key_for_appending, present_key
from qualification.roles import Person

GENESIS = "0" * 64
"""Stands for the entry before the first."""
CHAIN_LOCK = 7_248_001
"""Number of the lock of the chain among the advisory locks of a PostgreSQL database; any number of our
own."""


def name_of(person: Person) -> str:
    """The person's name as plain text: full name, else sign-in name."""
    return (person.is_authenticated and person.get_full_name()) or person.get_username()


def record_event(verb: str, record: Record, actor: Person, data: dict[str, Any] | None = None) -> AuditEntry:
    """Append one event. Call it in the transaction that makes the change, so that neither stands alone."""
    return append(verb, record.KIND, record.pk, str(record), name_of(actor), data or {})


def append(
    verb: str, kind: str, record_id: int, record_name: str, actor_name: str, data: dict[str, Any]
) -> AuditEntry:
    """Append one event about anything that has a kind, an id and a name."""
    return append_all([Event(verb, kind, record_id, record_name, data)], actor_name)[0]


@dataclass(frozen=True)
class Event:
    """What happened to one thing."""

    verb: str
    kind: str
    record_id: int
    record_name: str
    data: dict[str, Any]


def append_all(events: Sequence[Event], actor_name: str) -> list[AuditEntry]:
    """Append several events in their order, such as those of a list that was imported: one wait for the end
    of the chain, and each entry sealed together with the one before."""
    made: list[AuditEntry] = []
    with transaction.atomic():
        wait_for_the_end_of_the_chain()
        last = AuditEntry.objects.order_by("-number").first()
        key = key_for_appending(last.number if last else 0)
        # Seconds: what is hashed has to read back the same from every database.
        at = timezone.now().astimezone(UTC).replace(microsecond=0)
        for event in events:
            entry = AuditEntry(
                number=last.number + 1 if last else 1,
                at=at,
                actor_name=actor_name,
                verb=event.verb,
                record_kind=event.kind,
                record_id=event.record_id,
                record_name=event.record_name,
                data=event.data,
                previous_hash=last.hash if last else GENESIS,
                key_name=key.name,
            )
            entry.hash = entry.expected_hash(key.secret)
            made.append(entry)
            last = entry
        AuditEntry.objects.bulk_create(made, batch_size=200)
    return made


def wait_for_the_end_of_the_chain() -> None:
    """Whoever appends waits here until the transaction that appended before has ended.

    On PostgreSQL a lock on the last entry would not do: after the wait it still hands out that entry, which
    is the last one no more, and of the first entry there is nothing to lock. SQLite lets one transaction
    write at a time.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [CHAIN_LOCK])


@dataclass(frozen=True)
class Head:
    """The end of the trail at one moment: how many entries, and the hash of the last. Printed on papers and
    embedded in them, so that whoever holds a copy can tell when entries before it were changed or taken
    away."""

    entries: int
    end: str

    @property
    def words(self) -> str:
        """`1,204 entries, end 9f3a5c07 12b4e8d0`."""
        return f"{self.entries:,} entries, end {self.end[:8]} {self.end[8:16]}"

    def sealed(self) -> dict[str, Any]:
        """As plain JSON for a paper, with a seal that only this shop can make."""
        said = {"entries": self.entries, "end": self.end}
        return {**said, "seal": _seal(said, key_for_appending(self.entries).secret)}


def _seal(said: dict[str, Any], secret: bytes) -> str:
    return hmac.new(secret, spelled({"head": said}), "sha256").hexdigest()


def head() -> Head:
    """The end of the trail now."""
    last = AuditEntry.objects.order_by("-number").only("number", "hash").first()
    return Head(last.number, last.hash) if last else Head(0, GENESIS)


def head_from(stated: object) -> Head | None:
    """The end a paper names, where this shop sealed it; `None` for anything else. Raises ValueError when the
    key is damaged."""
    key = present_key()
    if key is None or not isinstance(stated, dict):
        return None
    entries, end, seal = (stated.get(name) for name in ("entries", "end", "seal"))
    if not isinstance(entries, int) or not isinstance(end, str) or not isinstance(seal, str):
        return None
    expected = _seal({"entries": entries, "end": end}, key.secret)
    return Head(entries, end) if hmac.compare_digest(expected.encode(), seal.encode()) else None


def events_of(record: Record) -> list[AuditEntry]:
    """Events of all revisions of the record's number, newest first."""
    ids = list(record.revisions().values_list("pk", flat=True))
    return list(AuditEntry.objects.filter(record_kind=record.KIND, record_id__in=ids).order_by("-id"))
