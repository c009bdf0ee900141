"""What a paper brought from outside is, found by its content: a PDF, a PNG or a JPEG that can be read to its
end and does not unpack beyond all measure."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass

import pikepdf
from PIL import Image, ImageFile, UnidentifiedImageError

from wps.pdf.unreadable import NotReadable
from wps.reading.unpacked import refuse_what_unpacks_too_far

PICTURES = {"PNG": "image/png", "JPEG": "image/jpeg"}
PAGE_BYTES = 50_000_000
"""Bytes that the drawing of one page may unpack to."""
ALL_PAGES_BYTES = 400_000_000
"""The same for all pages, a drawing that several pages share counted for each: whoever shows them draws it so
often."""


@dataclass(frozen=True)
class Limits:
    """What a paper may have."""

    pages: int
    pixels: int


@dataclass(frozen=True)
class Looked:
    """What a file turned out to be."""

    media_type: str
    pages: int


def look(content: bytes, limits: Limits, progress: object = None) -> Looked:
    """What the file is. Raises NotReadable when it cannot go into a packet, saying why and what to do."""
    if b"%PDF-" in content[:1024]:
        return _look_at_pdf(content, limits)
    return _look_at_picture(content, limits)


def _look_at_pdf(content: bytes, limits: Limits) -> Looked:
    refuse_what_unpacks_too_far(content)
    try:
        with pikepdf.open(io.BytesIO(content), attempt_recovery=False) as pdf:
            if pdf.is_encrypted:
                raise NotReadable(
                    "The PDF is encrypted. Save it without password and restrictions, then choose it again."
                )
            pages = len(pdf.pages)
            if pages <= limits.pages:
                _read_pages(pdf)
    except NotReadable:
        raise
    except pikepdf.PasswordError as error:
        raise NotReadable(
            "The PDF is encrypted. Save it without password and restrictions, then choose it again."
        ) from error
    except Exception as error:  # a broken file fails in any layer, down to the decompressor
        raise NotReadable(
            "The PDF is broken and cannot be read to its end. Print or scan the paper into a new PDF."
        ) from error
    if not pages:
        raise NotReadable("The PDF has no pages. Choose another file.")
    if pages > limits.pages:
        raise NotReadable(f"The PDF has {pages} pages. Choose one of {limits.pages} or fewer, or split it.")
    return Looked("application/pdf", pages)


def _read_pages(pdf: pikepdf.Pdf) -> None:
    sizes: dict[tuple[int, int], int] = {}
    total = 0
    for number, page in enumerate(pdf.pages, start=1):
        size = _page_bytes(page, sizes)
        total += size
        if size > PAGE_BYTES or total > ALL_PAGES_BYTES:
            raise NotReadable(
                f"The drawing of page {number} is too large to be shown: more than {PAGE_BYTES / 1e6:.0f} MB"
                f" on one page, or {ALL_PAGES_BYTES / 1e6:.0f} MB on all. Print or scan the paper into a new"
                " PDF."
            )


def _page_bytes(page: pikepdf.Page, sizes: dict[tuple[int, int], int]) -> int:
    """Bytes of the page's drawing; each stream is unpacked once, however many pages share it."""
    contents, size = page.obj.get("/Contents"), 0
    for stream in contents if isinstance(contents, pikepdf.Array) else [contents]:
        if stream is None:
            continue
        key = stream.objgen
        if key not in sizes or key == (0, 0):
            sizes[key] = len(stream.read_bytes())
        size += sizes[key]
        if size > PAGE_BYTES:
            break
    return size


def _look_at_picture(content: bytes, limits: Limits) -> Looked:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(content))
            kind, pixels = picture.format or "", picture.width * picture.height
            if kind not in PICTURES:
                raise NotReadable(f"The file is a {kind} picture. Choose a PDF, PNG or JPEG file.")
            if pixels > limits.pixels:
                raise NotReadable(
                    f"The picture has {pixels / 1e6:.0f} million pixels. Make it {limits.pixels / 1e6:.0f}"
                    " million or fewer."
                )
            ImageFile.LOAD_TRUNCATED_IMAGES = False  # others switch it on; a customer gets whole pictures
            picture.load()
    except NotReadable:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise NotReadable(
            f"The picture is too large. Make it {limits.pixels / 1e6:.0f} million pixels or fewer."
        ) from error
    except UnidentifiedImageError as error:
        raise NotReadable(
            "The file is neither a PDF nor a PNG or JPEG picture. Choose one that is."
        ) from error
    except (OSError, ValueError, SyntaxError) as error:
        raise NotReadable(
            "The picture is broken and cannot be read to its end. Take or scan it again."
        ) from error
    return Looked(PICTURES[kind], 1)
