"""Where every word of a PDF stands, read from its content streams: runs of text with their ends, and the
structure they belong to. Reads what WeasyPrint writes: composite fonts with two-byte codes, marked content by
MCID.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream

Matrix = tuple[float, float, float, float, float, float]
STILL: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Run:
    """Text shown at once: its left and right end and its baseline, in points from the lower left corner."""

    page: int
    left: float
    right: float
    baseline: float
    size: float
    text: str
    mcid: int | None


@dataclass(frozen=True)
class Element:
    """One element of the structure tree: its kind, such as `Table` or `H2`, and where its own content
    stands."""

    kind: str
    places: tuple[tuple[int, int], ...]
    """(page, MCID) of everything inside."""
    children: tuple[Element, ...]

    def inside(self, *kinds: str) -> Iterator[Element]:
        for child in self.children:
            if child.kind in kinds:
                yield child
            yield from child.inside(*kinds)


@dataclass
class _Font:
    widths: dict[int, float]
    default: float
    letters: dict[int, str]


@dataclass
class _State:
    matrix: Matrix = STILL
    font: _Font | None = None
    size: float = 0


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


@dataclass
class Paper:
    """A PDF that was read."""

    pdf: bytes
    reader: PdfReader = field(init=False)

    def __post_init__(self) -> None:
        self.reader = PdfReader(io.BytesIO(self.pdf))

    @property
    def sizes(self) -> list[tuple[float, float]]:
        return [(float(page.mediabox.width), float(page.mediabox.height)) for page in self.reader.pages]

    def runs(self) -> list[Run]:
        return [run for number, page in enumerate(self.reader.pages) for run in _runs(number, page)]

    def root(self) -> Element:
        pages = {page.indirect_reference.idnum: number for number, page in enumerate(self.reader.pages)}
        return _element(self.reader.trailer["/Root"]["/StructTreeRoot"], pages, None)


def _element(raw: Any, pages: dict[int, int], page: int | None) -> Element:
    raw = raw.get_object()
    if "/Pg" in raw:
        page = pages[raw.raw_get("/Pg").idnum]
    kids = raw.get("/K", [])
    places: list[tuple[int, int]] = []
    children: list[Element] = []
    for kid in kids if isinstance(kids, list) else [kids]:
        kid = kid.get_object()
        if isinstance(kid, int):
            assert page is not None
            places.append((page, int(kid)))
        elif "/MCID" in kid:
            own = pages[kid.raw_get("/Pg").idnum] if "/Pg" in kid else page
            assert own is not None
            places.append((own, int(kid["/MCID"])))
        elif "/S" in kid:
            children.append(_element(kid, pages, page))
    places += [place for child in children for place in child.places]
    return Element(str(raw.get("/S", ""))[1:], tuple(places), tuple(children))


def _runs(number: int, page: PageObject) -> Iterator[Run]:
    fonts = {name: _font(font.get_object()) for name, font in page["/Resources"]["/Font"].items()}
    state, saved, marks = _State(), list[_State](), list[int | None]()
    text = line = STILL
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"q":
            saved.append(_State(state.matrix, state.font, state.size))
        elif operator == b"Q":
            state = saved.pop()
        elif operator == b"cm":
            state.matrix = _times(tuple(map(float, operands)), state.matrix)
        elif operator == b"BT":
            text = line = STILL
        elif operator == b"Tf":
            state.font, state.size = fonts[operands[0]], float(operands[1])
        elif operator == b"Tm":
            text = line = tuple(map(float, operands))
        elif operator == b"Td":
            text = line = _times((1, 0, 0, 1, float(operands[0]), float(operands[1])), line)
        elif operator in (b"BDC", b"BMC"):
            properties = operands[1] if len(operands) > 1 and isinstance(operands[1], dict) else {}
            marks.append(int(properties["/MCID"]) if "/MCID" in properties else marks[-1] if marks else None)
        elif operator == b"EMC":
            marks.pop()
        elif operator in (b"TJ", b"Tj"):
            assert state.font is not None
            parts = operands[0] if operator == b"TJ" else operands
            advance, inked, letters = _shown(parts, state.font, state.size)
            start, scale = _times(text, state.matrix), abs(_times(text, state.matrix)[0])
            yield Run(
                number,
                start[4],
                start[4] + inked * scale,
                start[5],
                state.size * scale,
                letters,
                marks[-1] if marks else None,
            )
            text = _times((1, 0, 0, 1, advance, 0), text)


def _shown(parts: Any, font: _Font, size: float) -> tuple[float, float, str]:
    """How far the text goes on, how far without blanks at its end, which print nothing, and its letters."""
    advance = inked = 0.0
    letters = ""
    for part in parts:
        if isinstance(part, (int, float)):
            advance -= float(part) * size / 1000
            continue
        raw = part.original_bytes if hasattr(part, "original_bytes") else bytes(part)
        for code in (int.from_bytes(raw[at : at + 2]) for at in range(0, len(raw), 2)):
            advance += font.widths.get(code, font.default) * size / 1000
            letters += font.letters.get(code, "")
            inked = advance if font.letters.get(code, "") != " " else inked
    return advance, inked, letters


def _font(raw: Any) -> _Font:
    inner = raw["/DescendantFonts"][0].get_object()
    widths: dict[int, float] = {}
    listed = list(inner.get("/W", []))
    while listed:
        first, second = int(listed.pop(0)), listed.pop(0)
        if isinstance(second, list):
            widths |= {first + offset: float(width) for offset, width in enumerate(second)}
        else:
            widths |= dict.fromkeys(range(first, int(second) + 1), float(listed.pop(0)))
    return _Font(widths, float(inner.get("/DW", 1000)), _letters(raw["/ToUnicode"].get_data().decode()))


def _letters(cmap: str) -> dict[int, str]:
    """The single codes of a ToUnicode table."""
    found = {}
    for block in cmap.split("beginbfchar")[1:]:
        for row in block.split("endbfchar")[0].strip().splitlines():
            code, text = row.strip().strip("<>").replace(" ", "").split("><")
            found[int(code, 16)] = bytes.fromhex(text).decode("utf-16-be")
    return found
