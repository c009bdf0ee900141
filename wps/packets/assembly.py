"""Putting a packet's file together, in the background: front rendered, stored documents copied, originals
attached."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil
from typing import Any, BinaryIO

import pikepdf
from django.db import transaction

from qualification.models import Record
from qualification.records.audit import head
from wps.background.tasks import Progress
from wps.documents import vault
from wps.documents.attachments import SUFFIXES, bytes_of
from wps.documents.checking import LARGEST_FILE
from wps.documents.issue import filename_of
from wps.documents.kinds import WORDS, document_for, kind_of
from wps.models import Attachment, IssuedDocument, Packet, PacketItem, PacketState, Spec
from wps.packets.contents import Contents, contents_of
from wps.packets.front import SECTION_TITLES, language_for, render_front
from wps.packets.obstacles import obstacles_to
from wps.packets.pictures import picture_page
from wps.packets.readable import Original, Readable
from wps.packets.reading_copies import ReadingCopies
from wps.pdf.bookmarks import Bookmark
from wps.signing.sign import Box, prepare

FIELD, LABEL = "SignatureIssuer", "Signature of the issuer"
LINES_ON_COVER, LINES_A_PAGE, LETTERS_A_LINE = 24, 48, 40
"""Lines of the index that fit on the cover and on a page, and letters of a title on a line."""


class PacketChanged(Exception):
    """The packet cannot be assembled as it was asked for; the message says what changed."""

    is_for_people = True


@dataclass(frozen=True)
class Piece:
    """One item and the bytes that go with it, read when they are needed."""

    item: PacketItem
    state: str
    attachment: Attachment | None = None
    copies: ReadingCopies | None = None
    copy_pages: int = 0
    """Pages of the copy in the recipient's language that follows; 0 where there is none."""

    @property
    def pages(self) -> int:
        """Pages it takes in the packet."""
        return self.item.pages + self.copy_pages

    def content(self) -> bytes:
        return bytes_of(self.attachment) if self.attachment else vault.read(self.item.sha256)


