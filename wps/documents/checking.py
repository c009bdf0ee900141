"""Checking a PDF somebody brings: each question answered for itself, none standing in for another."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from qualification.models import State
from qualification.models.record import content_hash
from wps.background import Progress
from wps.documents import vault
from wps.documents.attached import attachments_of
from wps.documents.kinds import WORDS, record_of
from wps.documents.rederive import Rederived, rederive
from wps.documents.render import RECORD_FILE
from wps.models import IssuedDocument, Packet, PacketState, SignatureTaken
from wps.signing.trust import TrustedVerification, verify_here
from wps.signing.verify import NotReadable

PACKET_FILE = "packet.json"
LARGEST_FILE = 200_000_000
"""Bytes a file to check may have."""
UNKNOWN_CODE = "No document with this code was issued here."
STANDINGS = {
    State.APPROVED: "This revision is current.",
    State.SUPERSEDED: "This revision is superseded: a later one is in force.",
    State.WITHDRAWN: "This revision is withdrawn.",
}


@dataclass(frozen=True)
class Standing:
    """How a document stands at this shop today."""

    name: str
    key: str
    """`current`, `superseded`, `withdrawn` or `unknown`."""
    sentence: str
    code: str = ""
    details: tuple[str, ...] = ()


@dataclass(frozen=True)
class FileReport:
    """Everything that can be said about one file."""

    name: str
    sha256: str
    signatures: TrustedVerification
    standing: Standing
    content: str
    """Whether the embedded content is what was approved here."""
    content_holds: bool | None
    rederived: Rederived | None
    same_bytes: str
    """Whether the bytes are those this shop keeps."""
    inner: tuple[FileReport, ...] = field(default=())
    """Files taken out of a packet."""
    notes: tuple[str, ...] = ()

    @property
    def is_packet(self) -> bool:
        return bool(self.inner) or any(note.startswith("Packet") for note in self.notes)

    @property
    def holds(self) -> bool:
        """Intact, trusted, current, and saying what was approved: all of it, and all files in it."""
        found = self.signatures.verification
        whole = (
            found.intact
            and not found.missing_fields
            and self.signatures.trusted
            and self.standing.key == "current"
        )
        return (
            whole
            and self.content_holds is not False
            and (self.rederived is None or self.rederived.matches is not False)
            and not self.notes
            and all(each.holds for each in self.inner)
        )


def unwatched(done: int, total: int) -> None:
    """Progress nobody asks for."""


def check_file(
    pdf: bytes, name: str, more_authorities: Sequence[bytes] = (), progress: Progress = unwatched
) -> FileReport:
    """Check one PDF; `progress` is told how many of its files are checked. Raises NotReadable when it is
    none, is encrypted or too large."""
    if len(pdf) > LARGEST_FILE:
        raise NotReadable(
            f"The file has {len(pdf) / 1e6:.0f} MB; files up to {LARGEST_FILE / 1e6:.0f} MB are checked."
        )
    progress(0, 1)
    signatures = verify_here(pdf, more_authorities)
    try:
        with attachments_of(pdf) as attached:
            if PACKET_FILE in attached:
                return _packet_report(pdf, name, signatures, attached, more_authorities, progress)
            return _document_report(pdf, name, signatures, _json(attached.get(RECORD_FILE)))
    except NotReadable:  # the signatures could be read; that the rest cannot is what they then say
        return _document_report(pdf, name, signatures, None)


def _json(content: bytes | None) -> dict[str, Any] | None:
    try:
        found = json.loads(content) if content is not None else None
    except (json.JSONDecodeError, UnicodeDecodeError):
        return None
    return found if isinstance(found, dict) else None


def _document_report(
    pdf: bytes, name: str, signatures: TrustedVerification, embedded: Mapping[str, Any] | None
) -> FileReport:
    sha256 = vault.digest(pdf)
    if embedded is None or not isinstance(embedded.get("content"), dict):
        return FileReport(
            name,
            sha256,
            signatures,
            Standing(
                name,
                "unknown",
                "Whether it was issued here cannot be told: no record of this program is embedded.",
            ),
            "No record is embedded.",
            None,
            None,
            _same_bytes(sha256, None),
        )
    document = IssuedDocument.objects.filter(code=str(embedded.get("code", ""))).first()
    holds, sentence = _content(embedded, document)
    return FileReport(
        name,
        sha256,
        signatures,
        standing_of(document),
        sentence,
        holds,
        rederive(embedded),
        _same_bytes(sha256, document),
    )


def standing_of(document: IssuedDocument | None) -> Standing:
    """How the document's revision stands today."""
    if document is None:
        return Standing("", "unknown", UNKNOWN_CODE)
    record = record_of(document)
    name = f"{WORDS[document.kind]} {document.reference}"
    key = "current" if record.state == State.APPROVED else str(record.state)
    return Standing(name, key, STANDINGS[State(record.state)], document.code, _later(document, record))


