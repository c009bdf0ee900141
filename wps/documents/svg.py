"""A handful of drawing strokes, written out as one plain SVG without styles, scripts or references.

Colours follow the text around it, so the drawing suits a light page, a dark page and paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

Point = tuple[float, float]

ROW, LABEL_AT, WORDS_AT, WORDS_FIT = 15, 34, 138, 38
"""Measures of the list below a drawing; `WORDS_FIT` is how many letters of 10.5 units fit behind
`WORDS_AT`."""


class Drawing:
    """Strokes in order; `height` is where the drawing ends and its list begins."""

    def __init__(self) -> None:
        self.parts: list[str] = []
        self.height = 170.0

    def plate(self, points: Sequence[Point], *, dashed: bool = False) -> None:
        """A member in section; broken lines where its shape is not stated."""
        broken = ' stroke-dasharray="5 3"' if dashed else ""
        self.parts.append(
            f'<polygon points="{_points(points)}" fill="currentColor" fill-opacity="0.08"'
            f' stroke="currentColor" stroke-width="1.4" stroke-linejoin="round"{broken}/>'
        )

    def weld(self, points: Sequence[Point]) -> None:
        """Weld metal in section."""
        self.parts.append(
            f'<polygon points="{_points(points)}" fill="currentColor" fill-opacity="0.45"'
            ' stroke="currentColor" stroke-width="1.4" stroke-linejoin="round"/>'
        )

    def text(self, x: float, y: float, words: str, anchor: str = "middle") -> None:
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="12" font-style="italic"'
            f' fill="currentColor">{escape(words)}</text>'
        )

    def measure_down(self, x: float, top: float, bottom: float, mark: str, *, before: bool) -> None:
        """A vertical dimension line with its mark beside it."""
        self._line((x, top), (x, bottom), ends=True)
        self.text(x - 6 if before else x + 6, (top + bottom) / 2 + 4, mark, "end" if before else "start")

    def measure_across(self, left: float, right: float, y: float, mark: str) -> None:
        """A short horizontal dimension below `y`, with its arrows pointing inwards from outside."""
        for x, outwards in ((left, -16), (right, 16)):
            self._line((x, y + 4), (x, y + 18))
            self._line((x + outwards, y + 13), (x, y + 13))
            self.parts.append(_tip((x, y + 13), 0.0 if outwards < 0 else math.pi))
        self.text(right + 20, y + 17, mark, "start")

    def span_label(self, x: float, y: float, width: float, mark: str) -> None:
        """A horizontal dimension above a member, with the mark on top."""
        self._line((x - width / 2, y), (x + width / 2, y), ends=True)
        self.text(x, y - 5, mark)

    def bracket(self, x: float, top: float, bottom: float, mark: str) -> None:
        """A small vertical measure beside an edge."""
        self._line((x, top), (x, bottom))
        for y in (top, bottom):
            self._line((x - 4, y), (x + 4, y))
        self.text(x + 7, (top + bottom) / 2 + 4, mark, "start")

    def leader(self, x: float, y: float, mark: str) -> None:
        """A mark led to a point."""
        self._line((x, y), (x + 22, y - 8))
        self.text(x + 25, y - 7, mark, "start")

    def angle(self, x: float, y: float, radius: float, start: float, end: float, mark: str) -> None:
        """An arc about (x, y) between two slopes from the vertical, the mark above it."""
        ends = [(x + radius * math.sin(turn), y - radius * math.cos(turn)) for turn in (start, end)]
        (x1, y1), (x2, y2) = ends
        self.parts.append(
            f'<path d="M{x1:.1f} {y1:.1f}A{radius:.1f} {radius:.1f} 0 0 1 {x2:.1f} {y2:.1f}" fill="none"'
            ' stroke="currentColor" stroke-width="0.9"/>'
        )
        middle = (start + end) / 2
        self.text(x + (radius + 9) * math.sin(middle), y - (radius + 5) * math.cos(middle), mark)

    def _line(self, start: Point, end: Point, *, ends: bool = False) -> None:
        self.parts.append(
            f'<path d="M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}" fill="none"'
            ' stroke="currentColor" stroke-width="0.9"/>'
        )
        if ends:
            turn = math.atan2(end[1] - start[1], end[0] - start[0])
            self.parts += [_tip(end, turn), _tip(start, turn + math.pi)]

    def render(self, width: int, rows: Sequence[tuple[str, str, str]], spoken: str) -> str:
        """The whole SVG: the drawing, then a list of (mark, label, words). `spoken` is its text
        alternative."""
        listed, y = [], self.height + 8
        for mark, label, words in rows:
            y += ROW
            lines = _wrapped(words)
            listed.append(
                _cell(10, y, mark, italic=True) + _cell(LABEL_AT, y, label) + _cell(WORDS_AT, y, lines[0])
            )
            for more in lines[1:]:
                y += ROW - 2
                listed.append(_cell(WORDS_AT, y, more))
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" class="sketch" font-family="Plex Sans, sans-serif"'
            f' viewBox="0 0 {width} {y + 10:.0f}" width="{width}" height="{y + 10:.0f}" role="img"'
            f" aria-label={quoteattr(spoken)}>" + "".join(self.parts) + "".join(listed) + "</svg>"
        )


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _tip(at: Point, turn: float) -> str:
    """An arrow head at a point, pointing along `turn` (radians from the x axis, clockwise on paper)."""
    wings = [(at[0] - 6 * math.cos(turn + off), at[1] - 6 * math.sin(turn + off)) for off in (0.3, -0.3)]
    return f'<polygon points="{_points([at, *wings])}" fill="currentColor"/>'


def _cell(x: float, y: float, words: str, *, italic: bool = False) -> str:
    style = ' font-style="italic"' if italic else ""
    return (
        f'<text x="{x}" y="{y:.1f}" font-size="10.5"{style} fill="currentColor">{escape(words)}</text>'
        if words
        else ""
    )


def _wrapped(words: str) -> list[str]:
    """Words broken where a bracket or a blank allows it, so that they stay inside the drawing."""
    lines = [""]
    for word in words.split(" "):
        grown = f"{lines[-1]} {word}".strip()
        if len(grown) > WORDS_FIT and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = grown
    return lines
