"""Putting a packet's file together, in the background: front rendered, stored documents copied, originals attached."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pikepdf
from django.db import transaction
from pikepdf import AttachedFileSpec, Name, Pdf

from wps.attachments import SUFFIXES, bytes_of
from wps.background import Progress
from wps.documents import vault
from wps.documents.issue import filename_of
from wps.documents.kinds import WORDS, document_for, kind_of
from wps.documents.render import Place
from wps.models import Attachment, Packet, PacketItem, PacketState
from wps.packets.contents import Contents, contents_of
from wps.packets.front import SECTION_TITLES, render_front
from wps.packets.obstacles import obstacles_to
from wps.packets.page_numbers import number_pages
from wps.packets.readable import Readable
from wps.signing.sign import Box, prepare

FIELD, LABEL = "SignatureIssuer", "Signature of the issuer"
FRONT_GUESS = 2
"""Pages the front is taken to have until it has been rendered once."""


class PacketChanged(Exception):
    """The packet cannot be assembled as it was asked for; the message says what changed."""

    is_for_people = True


@dataclass(frozen=True)
class Piece:
    """One item and the bytes that go with it, read when they are needed."""

    item: PacketItem
    state: str
    attachment: Attachment | None = None

    def content(self) -> bytes:
        return bytes_of(self.attachment) if self.attachment else vault.read(self.item.sha256)


def assemble(packet_id: int, progress: Progress) -> None:
    """Assemble a packet: the background task. Begun again after a restart it starts from nothing and ends the same.

    Raises PacketChanged when something stands in the way that the issuer did not answer.
    """
    packet = Packet.objects.select_related("job").get(pk=packet_id)
    if packet.state != PacketState.ASSEMBLING:
        return
    assert packet.day is not None
    try:
        contents = contents_of(packet, packet.day)
        _refuse_unanswered(packet, obstacles_to(packet, contents))
        pieces = pieces_of(packet, contents)
        pdf = packet_pdf(packet, contents, pieces, progress)
    except Exception:
        Packet.objects.filter(pk=packet.pk).update(state=PacketState.DRAFT)
        raise
    _keep(packet, pieces, pdf)


def _refuse_unanswered(packet: Packet, obstacles: list[str]) -> None:
    new = [each for each in obstacles if each not in packet.obstacles]
    if new:
        raise PacketChanged(f"Meanwhile this came up: {' '.join(new)} Look at the packet again.")


def pieces_of(packet: Packet, contents: Contents) -> list[Piece]:
    """The documents and attachments in order; documents that were not made are left out, as the cover says."""
    pieces: list[Piece] = []
    names: set[str] = set()
    for key, _, records in contents.sections:
        for record in records:
            document = document_for(record)
            if document is None or not document.is_stored or not _is_whole(document.sha256):
                continue
            item = PacketItem(
                packet=packet, position=len(pieces), section=key, document=document, title=f"{WORDS[kind_of(record)]}: {record.title}".rstrip(": "),
                reference=document.reference, sha256=document.sha256, pages=document.pages,
                filename=_unique(filename_of(document.number, document.revision), names))
            pieces.append(Piece(item, f"{record.get_state_display()}, {document.get_stage_display().lower()}"))
    for attachment in contents.attachments:
        about = f" ({attachment.belongs_to})" if attachment.belongs_to else ""
        item = PacketItem(
            packet=packet, position=len(pieces), section="attachment", attachment=attachment, title=f"{attachment}{about}"[:200],
            sha256=attachment.sha256, pages=attachment.pages, filename=_unique(_safe(attachment), names))
        pieces.append(Piece(item, "As brought", attachment))
    return pieces


def _is_whole(sha256: str) -> bool:
    try:
        vault.read(sha256)
    except vault.Damaged:
        return False
    return True


def _safe(attachment: Attachment) -> str:
    suffix = SUFFIXES[attachment.media_type]
    stem = re.sub(r"\.[^.]{1,5}$", "", attachment.filename)
    return f"{re.sub(r'[^A-Za-z0-9._-]+', '-', stem).strip('-.') or attachment.kind}{suffix}"


def _unique(name: str, taken: set[str]) -> str:
    stem, dot, suffix = name.rpartition(".")
    number, found = 1, name
    while found.casefold() in taken:
        number += 1
        found = f"{stem}-{number}{dot}{suffix}"
    taken.add(found.casefold())
    return found


def packet_pdf(packet: Packet, contents: Contents, pieces: Sequence[Piece], progress: Progress) -> bytes:
    """The packet's file, ready for the issuer's signature."""
    total_steps = len(pieces) + 2
    progress(0, total_steps)
    front, place = _front(packet, contents, pieces)
    progress(1, total_steps)
    readable = Readable(front)
    section, bookmark = "", None
    for step, piece in enumerate(pieces, start=2):
        if piece.item.section != section or bookmark is None:
            section = piece.item.section
            bookmark = readable.section(SECTION_TITLES[section])
        _add(readable, piece, bookmark)
        if step % 10 == 0:
            progress(step, total_steps)
    pdf = readable.finish()
    number_pages(pdf, f"Packet {packet.number}")
    _attach_originals(pdf, pieces)
    out = io.BytesIO()
    pdf.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    packet.pages = len(pdf.pages)
    prepared = prepare(out.getvalue(), [Box(FIELD, LABEL, place.page, (place.left, place.bottom, place.right, place.top))], repacked=True)
    progress(total_steps, total_steps)
    return prepared


def _front(packet: Packet, contents: Contents, pieces: Sequence[Piece]) -> tuple[bytes, Place]:
    """The front with the right page numbers in its index: rendered again only when its own length was guessed wrong."""
    guess = FRONT_GUESS
    while True:
        following = guess + 1
        for piece in pieces:
            piece.item.first_page = following
            following += piece.item.pages
        made = render_front(
            packet, contents, [p.item for p in pieces], [p.state for p in pieces], listed_files(packet, pieces), following - 1)
        if made.pages == guess:
            return made.pdf, made.places["signature-issuer"]
        guess = made.pages


def listed_files(packet: Packet, pieces: Sequence[Piece]) -> dict[str, Any]:
    """The packet's own list of its files, embedded so that a check needs nothing else."""
    assert isinstance(packet.day, date)
    return {
        "format": "coupon-to-paper-packet/1", "code": packet.code, "number": packet.number, "recipient": packet.recipient,
        "day": packet.day.isoformat(), "exceptions": packet.obstacles, "statement": packet.statement,
        "files": [
            {"filename": p.item.filename, "sha256": p.item.sha256, "section": p.item.section, "reference": p.item.reference,
             "title": p.item.title, "first_page": p.item.first_page, "pages": p.item.pages}
            for p in pieces
        ],
    }


