"""One page of a paper that somebody brought, as a picture. Read in a process of its own (`apart.py`)."""

from __future__ import annotations

import io

import pypdfium2
from PIL import Image

from wps.pdf.unreadable import NotReadable

WIDEST = 1600
"""Pixels across; a drawing stays readable, and a page stays below a few hundred kilobytes."""
TALLEST = 3200
MOST_PIXELS = 60_000_000


def picture_of_page(content: bytes, page: int, progress: object = None) -> bytes:
    """The page, numbered from 1, as PNG. Raises NotReadable when it cannot be drawn."""
    try:
        picture = _of_pdf(content, page) if b"%PDF-" in content[:1024] else _of_picture(content)
    except NotReadable:
        raise
    except Exception as error:  # whatever others put into a file
        raise NotReadable(
            "The page cannot be shown. Print or scan the drawing into a new PDF and add that."
        ) from error
    made = io.BytesIO()
    picture.convert("RGB").save(made, "PNG", optimize=True)
    return made.getvalue()


def _of_pdf(content: bytes, page: int) -> Image.Image:
    pdf = pypdfium2.PdfDocument(content)
    if not 1 <= page <= len(pdf):
        raise NotReadable(f"The drawing has no page {page}.")
    sheet = pdf[page - 1]
    wide, high = sheet.get_size()
    return sheet.render(scale=min(WIDEST / wide, TALLEST / high)).to_pil()


def _of_picture(content: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(content))
    if picture.width * picture.height > MOST_PIXELS:
        raise NotReadable("The picture is too large to be shown. Save it smaller and add that.")
    picture.thumbnail((WIDEST, TALLEST))
    return picture
