"""Checking a PDF somebody brings: each question answered for itself, none standing in for another; and what
follows from all of them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from qualification.models.record import content_hash
from wps.background.tasks import Progress
from wps.documents.kept import EARLIER, OTHER, UNKNOWN, KnownFile, kept_document, kept_packet
from wps.documents.rederive import Rederived, rederive
from wps.documents.standing import UNKNOWN_CODE, DocumentStatus, packet_standing, standing_of
from wps.models import IssuedDocument, Packet, PacketState, SignatureTaken
from wps.pdf.unreadable import NotReadable
from wps.reading.apart import run_apart, unwatched
from wps.reading.bounded_json import read_json
from wps.reading.pdf import PACKET_FILE as PACKET_FILE
from wps.reading.pdf import Anchors, Inner, Reading, read_pdf
from wps.signing.reasons import COUNTS, REASONS, Reason, worst
from wps.signing.trust import Issued, TrustedVerification, judged_here, trust_anchors

LARGEST_FILE = 200_000_000
"""Bytes a file to check may have."""
CODE = re.compile(r"[0-9A-Z]{1,12}")


@dataclass(frozen=True)
class FileReport:
    """Everything that can be said about one file."""

    name: str
    sha256: str
    signatures: TrustedVerification
    standing: DocumentStatus
    content: str
    """Whether the embedded content is what was approved here."""
    content_holds: bool | None
    rederived: Rederived | None
    kept: KnownFile
    """Whether the bytes are those this shop keeps, or of which stage."""
    inner: tuple[FileReport, ...] = field(default=())
    """Files taken out of a packet."""
    notes: tuple[str, ...] = ()
    """What is wrong with the files of a packet."""
    is_packet: bool = False

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Everything that keeps the file from being relied on as this shop's, by name; its standing and its
        findings apart."""
        found = self.signatures.verification
        keys = [_KEPT[self.kept.key]] if self.kept.key in _KEPT else []
        keys += ["unsigned"] if not found.signatures else []
        reasons = [REASONS[key] for key in keys]
        reasons += [each.reason for each in self.signatures.judged if each.reason is not COUNTS]
        keys = ["added"] if found.added_since else []
        keys += ["incomplete"] if found.missing_fields else []
        keys += ["listing"] if self.notes else []
        keys += ["inner"] if any(not each.holds for each in self.inner) else []
        return tuple(dict.fromkeys([*reasons, *(REASONS[key] for key in keys)]))

    @property
    def verdict(self) -> Reason:
        """The verdict on the file's signatures as a whole, by the gravest reason."""
        return worst(list(self.reasons))

    @property
    def holds(self) -> bool:
        """As issued here, signed by those who have to, in force, and saying what was approved: all of it, and
        all files in it."""
        return (
            not self.reasons
            and self.standing.key == "current"
            and self.content_holds is not False
            and (self.rederived is None or self.rederived.matches is not False)
        )


_KEPT = {OTHER: "not_ours", EARLIER: "earlier_stage", UNKNOWN: "not_issued_here"}


def check_file(
    pdf: bytes, name: str, more_authorities: Sequence[bytes] = (), progress: Progress = unwatched
) -> FileReport:
    """Check one PDF; `progress` is told how many of its files are checked. Raises NotReadable when it is
    none, is encrypted or goes beyond a limit."""
    if len(pdf) > LARGEST_FILE:
        raise NotReadable(
            f"The file has {len(pdf) / 1e6:.0f} MB; files up to {LARGEST_FILE / 1e6:.0f} MB are checked."
        )
    progress(0, 1)
    reading: Reading = run_apart(read_pdf, pdf, Anchors(*trust_anchors(more_authorities)), progress=progress)
    return _packet_report(reading, name) if reading.packet is not None else _document_report(reading, name)


def _record_in(reading: Reading) -> dict[str, Any] | None:
    """The embedded record, where it has the shape of one."""
    found = read_json(reading.record) if reading.record is not None else None
    return found if isinstance(found, dict) and isinstance(found.get("content"), dict) else None


