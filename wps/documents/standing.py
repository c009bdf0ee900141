"""How an issued document or packet stands today: what the page behind its code answers to anybody.

A paper is about something: a procedure about one revision, a procedure test about passing, a welder's test
about what the welder may do today. Nothing is said beyond what the paper itself names.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from qualification.evidence.coverage import coupon_of
from qualification.models import CouponRecord, Record, State, WelderTest
from qualification.records.unchanged import changed_since_approval
from qualification.rules.tabular.schema import TableError
from qualification.rules.welders.continuity import Validity as Holding
from qualification.welders.continuity import standings_of
from wps.documents.kinds import KINDS, WORDS
from wps.models import IssuedDocument, Packet, PacketState, Spec

UNKNOWN_CODE = "No document with this code was issued here."
STANDINGS = {
    State.APPROVED: "This revision is current.",
    State.SUPERSEDED: "This revision is superseded: a later one is in force.",
    State.WITHDRAWN: "This revision is withdrawn.",
}
SHAPES = {"current": "covered", "unknown": "unknown"}
"""Shape of the verdict for each key; every other key is a no."""


@dataclass(frozen=True)
class DocumentStatus:
    """How a document stands at this shop today."""

    name: str
    key: str
    """`current`, `superseded`, `withdrawn`, `failed` (its test did not pass), `lapsed` (the qualification
    does not hold today), `unsupported` (a test behind it is no longer in force), `altered` (the record is no
    longer what was approved) or `unknown`."""
    sentence: str
    code: str = ""
    details: tuple[str, ...] = ()

    @property
    def shape(self) -> str:
        return SHAPES.get(self.key, "not_covered")


def standing_of(document: IssuedDocument | None) -> DocumentStatus:
    """How what the document is about stands today."""
    if document is None:
        return DocumentStatus("", "unknown", UNKNOWN_CODE)
    name = f"{WORDS[document.kind]} {document.reference}"
    record = KINDS[document.kind].objects.filter(pk=document.record_id).first()
    if record is None:
        return DocumentStatus(
            name, "unknown", "The record behind this document is gone. Ask the shop.", document.code
        )
    key, sentence, details = _answer(record, document)
    return DocumentStatus(name, key, sentence, document.code, details)


def _answer(record: Record, document: IssuedDocument) -> tuple[str, str, tuple[str, ...]]:
    if changed_since_approval(record) or record.snapshot_hash != document.snapshot_hash:
        return "altered", "The record at the shop is no longer what was approved. Ask the shop.", ()
    current = STANDINGS[State(record.state)]
    if record.state != State.APPROVED:
        return str(record.state), current, _later(record)
    try:
        if isinstance(record, WelderTest):
            return _of_welder(record, current)
        if isinstance(record, CouponRecord):
            return _of_test(record, current)
    except TableError:
        return "unknown", f"{current} Its code tables are not installed here, so it cannot be judged.", ()
    assert isinstance(record, Spec)
    gone = record.tests.exclude(state=State.APPROVED).order_by("number", "revision")
    if not record.prequalified and gone:
        said = tuple(f"{each.reference} is {each.get_state_display().lower()}." for each in gone)
        return "unsupported", f"{current} A test behind it is no longer in force.", said
    return "current", current, ()


def _later(record: Any) -> tuple[str, ...]:
    later = record.revisions().filter(state=State.APPROVED, revision__gt=record.revision).first()
    return (f"In force now: revision {later.revision}.",) if later is not None else ()


def _of_test(record: CouponRecord, current: str) -> tuple[str, str, tuple[str, ...]]:
    if coupon_of(record).refusals:
        return "failed", f"{current} The test did not pass: it qualifies nothing.", ()
    return "current", f"{current} The test passed.", ()


def _of_welder(record: WelderTest, current: str) -> tuple[str, str, tuple[str, ...]]:
    if coupon_of(record).refusals:
        return _of_test(record, current)
    found = [
        each
        for each in standings_of(record.welder, timezone.localdate())
        if isinstance(each.record, WelderTest) and each.record.pk == record.pk
    ]
    details = tuple(f"{each.process}, {each.operation_words.lower()}: {each.words}." for each in found)
    states = {each.answer.state for each in found}
    if states & {Holding.LAPSED, Holding.REVOKED}:
        some = Holding.HOLDS in states
        return (
            "lapsed",
            "The qualification does not hold today in every process."
            if some
            else "The qualification does not hold today.",
            details,
        )
    if states != {Holding.HOLDS}:
        return "unknown", f"{current} Whether the qualification holds today cannot be told.", details
    return "current", f"{current} The qualification holds today.", details


def packet_standing(packet: Packet) -> DocumentStatus:
    """How a packet stands today: as good as its documents."""
    if packet.state != PacketState.ISSUED:
        return DocumentStatus(str(packet), "unknown", "This packet has not been issued.", packet.code)
    outdated = [
        f"{item.reference}: {standing.sentence}"
        for item in packet.items.filter(document__isnull=False).select_related("document")
        if (standing := standing_of(item.document)).key != "current"
    ]
    if outdated:
        return DocumentStatus(
            str(packet),
            "superseded",
            "Documents in this packet are no longer current.",
            packet.code,
            tuple(outdated),
        )
    return DocumentStatus(str(packet), "current", "All documents in this packet are current.", packet.code)
