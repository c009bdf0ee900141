"""Pictures as pages of a packet."""

from __future__ import annotations

import io

import pikepdf
from pikepdf import Array, Pdf
from PIL import Image

PICTURE_INCHES = (7.5, 10.0)
"""The room a picture gets on its page."""
MARGIN_POINTS = 36


def picture_page(content: bytes) -> bytes:
    """A picture as a PDF of one page, no larger than fits a sheet of paper."""
    picture: Image.Image = Image.open(io.BytesIO(content))
    if picture.mode in ("RGBA", "LA", "P"):
        layers = picture.convert("RGBA")
        paper = Image.new("RGB", layers.size, "white")
        paper.paste(layers, mask=layers.getchannel("A"))
        picture = paper
    elif picture.mode not in ("RGB", "L"):
        picture = picture.convert("RGB")
    per_inch = max(picture.width / PICTURE_INCHES[0], picture.height / PICTURE_INCHES[1], 72.0)
    made = io.BytesIO()
    picture.save(made, "PDF", resolution=per_inch)
    with Pdf.open(io.BytesIO(made.getvalue())) as pdf:
        _give_margin(pdf.pages[0])
        out = io.BytesIO()
        pdf.save(out)
    return out.getvalue()


def _give_margin(page: pikepdf.Page) -> None:
    left, bottom, right, top = (float(side) for side in page.mediabox)
    box = Array([left - MARGIN_POINTS, bottom - MARGIN_POINTS, right + MARGIN_POINTS, top + MARGIN_POINTS])
    page.obj["/MediaBox"] = box
    for name in ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox"):
        if name in page.obj:
            del page.obj[name]
