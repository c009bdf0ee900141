"""Page numbers of a packet, written over stored pages with an embedded font, as a note that is not part of
the reading order."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pikepdf
from django.conf import settings
from pikepdf import Array, Dictionary, Name, Pdf

from wps.pdf.pdf_file import PdfFile, ref

FONT = Path(settings.BASE_DIR) / "wps" / "static" / "fonts" / "plex-sans-regular.ttf"
FONT_NAME = "CTPSNA+PlexSans"
FIRST, LAST = 32, 126
"""Printable ASCII: all a page number needs."""
SIZE = 7.0
RIGHT, UP = 42.5, 13.0
"""From the right and lower edge of the page, in points: below the footer of the program's own documents."""
SLOT = "/PacketNumber"


class PageNumbers:
    """Writes `label  page 3 of 210` at the foot of pages. Characters outside ASCII are left out of the
    label."""

    def __init__(self, label: str, total: int) -> None:
        self._label, self._total = label.encode("ascii", "ignore").decode(), total
        self.font = NumberFont()

    def write_on(self, pdf: Pdf, first: int, font: Any) -> None:
        """Number all pages of this PDF from `first`; `font` is an object of it that stands for the font."""
        for number, page in enumerate(pdf.pages, start=first):
            words = f"{self._label}  page {number} of {self._total}"
            width = sum(self.font.widths[ord(letter) - FIRST] for letter in words) * SIZE / 1000
            _write(pdf, page, font, words, width)


def _write(pdf: Pdf, page: pikepdf.Page, font: Any, words: str, width: float) -> None:
    page.add_resource(font, Name.Font, Name(SLOT))
    escaped = words.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
    matrix = " ".join(f"{part:.2f}" for part in _matrix(page, width))
    page.contents_add(pdf.make_stream(b"q\n"), prepend=True)
    text = (
        f"\nQ\n/Artifact <</Type /Pagination>> BDC q 0 g BT {SLOT} {SIZE} Tf {matrix} Tm ({escaped}) Tj ET Q"
        " EMC\n"
    )
    page.contents_add(pdf.make_stream(text.encode("ascii")))


def _matrix(page: pikepdf.Page, width: float) -> tuple[float, ...]:
    """Where the text begins and which way it runs, however the page is turned."""
    left, bottom, right, top = (float(side) for side in page.cropbox)
    turned = int(_inherited(page, "/Rotate", 0)) % 360
    wide, high = right - left, top - bottom
    shown_wide = high if turned in (90, 270) else wide
    across, up = shown_wide - RIGHT - width, UP
    return {
        0: (1, 0, 0, 1, left + across, bottom + up),
        90: (0, 1, -1, 0, right - up, bottom + across),
        180: (-1, 0, 0, -1, right - across, top - up),
        270: (0, -1, 1, 0, left + up, top - across),
    }.get(turned, (1, 0, 0, 1, left + across, bottom + up))


def _inherited(page: pikepdf.Page, name: str, default: int) -> Any:
    node: pikepdf.Object | None = page.obj
    while node is not None:
        if name in node:
            return node[name]
        node = node.get("/Parent")
    return default


class NumberFont:
    """The bundled font, cut down to ASCII: its widths in thousandths and its program."""

    def __init__(self) -> None:
        self._full, self.program = _cut_down()
        self._scale = 1000 / self._full["head"].unitsPerEm
        letters, advances = self._full.getBestCmap(), self._full["hmtx"]
        self.widths = [
            round(advances[letters[code]][0] * self._scale) if code in letters else 0
            for code in range(FIRST, LAST + 1)
        ]

    def write_to(self, target: PdfFile) -> int:
        """Write the font into a file; its number there."""
        head, lines = self._full["head"], self._full["hhea"]
        program = target.add_deflated(b"/Length1 %d" % len(self.program), self.program)
        box = Array([round(side * self._scale) for side in (head.xMin, head.yMin, head.xMax, head.yMax)])
        descriptor = Dictionary(
            Type=Name.FontDescriptor,
            FontName=Name(f"/{FONT_NAME}"),
            Flags=32,
            ItalicAngle=0,
            StemV=80,
            FontBBox=box,
            Ascent=round(lines.ascent * self._scale),
            Descent=round(lines.descent * self._scale),
            CapHeight=700,
        )
        described = target.add(_with(descriptor, b"/FontFile2", program))
        font = Dictionary(
            Type=Name.Font,
            Subtype=Name.TrueType,
            BaseFont=Name(f"/{FONT_NAME}"),
            Encoding=Name.WinAnsiEncoding,
            FirstChar=FIRST,
            LastChar=LAST,
            Widths=Array(self.widths),
        )
        return target.add(_with(font, b"/FontDescriptor", described))


def _with(entries: Dictionary, name: bytes, number: int) -> bytes:
    return entries.unparse()[:-2] + name + b" " + ref(number) + b" >>"


LAYOUT_TABLES = ("GPOS", "GSUB", "GDEF")
"""Tables of a font that short plain words can do without."""


def _cut_down() -> tuple[Any, bytes]:
    from fontTools import subset
    from fontTools.ttLib import TTFont

    full = TTFont(FONT)
    for table in LAYOUT_TABLES:
        if table in full:
            del full[table]
    options = subset.Options(hinting=False, layout_features=[], notdef_outline=True, glyph_names=False)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=range(FIRST, LAST + 1))
    cutter.subset(full)
    program = io.BytesIO()
    full.save(program)
    return full, program.getvalue()
