"""The audit trail taken out: entries with the values of their chain, so that it can be checked without this
program (`wps/signing/README.md` says how)."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from qualification.models.audit import AuditEntry
from qualification.rules.core.program import program
from wps.reading.spreadsheet import as_csv

FORMAT = "coupon-to-paper-trail/1"
SEALED = ("number", "at", "actor", "verb", "kind", "id", "name", "data", "previous", "key")
"""What the hash of an entry is made of; one from before there was a key leaves number and key out."""
A_BATCH = 500


def entry_of(entry: AuditEntry) -> dict[str, Any]:
    """One entry as plain JSON, under the names that its hash is made with."""
    return {
        "number": entry.number,
        "at": entry.at.isoformat(),
        "actor": entry.actor_name,
        "verb": entry.verb,
        "kind": entry.record_kind,
        "id": entry.record_id,
        "name": entry.record_name,
        "data": entry.data,
        "previous": entry.previous_hash,
        "key": entry.key_name,
        "hash": entry.hash,
    }


def as_json(entries: Iterable[AuditEntry]) -> Iterator[str]:
    """The entries as one JSON document, piece by piece."""
    yield f'{{"format": "{FORMAT}", "program": "{program()}", "entries": ['
    for place, entry in enumerate(entries):
        yield f"{',' if place else ''}\n{json.dumps(entry_of(entry), ensure_ascii=False)}"
    yield "\n]}\n"


def as_table(entries: Iterable[AuditEntry]) -> bytes:
    """The same as CSV, to be read in a spreadsheet."""
    rows = (entry_of(entry) for entry in entries)
    heads = [*SEALED, "hash"]
    return as_csv(
        heads,
        ([json.dumps(row[k], ensure_ascii=False) if k == "data" else row[k] for k in heads] for row in rows),
    )
