"""Papers brought from outside: looked at before a single byte is kept, so that a refusal leaves nothing
behind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.urls import reverse

from qualification.links import Link, Links
from qualification.models import CouponRecord
from qualification.records.audit import append, name_of
from qualification.roles import Person
from wps.documents import vault
from wps.documents.kinds import kind_of
from wps.models import Attachment
from wps.pdf.unreadable import NotReadable
from wps.reading.apart import run_apart
from wps.reading.papers import Limits, Looked, look

LARGEST = 40_000_000
"""Bytes of one attachment."""
MOST_PAGES = 500
MOST_PIXELS = 60_000_000
SUFFIXES = {"application/pdf": ".pdf", "image/png": ".png", "image/jpeg": ".jpg"}


class AttachmentRefused(Exception):
    """The file is not taken; the message says why and what to do."""


@dataclass(frozen=True)
class Kept:
    """A file that was looked at and lies in the vault."""

    media_type: str
    pages: int
    size: int
    sha256: str


def look_at(content: bytes) -> Looked:
    """What the file is, by its content. Raises AttachmentRefused when it cannot go into a packet."""
    if not content:
        raise AttachmentRefused("The file is empty. Choose a PDF, PNG or JPEG file.")
    if len(content) > LARGEST:
        raise AttachmentRefused(
            f"The file has {len(content) / 1e6:.1f} MB. Choose one of {LARGEST / 1e6:.0f} MB or less."
        )
    try:
        looked: Looked = run_apart(look, content, Limits(MOST_PAGES, MOST_PIXELS))
    except NotReadable as refused:
        raise AttachmentRefused(str(refused)) from refused
    return looked


def keep_attachment(content: bytes, filename: str, person: Person, **about: Any) -> Attachment:
    """Look at a file and keep it; `about` are the fields of `Attachment`. Raises AttachmentRefused; nothing
    is kept then."""
    looked = look_at(content)
    with transaction.atomic():
        sha256 = vault.store(content, SUFFIXES[looked.media_type])
        kept = Kept(looked.media_type, looked.pages, len(content), sha256)
        return attach_kept(kept, filename, person, **about)


def attach_kept(kept: Kept, filename: str, person: Person, **about: Any) -> Attachment:
    """The same for a file that was looked at and lies in the vault already. Raises Damaged when it is gone.
    Call it in a transaction."""
    vault.stay(kept.sha256, SUFFIXES[kept.media_type])
    made = Attachment.objects.create(
        filename=filename[-160:],
        media_type=kept.media_type,
        sha256=kept.sha256,
        size=kept.size,
        pages=kept.pages,
        added_by_name=name_of(person),
        **about,
    )
    append(
        "attach",
        "attachment",
        made.pk,
        str(made)[:120],
        name_of(person),
        {"sha256": kept.sha256, "detail": made.belongs_to},
    )
    return made


def keep_once(token: UUID, file: UploadedFile[Any], person: Person, **about: Any) -> Attachment:
    """The same for a phone, which sends again what it is not sure has arrived: what came with one token is
    kept once."""
    if (found := Attachment.objects.filter(token=token).first()) is not None:
        return found
    try:
        with transaction.atomic():
            return keep_attachment(file.read(), file.name or "", person, token=token, **about)
    except IntegrityError:  # the same arrived by another request at the same time
        return Attachment.objects.get(token=token)


def bytes_of(attachment: Attachment) -> bytes:
    """The file as it was brought. Raises Damaged when the vault no longer has it so."""
    return vault.read(attachment.sha256, SUFFIXES[attachment.media_type])


def attachments_of_record(kind: str, number: str) -> QuerySet[Attachment]:
    """Papers that belong to a record, whatever its revision; those set aside are left out."""
    return Attachment.objects.filter(record_kind=kind, record_number=number, set_aside_because="")


def attachments_of_test(record: CouponRecord) -> Links:
    """The same for a test record's own page, with the way to add one."""
    kind = kind_of(record)
    links = [
        Link(str(each), reverse("attachment_file", args=[each.pk]), _detail(each))
        for each in attachments_of_record(kind, record.number)
    ]
    found = (*links, Link("Add a document to it", add_address(kind, record.number)))
    return Links("Attachments", "", found, are_papers=True)


def add_address(kind: str, number: str) -> str:
    """Where a paper is added to a record."""
    return f"{reverse('attachment_add')}?{urlencode({'record': f'{kind}:{number}'})}"


def _detail(paper: Attachment) -> str:
    pages = f"{paper.pages} page{'' if paper.pages == 1 else 's'}"
    return f"heat {paper.heat}, {pages}" if paper.heat else pages