def _later(document: IssuedDocument, record: Any) -> tuple[str, ...]:
    later = record.revisions().filter(state=State.APPROVED, revision__gt=record.revision).first()
    return (f"In force now: revision {later.revision}.",) if later is not None else ()


def _content(embedded: Mapping[str, Any], document: IssuedDocument | None) -> tuple[bool, str]:
    actual = content_hash(dict(embedded["content"]))
    if actual != embedded.get("content_hash"):
        return False, "The embedded record was changed: it does not have the hash that stands beside it."
    if document is None:
        return False, "The embedded record is whole in itself; whether it was approved cannot be told here."
    if actual != document.snapshot_hash:
        return False, "The embedded record is not the one that was approved here under this code."
    return True, "The embedded record is the one that was approved here."


def _same_bytes(sha256: str, document: IssuedDocument | None) -> str:
    if document is not None and document.sha256 == sha256:
        return "The file is, byte for byte, the one this shop keeps."
    known = (
        SignatureTaken.objects.filter(sha256=sha256).exists()
        or IssuedDocument.objects.filter(rendered_sha256=sha256).exists()
    )
    if known:
        return "The file is an earlier copy this shop kept, with fewer signatures than it has now."
    return "The file is not, byte for byte, one this shop keeps."


def packet_standing(packet: Packet) -> Standing:
    """How a packet stands today: as good as its documents."""
    if packet.state != PacketState.ISSUED:
        return Standing(str(packet), "unknown", "This packet has not been issued.", packet.code)
    outdated = [
        f"{item.reference}: {standing.sentence}"
        for item in packet.items.filter(document__isnull=False).select_related("document")
        if (standing := standing_of(item.document)).key != "current"
    ]
    if outdated:
        return Standing(
            str(packet),
            "superseded",
            "Documents in this packet are no longer current.",
            packet.code,
            tuple(outdated),
        )
    return Standing(str(packet), "current", "All documents in this packet are current.", packet.code)


def _packet_report(
    pdf: bytes,
    name: str,
    signatures: TrustedVerification,
    attached: Mapping[str, bytes],
    more: Sequence[bytes],
    progress: Progress,
) -> FileReport:
    sha256 = vault.digest(pdf)
    listed = _json(attached[PACKET_FILE]) or {}
    packet = Packet.objects.filter(code=str(listed.get("code", ""))).first()
    standing = packet_standing(packet) if packet else Standing("", "unknown", UNKNOWN_CODE)
    same = (
        "The file is, byte for byte, the one this shop keeps."
        if packet and packet.sha256 == sha256
        else "The file is not, byte for byte, one this shop keeps."
    )
    inner, notes = _inner_reports(listed, attached, more, progress)
    return FileReport(
        name,
        sha256,
        signatures,
        standing,
        "The packet's list of files is embedded.",
        None,
        None,
        same,
        inner,
        notes,
    )


def _inner_reports(
    listed: Mapping[str, Any],
    attached: Mapping[str, bytes],
    more: Sequence[bytes],
    progress: Progress,
) -> tuple[tuple[FileReport, ...], tuple[str, ...]]:
    wanted = {
        str(each["filename"]): each
        for each in listed.get("files", [])
        if isinstance(each, dict) and "filename" in each
    }
    notes, inner = [], []
    for done, (filename, each) in enumerate(wanted.items()):
        progress(done, len(wanted))
        if filename not in attached:
            notes.append(f"Packet file {filename} is missing.")
            continue
        try:
            content = attached[filename]
        except NotReadable:
            content = b""
        if vault.digest(content) != each.get("sha256"):
            notes.append(
                f"Packet file {filename} is not the one the packet lists: it was replaced or changed."
            )
        if each.get("section") != "attachment":
            inner.append(_inner(content, filename, more))
    notes += [
        f"Packet holds {filename}, which it does not list."
        for filename in attached
        if filename not in wanted and filename != PACKET_FILE
    ]
    return tuple(each for each in inner if each is not None), tuple(notes)


def _inner(content: bytes, filename: str, more: Sequence[bytes]) -> FileReport | None:
    try:
        return check_file(content, filename, more)
    except NotReadable:
        return None
