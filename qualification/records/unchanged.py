"""Whether an approved record is still what was approved: its fields, the frozen content, and what the audit
trail remembers of the approval."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from django.db.models import TextField
from django.db.models.functions import Cast

from qualification.models.audit import AuditEntry
from qualification.models.record import Record, State, content_hash
from qualification.records.cache import Remembered

AFTER_APPROVAL = (State.APPROVED, State.SUPERSEDED, State.WITHDRAWN)
_KEPT = "_changed_since_approval"
NOT_HELD_AGAINST = frozenset({"welder"})
"""Content that is compared otherwise: see `_is_of_another_welder`."""
BESIDE_CONTENT = ("welder_name", "welder_stamp", "prequalified")


@dataclass(frozen=True)
class _Frozen:
    """What an approval froze, as far as the record is held against it."""

    digest: str
    content: Mapping[str, Any]
    tests: frozenset[str]
    """Supporting tests, by reference; empty where the record has none."""


_frozen: Remembered[_Frozen] = Remembered(12000)
"""By the kind of record and the digest of the stored text, so that nothing written over is taken for read."""


def changed_since_approval(record: Record) -> str:
    """A sentence that says what was changed past the program; empty while nothing was, and for a record that
    was never approved. Worked out once for each record as it was read."""
    if record.pk is None or record.state not in AFTER_APPROVAL:
        return ""
    if _KEPT not in record.__dict__:
        frozen = None if record.snapshot is None else _read(record, record.snapshot)
        record.__dict__[_KEPT] = _changed(record, frozen, _approved_by_the_trail([record]).get(record.pk))
    return record.__dict__[_KEPT]


def hold_against_approvals(records: Iterable[Record]) -> None:
    """Work out `changed_since_approval` for many records at once: two queries for each kind. The frozen
    content is read from the database as it stands now, so the records may leave it out."""
    of_kind: dict[type[Record], list[Record]] = {}
    for record in records:
        if record.pk is not None and record.state in AFTER_APPROVAL and _KEPT not in record.__dict__:
            of_kind.setdefault(type(record), []).append(record)
    for kind, asked in of_kind.items():
        trail, texts = _approved_by_the_trail(asked), _texts(kind, asked)
        for record in asked:
            text = texts.get(record.pk)
            record.__dict__[_KEPT] = _changed(record, _read_text(record, text), trail.get(record.pk))


def _texts(kind: type[Record], asked: Sequence[Record]) -> dict[int, str | None]:
    """The frozen content of each as it is stored, not parsed: of most it was read before."""
    rows = kind._default_manager.filter(pk__in=[each.pk for each in asked])
    return dict(rows.annotate(text=Cast("snapshot", TextField())).values_list("pk", "text"))


def _read_text(record: Record, text: str | None) -> _Frozen | None:
    if text is None or text == "null":
        return None
    key = (record.KIND, sha256(text.encode()).digest())
    return _frozen.of(key, lambda: _read(record, json.loads(text)))


def _read(record: Record, snapshot: Any) -> _Frozen:
    digest = content_hash(snapshot)
    if not isinstance(snapshot, dict):
        return _Frozen(digest, {}, frozenset())
    names = [name for name in record.CONTENT if name not in NOT_HELD_AGAINST]
    content = {name: snapshot[name] for name in (*names, *BESIDE_CONTENT) if name in snapshot}
    tests = snapshot.get("tests", ()) if hasattr(record, "tests") else ()
    return _Frozen(digest, content, frozenset(each["reference"] for each in tests))


def _approved_by_the_trail(records: Sequence[Record]) -> dict[int, tuple[Any]]:
    """The digest that the last approval of each in the audit trail names; no entry for one it knows no
    approval of. All are of one kind."""
    ids, approvals = [each.pk for each in records], AuditEntry.objects.filter(verb="approve")
    found = approvals.filter(record_kind=records[0].KIND, record_id__in=ids).order_by("number")
    return {pk: (digest,) for pk, digest in found.values_list("record_id", "data__snapshot")}


def _changed(record: Record, frozen: _Frozen | None, in_trail: Any) -> str:
    if record.state == State.WITHDRAWN and frozen is None and not record.snapshot_hash:
        return ""  # a draft that was set aside
    if frozen is None:
        return _said(record, "what was approved is gone")
    if frozen.digest != record.snapshot_hash:
        return _said(record, "what was approved was written over")
    if in_trail is None:
        return _said(record, "the audit trail knows of no approval")
    if in_trail[0] != record.snapshot_hash:
        return _said(record, "the audit trail names other content as approved")
    fields = [
        name
        for name, value in record.content().items()
        if name not in NOT_HELD_AGAINST and name in frozen.content and frozen.content[name] != value
    ]
    if _is_of_another_welder(record, frozen.content):
        fields.append("welder")
    if _rests_on_other_tests(record, frozen):
        fields.append("supporting tests")
    return _said(record, f"changed since: {', '.join(fields)}") if fields else ""


def _is_of_another_welder(record: Record, snapshot: Mapping[str, Any]) -> bool:
    """A welder may take another name or another stamp; one with both others is somebody else."""
    welder = getattr(record, "welder", None)
    if "welder_name" not in snapshot:
        return False
    if welder is None:
        return bool(snapshot["welder_name"])
    return welder.name != snapshot["welder_name"] and welder.stamp != snapshot["welder_stamp"]


def _rests_on_other_tests(record: Record, frozen: _Frozen) -> bool:
    tests = getattr(record, "tests", None)
    if tests is None or frozen.content.get("prequalified"):
        return False
    return {each.reference for each in tests.all()} != frozen.tests


def _said(record: Record, what: str) -> str:
    return (
        f"{record} is not what was approved: {what}. Somebody changed it in the database, past the program."
        " It counts for nothing until it is brought back from a backup."
    )
