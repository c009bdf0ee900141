"""A page of a drawing with the marks of the welds on it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from PIL import Image, ImageDraw, ImageFont

from qualification.records.cache import Remembered
from wps.documents.attachments import bytes_of
from wps.models import Attachment, AttachmentKind, Job, MapMark
from wps.models.weld_map import PARTS
from wps.reading.apart import run_apart
from wps.reading.page_picture import picture_of_page

FONT = Path(settings.BASE_DIR) / "wps" / "static" / "fonts" / "plex-sans-regular.ttf"
INK, PAPER, CHOSEN = "#0b3d91", "#ffffff", "#b00020"
LETTERS = 46
"""A mark's letters are one part in so many of the picture's width high."""
CROP = (480, 360)

_pages: Remembered[bytes] = Remembered(12)


@dataclass(frozen=True)
class MapPage:
    """One page of a drawing that has marks."""

    drawing: Attachment
    page: int
    marks: tuple[MapMark, ...]

    @property
    def title(self) -> str:
        more = f", page {self.page} of {self.drawing.pages}" if self.drawing.pages > 1 else ""
        return f"{self.drawing.title}{more}"

    @property
    def words(self) -> str:
        return ", ".join(each.part.mark for each in self.marks)


def drawings_of(job: Job) -> list[Attachment]:
    """The drawings of a job that are offered, and those set aside that have marks."""
    found = Attachment.objects.filter(job=job, kind=AttachmentKind.DRAWING).order_by("title", "id")
    return [each for each in found if not each.set_aside_because or each.map_marks.exists()]


def map_pages(job: Job) -> tuple[MapPage, ...]:
    """Every page with marks, in order."""
    found: dict[tuple[int, int], list[MapMark]] = {}
    marks = MapMark.objects.filter(part__job=job).select_related("part", "drawing")
    for mark in marks.order_by("drawing__title", "drawing", "page", "part__mark"):
        found.setdefault((mark.drawing_id, mark.page), []).append(mark)
    return tuple(MapPage(those[0].drawing, page, tuple(those)) for (_, page), those in found.items())


def picture(drawing: Attachment, page: int, marks: Sequence[MapMark], chosen: int | None = None) -> bytes:
    """The page as PNG with the marks on it, the chosen one (by its weld) in another color. Raises Damaged and
    NotReadable."""
    sheet = Image.open(io.BytesIO(_bare(drawing, page)))
    _draw(sheet, marks, chosen)
    return _as_png(sheet)


def crop(mark: MapMark) -> bytes:
    """What lies around one mark, as PNG. Raises Damaged and NotReadable."""
    sheet = Image.open(io.BytesIO(_bare(mark.drawing, mark.page)))
    _draw(sheet, [mark], mark.part_id)
    x, y = _place(sheet, mark)
    wide, high = min(CROP[0], sheet.width), min(CROP[1], sheet.height)
    left = min(max(0, x - wide // 2), sheet.width - wide)
    top = min(max(0, y - high // 2), sheet.height - high)
    return _as_png(sheet.crop((left, top, left + wide, top + high)))


def size_of(drawing: Attachment, page: int) -> tuple[int, int]:
    """Width and height of the page's picture. Raises Damaged and NotReadable."""
    return Image.open(io.BytesIO(_bare(drawing, page))).size


def version_of(page: Sequence[MapMark]) -> str:
    """The same as long as the marks stand where they do."""
    said = repr([(each.part.mark, each.across, each.down) for each in page])
    return sha256(said.encode()).hexdigest()[:12]


def _bare(drawing: Attachment, page: int) -> bytes:
    key = (drawing.sha256, page)
    return _pages.of(key, lambda: run_apart(picture_of_page, bytes_of(drawing), page))


def _place(sheet: Image.Image, mark: MapMark) -> tuple[int, int]:
    return mark.across * sheet.width // PARTS, mark.down * sheet.height // PARTS


def _draw(sheet: Image.Image, marks: Sequence[MapMark], chosen: int | None) -> None:
    draw, size = ImageDraw.Draw(sheet), max(14, sheet.width // LETTERS)
    font = ImageFont.truetype(str(FONT), size)
    for mark in marks:
        x, y = _place(sheet, mark)
        color = CHOSEN if mark.part_id == chosen else INK
        dot, pad = max(3, size // 4), size // 4
        draw.ellipse((x - dot, y - dot, x + dot, y + dot), fill=color, outline=PAPER)
        left, top, right, bottom = draw.textbbox((0, 0), mark.part.mark, font=font)
        wide, high = right - left + 2 * pad, bottom - top + 2 * pad
        # Beside the dot, on the side where there is room.
        at = x + 2 * dot if x + 2 * dot + wide < sheet.width else x - 2 * dot - wide
        up = min(max(0, y - high // 2), sheet.height - high)
        draw.rectangle((at, up, at + wide, up + high), fill=PAPER, outline=color, width=max(1, size // 12))
        draw.text((at + pad - left, up + pad - top), mark.part.mark, fill=color, font=font)


def _as_png(sheet: Image.Image) -> bytes:
    made = io.BytesIO()
    sheet.save(made, "PNG")
    return made.getvalue()
