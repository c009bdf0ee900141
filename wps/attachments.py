"""Papers brought from outside: looked at before a single byte is kept, so that a refusal leaves nothing
behind."""

from __future__ import annotations

import io
import threading
import warnings
from dataclasses import dataclass
from typing import Any

import pikepdf
from PIL import Image, ImageFile, UnidentifiedImageError

from qualification.audit import append, name_of
from qualification.roles import Person
from wps.documents import vault
from wps.models import Attachment

LARGEST = 40_000_000
"""Bytes of one attachment."""
MOST_PAGES = 500
MOST_PIXELS = 60_000_000
SUFFIXES = {"application/pdf": ".pdf", "image/png": ".png", "image/jpeg": ".jpg"}
PICTURES = {"PNG": "image/png", "JPEG": "image/jpeg"}


class AttachmentRefused(Exception):
    """The file is not taken; the message says why and what to do."""


@dataclass(frozen=True)
class Looked:
    """What a file turned out to be."""

    media_type: str
    pages: int


def look_at(content: bytes) -> Looked:
    """What the file is, by its content. Raises AttachmentRefused when it cannot go into a packet."""
    if not content:
        raise AttachmentRefused("The file is empty. Choose a PDF, PNG or JPEG file.")
    if len(content) > LARGEST:
        raise AttachmentRefused(
            f"The file has {len(content) / 1e6:.1f} MB. Choose one of {LARGEST / 1e6:.0f} MB or less."
        )
    if b"%PDF-" in content[:1024]:
        return _look_at_pdf(content)
    return _look_at_picture(content)


def _look_at_pdf(content: bytes) -> Looked:
    try:
        with pikepdf.open(io.BytesIO(content), attempt_recovery=False) as pdf:
            if pdf.is_encrypted:
                raise AttachmentRefused(
                    "The PDF is encrypted. Save it without password and restrictions, then choose it again."
                )
            pages = len(pdf.pages)
            for page in pdf.pages:
                _read_streams(page)
    except AttachmentRefused:
        raise
    except pikepdf.PasswordError as error:
        raise AttachmentRefused(
            "The PDF is encrypted. Save it without password and restrictions, then choose it again."
        ) from error
    except Exception as error:  # a broken file fails in any layer, down to the decompressor
        raise AttachmentRefused(
            "The PDF is broken and cannot be read to its end. Print or scan the paper into a new PDF."
        ) from error
    if not pages:
        raise AttachmentRefused("The PDF has no pages. Choose another file.")
    if pages > MOST_PAGES:
        raise AttachmentRefused(
            f"The PDF has {pages} pages. Choose one of {MOST_PAGES} or fewer, or split it."
        )
    return Looked("application/pdf", pages)


def _read_streams(page: pikepdf.Page) -> None:
    contents = page.obj.get("/Contents")
    for stream in contents if isinstance(contents, pikepdf.Array) else [contents]:
        if stream is not None:
            stream.read_bytes()


def _look_at_picture(content: bytes) -> Looked:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(content))
            kind, pixels = picture.format or "", picture.width * picture.height
            if kind not in PICTURES:
                raise AttachmentRefused(f"The file is a {kind} picture. Choose a PDF, PNG or JPEG file.")
            if pixels > MOST_PIXELS:
                raise AttachmentRefused(
                    f"The picture has {pixels / 1e6:.0f} million pixels. Make it {MOST_PIXELS / 1e6:.0f}"
                    " million or fewer."
                )
            _load_whole(picture)
    except AttachmentRefused:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise AttachmentRefused(
            f"The picture is too large. Make it {MOST_PIXELS / 1e6:.0f} million pixels or fewer."
        ) from error
    except UnidentifiedImageError as error:
        raise AttachmentRefused(
            "The file is neither a PDF nor a PNG or JPEG picture. Choose one that is."
        ) from error
    except (OSError, ValueError, SyntaxError) as error:
        raise AttachmentRefused(
            "The picture is broken and cannot be read to its end. Take or scan it again."
        ) from error
    return Looked(PICTURES[kind], 1)


_LOADING = threading.Lock()


def _load_whole(picture: Image.Image) -> None:
    """Read the picture to its end. WeasyPrint, once imported, makes Pillow take half a picture for a whole
    one, for the whole process; what a customer gets has to be whole."""
    with _LOADING:
        before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
        try:
            picture.load()
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


def keep_attachment(content: bytes, filename: str, person: Person, **about: Any) -> Attachment:
    """Look at a file and keep it; `about` are the fields of `Attachment`. Raises AttachmentRefused; nothing
    is kept then."""
    looked = look_at(content)
    sha256 = vault.store(content, SUFFIXES[looked.media_type])
    made = Attachment.objects.create(
        filename=filename[-160:],
        media_type=looked.media_type,
        sha256=sha256,
        size=len(content),
        pages=looked.pages,
        added_by_name=name_of(person),
        **about,
    )
    append(
        "attach",
        "attachment",
        made.pk,
        str(made)[:120],
        name_of(person),
        {"sha256": sha256, "detail": made.belongs_to},
    )
    return made


def bytes_of(attachment: Attachment) -> bytes:
    """The file as it was brought. Raises Damaged when the vault no longer has it so."""
    return vault.read(attachment.sha256, SUFFIXES[attachment.media_type])
