"""Checking the audit trail: each entry under the key, each link, and the ends that issued papers remember."""

from __future__ import annotations

import hmac
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC

from django.db import connection

from qualification.models.audit import AuditEntry
from qualification.records import audit_guard
from qualification.records.audit import GENESIS, Head
from qualification.records.audit_key import AuditKey, key_path, present_key


@dataclass(frozen=True)
class Witness:
    """A paper that names the end the trail had when it was made."""

    name: str
    head: Head


@dataclass(frozen=True)
class Break:
    """The first place at which the trail is not what it has to be."""

    number: int
    """Of the entry, from 1."""
    sentence: str


@dataclass(frozen=True)
class TrailReport:
    """What is known of the whole trail."""

    head: Head
    before_key: int
    """Entries from before there was a key: linked, and bound by the first entry under the key."""
    witnesses: int
    first_break: Break | None
    guarded: bool
    """Whether the database itself refuses changes."""

    @property
    def holds(self) -> bool:
        return self.first_break is None and self.guarded

    @property
    def sentences(self) -> tuple[str, ...]:
        """The answer, and what else has to be known."""
        if self.first_break is not None:
            answer = f"The audit trail does not hold. {self.first_break.sentence}"
        else:
            answer = (
                f"The audit trail holds: {self.head.words}; {self.witnesses} issued"
                f" paper{' agrees' if self.witnesses == 1 else 's agree'}."
            )
        more = []
        if self.before_key:
            more.append(
                f"Entries 1 to {self.before_key} are from before the key: they are linked, but were not"
                " sealed when they were written."
            )
        if not self.guarded:
            more.append(
                "The database does not refuse changes of the trail: its guard is missing. Run manage.py"
                " migrate, and find out who took it away."
            )
        return (answer, *more)


def check_trail(witnesses: Iterable[Witness] = ()) -> TrailReport:
    """Check every entry, and every end that one of the papers names."""
    named: dict[int, list[Witness]] = defaultdict(list)
    count = 0
    for witness in witnesses:
        named[witness.head.entries].append(witness)
        count += 1
    try:
        key = present_key()
        broken = None
    except ValueError as error:
        key, broken = None, Break(1, str(error))
    head, before_key = Head(0, GENESIS), 0
    broken = broken or _disagreement(named.get(0, ()), head)
    for entry in AuditEntry.objects.order_by("number").iterator():
        entry.at = entry.at.astimezone(UTC)
        if broken is None:
            broken = _fault(entry, head, key) or _disagreement(named.get(entry.number, ()), _end(entry))
        before_key += not entry.key_name
        head = _end(entry)
    if broken is None and (missing := sorted(number for number in named if number > head.entries)):
        broken = Break(
            head.entries + 1,
            f"The end is missing: the trail stops after {head.entries:,} entries, and"
            f" {named[missing[-1]][0].name} was made when it had {missing[-1]:,}.",
        )
    return TrailReport(head, before_key, count, broken, audit_guard.is_in_place(connection))


def first_break(witnesses: Iterable[Witness] = ()) -> Break | None:
    """The first break; `None` when the trail is whole."""
    return check_trail(witnesses).first_break


def _end(entry: AuditEntry) -> Head:
    return Head(entry.number, entry.hash)


def _fault(entry: AuditEntry, before: Head, key: AuditKey | None) -> Break | None:
    if entry.number != before.entries + 1:
        return Break(
            before.entries + 1,
            f"Entry {before.entries + 1:,} is missing: entry {entry.number:,} follows entry"
            f" {before.entries:,}.",
        )
    where = f"Entry {entry.number:,} ({entry})"
    if not entry.key_name and (key is not None and entry.number > key.entries_before):
        return Break(entry.number, f"{where} is not sealed, though the key is older than it.")
    if entry.key_name and key is None:
        return Break(
            entry.number, f"{where} is sealed, and the key {key_path()} is gone. Bring it from the backup."
        )
    if entry.key_name and key is not None and entry.key_name != key.name:
        return Break(entry.number, f"{where} is sealed with another key than this shop's.")
    if entry.previous_hash != before.end:
        return Break(entry.number, f"{where} does not follow the entry before it.")
    if not hmac.compare_digest(entry.hash, entry.expected_hash(key.secret if key else b"")):
        return Break(entry.number, f"{where} was changed after it was written.")
    return None


def _disagreement(witnesses: Iterable[Witness], head: Head) -> Break | None:
    other = next((each for each in witnesses if each.head.end != head.end), None)
    if other is None:
        return None
    return Break(
        head.entries,
        f"The trail was written anew: its first {head.entries:,} entries end in {head.end[:16]}, and"
        f" {other.name} was made when they ended in {other.head.end[:16]}.",
    )