def _document_report(
    reading: Reading, name: str, beside: Mapping[str, Mapping[str, Any]] | None = None
) -> FileReport:
    embedded = _record_in(reading)
    if embedded is None:
        return _without_record(reading, name)
    document = IssuedDocument.objects.filter(code=_code(embedded.get("code"))).first() or _by_beginning(
        reading
    )
    holds, sentence = _content(embedded, document)
    return FileReport(
        name,
        reading.sha256,
        judged_here(reading.verification, document),
        standing_of(document),
        sentence,
        holds,
        rederive(embedded, beside),
        kept_document(reading.sha256, document),
    )


def _without_record(reading: Reading, name: str) -> FileReport:
    document = _by_beginning(reading)
    unknown = DocumentStatus(
        name,
        "unknown",
        "Whether it was issued here cannot be determined: no record of this program is embedded.",
    )
    return FileReport(
        name,
        reading.sha256,
        judged_here(reading.verification, document),
        standing_of(document) if document is not None else unknown,
        reading.record_problem or "No record is embedded.",
        False if reading.record_problem else None,
        None,
        kept_document(reading.sha256, document),
    )


def _by_beginning(reading: Reading) -> IssuedDocument | None:
    """The document whose signed bytes the file begins with, whatever was done to its record since."""
    beginnings = [each.revision_sha256 for each in reading.verification.signatures if each.revision_sha256]
    taken = SignatureTaken.objects.filter(sha256__in=beginnings, document__isnull=False).first()
    return taken.document if taken is not None else None


def _code(found: object) -> str:
    """A code as text that can be looked up; empty for anything else."""
    return found if isinstance(found, str) and CODE.fullmatch(found) else ""


def _content(embedded: Mapping[str, Any], document: IssuedDocument | None) -> tuple[bool, str]:
    actual = content_hash(dict(embedded["content"]))
    if actual != embedded.get("content_hash"):
        return False, "The embedded record was changed: it does not have the hash that stands beside it."
    if document is None:
        return False, "The embedded record is whole in itself; whether it was approved cannot be told here."
    if actual != document.snapshot_hash:
        return False, "The embedded record is not the one that was approved here under this code."
    return True, "The embedded record is the one that was approved here."


def _packet_report(reading: Reading, name: str) -> FileReport:
    listed = reading.packet or {}
    packet = Packet.objects.filter(code=_code(listed.get("code"))).first()
    issued: Issued | None = packet
    notes = [] if listed else ["The packet's list of files cannot be read."]
    notes += [*_against_list(listed, reading.files), *_against_issue(packet, reading.files)]
    readings = {filename: each.reading for filename, each in reading.files.items() if each.reading}
    records = [record for each in readings.values() if (record := _record_in(each)) is not None]
    beside = {content_hash(record["content"]): record["content"] for record in records}
    inner = [_document_report(each, filename, beside) for filename, each in readings.items()]
    return FileReport(
        name,
        reading.sha256,
        judged_here(reading.verification, issued),
        packet_standing(packet) if packet else DocumentStatus("", "unknown", UNKNOWN_CODE),
        "The packet's list of files is embedded.",
        None,
        None,
        kept_packet(reading.sha256, packet),
        tuple(inner),
        tuple(dict.fromkeys(notes)),
        is_packet=True,
    )


def _against_list(listed: Mapping[str, Any], files: Mapping[str, Inner]) -> list[str]:
    """Where the packet does not hold what it lists itself."""
    wanted = {each["filename"]: each for each in listed.get("files", ())}
    notes = [f"Packet file {filename} is missing." for filename in wanted if filename not in files]
    for filename, found in files.items():
        if filename not in wanted:
            notes.append(f"Packet holds {filename}, which it does not list.")
        elif found.sha256 != wanted[filename]["sha256"]:
            notes.append(
                f"Packet file {filename} is not the one the packet lists: it was replaced or changed."
            )
        if found.refusal:
            notes.append(f"Packet file {filename} was not checked. {found.refusal}")
    return notes


def _against_issue(packet: Packet | None, files: Mapping[str, Inner]) -> list[str]:
    """Where it does not hold what this shop issued it with, whatever its own list says."""
    if packet is None or packet.state != PacketState.ISSUED:
        return []
    issued = dict(packet.items.values_list("filename", "sha256"))
    return [
        f"Packet file {filename} is not the one this shop issued in {packet}."
        for filename in sorted({*issued, *files})
        if filename not in files or issued.get(filename) != files[filename].sha256
    ]