def _add(readable: Readable, piece: Piece, bookmark: pikepdf.OutlineItem) -> None:
    title = f"{piece.item.reference} {piece.item.title}".strip()
    if piece.attachment is not None and piece.attachment.is_picture:
        first = readable.add_picture(piece.content(), title, bookmark)
    else:
        first = readable.add(piece.content(), title, bookmark)
    if first != piece.item.first_page:
        raise AssertionError(f"{title} begins on page {first}, the index says {piece.item.first_page}")


def _attach_originals(pdf: Pdf, pieces: Sequence[Piece]) -> None:
    for piece in pieces:
        media_type = piece.attachment.media_type if piece.attachment else "application/pdf"
        pdf.attachments[piece.item.filename] = AttachedFileSpec(
            pdf, piece.content(), filename=piece.item.filename, mime_type=media_type, description=str(piece.item.title),
            relationship=Name.Supplement)
    listed = {str(each.get("/UF", each.get("/F", ""))): each for each in pdf.Root.get("/AF", [])}
    files = pikepdf.Array(listed.values())
    for name in (piece.item.filename for piece in pieces):
        if name not in listed:
            files.append(pdf.attachments[name].obj)
    pdf.Root["/AF"] = files


def _keep(packet: Packet, pieces: Sequence[Piece], pdf: bytes) -> None:
    with transaction.atomic():
        current = Packet.objects.select_for_update(no_key=True).get(pk=packet.pk)
        if current.state != PacketState.ASSEMBLING:
            return
        current.items.all().delete()
        PacketItem.objects.bulk_create([piece.item for piece in pieces])
        current.assembled_sha256, current.pages, current.state = vault.store(pdf), packet.pages, PacketState.READY
        current.save()