def assemble(packet_id: int, progress: Progress) -> None:
    """Assemble a packet: the background task. Begun again after a restart it starts from nothing and ends the
    same.

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
        with vault.incoming() as incoming:
            write_packet(packet, contents, pieces, incoming.stream, progress)
            _refuse_too_large(incoming.stream.tell())
            _keep(packet, pieces, incoming)
    except Exception:
        Packet.objects.filter(pk=packet.pk, state=PacketState.ASSEMBLING).update(state=PacketState.DRAFT)
        raise


def _refuse_too_large(size: int) -> None:
    if size > LARGEST_FILE:
        raise PacketChanged(
            f"The packet has {size / 1e6:.0f} MB, more than the {LARGEST_FILE / 1e6:.0f} MB of a file that"
            " can be checked later. Leave attachments out, or make two packets."
        )


def _refuse_unanswered(packet: Packet, obstacles: list[str]) -> None:
    new = [each for each in obstacles if each not in packet.obstacles]
    if new:
        raise PacketChanged(f"Meanwhile this came up: {' '.join(new)} Look at the packet again.")


def pieces_of(packet: Packet, contents: Contents) -> list[Piece]:
    """The documents and attachments in order; documents that were not made are left out, as the cover
    says."""
    pieces: list[Piece] = []
    names: set[str] = set()
    copies = ReadingCopies(language_for(packet))
    for key, _, records in contents.sections:
        for record in records:
            document = document_for(record)
            if document is None or not document.is_stored or not _is_whole(document.sha256):
                continue
            item = PacketItem(
                packet=packet,
                position=len(pieces),
                section=key,
                document=document,
                title=f"{WORDS[kind_of(record)]}: {record.title}".rstrip(": "),
                reference=document.reference,
                sha256=document.sha256,
                pages=document.pages,
                filename=_unique(filename_of(document.number, document.revision), names),
            )
            copied = copies.make(item.position, record, document)
            pieces.append(Piece(item, _state_of(record, document), copies=copies, copy_pages=copied))
    for attachment in contents.attachments:
        about = f" ({attachment.belongs_to})" if attachment.belongs_to else ""
        item = PacketItem(
            packet=packet,
            position=len(pieces),
            section="attachment",
            attachment=attachment,
            title=f"{attachment}{about}"[:200],
            sha256=attachment.sha256,
            pages=attachment.pages,
            filename=_unique(_safe(attachment), names),
        )
        pieces.append(Piece(item, "As received", attachment))
    return pieces


def _state_of(record: Record, document: IssuedDocument) -> str:
    failed = not isinstance(record, Spec) and bool((record.snapshot or {}).get("refusals"))
    said = f"{record.get_state_display()}, {document.get_stage_display().lower()}"
    return f"{said}. Does not qualify" if failed else said


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


def write_packet(
    packet: Packet, contents: Contents, pieces: Sequence[Piece], out: BinaryIO, progress: Progress
) -> None:
    """Write the packet's file, ready for the issuer's signature. Pieces are read one at a time, so that
    memory does not grow with the packet."""
    total_steps = len(pieces) + 2
    progress(0, total_steps)
    front, total = _front(packet, contents, pieces)
    progress(1, total_steps)
    readable = Readable(out, front, f"Packet {packet.number}", total)
    section, bookmark = "", None
    for step, piece in enumerate(pieces, start=2):
        if piece.item.section != section or bookmark is None:
            section = piece.item.section
            bookmark = readable.section(SECTION_TITLES[section])
        _add(readable, piece, bookmark)
        if step % 10 == 0:
            progress(step, total_steps)
    packet.pages = readable.finish()
    progress(total_steps, total_steps)


def front_guess(contents: Contents, pieces: Sequence[Piece]) -> int:
    """Pages the front is taken to have until it has been rendered: the cover, and as many as the lines of its
    lists take."""
    lines = (
        6
        + sum(1 + len(piece.item.title) // LETTERS_A_LINE for piece in pieces)
        + sum(4 + 4 * len(entry.rows) for entry in contents.welders)
        + 3 * len(contents.welds)
    )
    return 1 + max(0, ceil((lines - LINES_ON_COVER) / LINES_A_PAGE)) + len(contents.maps)


def _front(packet: Packet, contents: Contents, pieces: Sequence[Piece]) -> tuple[bytes, int]:
    """The front with the right page numbers in its index and its signature field, and the pages of the whole
    packet. Rendered again only when its own length was guessed wrong."""
    guess, trail = front_guess(contents, pieces), head()
    while True:
        following = guess + 1
        for piece in pieces:
            piece.item.first_page = following
            following += piece.pages
        made = render_front(
            packet,
            contents,
            [p.item for p in pieces],
            [p.state for p in pieces],
            {**listed_files(packet, pieces), "audit": trail.sealed()},
            following - 1,
            trail.words,
            [p.copy_pages for p in pieces],
        )
        if made.pages == guess:
            place = made.places["signature-issuer"]
            return (
                prepare(
                    made.pdf,
                    [Box(FIELD, LABEL, place.page, (place.left, place.bottom, place.right, place.top))],
                ),
                following - 1,
            )
        guess = made.pages


def listed_files(packet: Packet, pieces: Sequence[Piece]) -> dict[str, Any]:
    """The packet's own list of its files, embedded so that a check needs nothing else."""
    assert isinstance(packet.day, date)
    return {
        "format": "coupon-to-paper-packet/1",
        "code": packet.code,
        "number": packet.number,
        "recipient": packet.recipient,
        "day": packet.day.isoformat(),
        "exceptions": packet.obstacles,
        "statement": packet.statement,
        "files": [
            {
                "filename": p.item.filename,
                "sha256": p.item.sha256,
                "section": p.item.section,
                "reference": p.item.reference,
                "title": p.item.title,
                "first_page": p.item.first_page,
                "pages": p.item.pages,
            }
            for p in pieces
        ],
    }


def _add(readable: Readable, piece: Piece, bookmark: Bookmark) -> None:
    title = f"{piece.item.reference} {piece.item.title}".strip()
    content = piece.content()
    is_picture = piece.attachment is not None and piece.attachment.is_picture
    try:
        first = readable.add(picture_page(content) if is_picture else content, title, bookmark)
    except (
        pikepdf.PdfError,
        ValueError,
        TypeError,
        KeyError,
        AttributeError,
        RuntimeError,
    ) as error:  # whatever others put into a PDF
        raise PacketChanged(
            f"The pages of {title} cannot be copied into the packet. Print or scan the paper into a new PDF,"
            " add that, and set this one aside."
        ) from error
    if first != piece.item.first_page:
        raise AssertionError(f"{title} begins on page {first}, the index says {piece.item.first_page}")
    if piece.copies is not None and piece.copy_pages:
        readable.add(piece.copies.content(piece.item.position), f"{title} ({piece.copies.name})", bookmark)
    media_type = piece.attachment.media_type if piece.attachment else "application/pdf"
    readable.attach(content, Original(piece.item.filename, media_type, str(piece.item.title), "Supplement"))


def _keep(packet: Packet, pieces: Sequence[Piece], made: vault.Incoming) -> None:
    with transaction.atomic():
        current = Packet.objects.select_for_update(no_key=True).get(pk=packet.pk)
        if current.state != PacketState.ASSEMBLING:
            return
        current.items.all().delete()
        PacketItem.objects.bulk_create([piece.item for piece in pieces])
        current.assembled_sha256, current.pages, current.state = made.keep(), packet.pages, PacketState.READY
        current.save()
