"""One joint drawn to scale as a plain SVG fragment, with its dimensions as numbers on the drawing.

No styles, scripts or references. Colors follow the text around it, so the drawing suits a light page, a dark
page and paper. Lengths are points of print; text keeps its size whatever the scale of the joint.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from qualification.tongues.told import told_decimals
from wps.documents.joint_geometry import Bead, Point, Section, area_of

TEXT = 9.6
"""Size of a letter where the drawing is 84 mm wide, in points."""
LETTER = 0.56
"""Width of a letter by its size, on the wide side."""
SHADES = (0.22, 0.38, 0.12, 0.5)
"""How dark the passes of each process line are."""
LEAST = 7.4
"""Thickness of a pass that still takes its number, in points: the height of a figure and air."""
Place = Callable[[Point], Point]
"""From mm to points of the drawing."""


@dataclass(frozen=True)
class Mark:
    """A number on the drawing. `kind`: `down` and `across` measure between two points, `angle` opens from
    `start` about `at`, `word` stands at a place. `side` is -1 left or below, 1 right or above."""

    kind: str
    text: str
    start: Point
    end: Point = (0.0, 0.0)
    at: Point = (0.0, 0.0)
    side: int = 1


@dataclass
class Figure:
    """Strokes in points, and how far they reach."""

    parts: list[str] = field(default_factory=list)
    left: float = math.inf
    right: float = -math.inf
    top: float = math.inf
    bottom: float = -math.inf

    def reach(self, x: float, y: float) -> None:
        self.left, self.right = min(self.left, x), max(self.right, x)
        self.top, self.bottom = min(self.top, y), max(self.bottom, y)

    def outline(self, points: Sequence[Point], fill: float, width: float, *, broken: bool = False) -> None:
        for x, y in points:
            self.reach(x, y)
        dashes = ' stroke-dasharray="4 2.5"' if broken else ""
        self.parts.append(
            f'<polygon points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in points)}" fill="currentColor"'
            f' fill-opacity="{fill}" stroke="currentColor" stroke-width="{width}" stroke-linejoin="round"'
            f"{dashes}/>"
        )

    def line(self, start: Point, end: Point, width: float = 0.5, *, broken: bool = False) -> None:
        for x, y in (start, end):
            self.reach(x, y)
        dashes = ' stroke-dasharray="3 2"' if broken else ""
        self.parts.append(
            f'<path d="M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}" fill="none"'
            f' stroke="currentColor" stroke-width="{width}"{dashes}/>'
        )

    def arc(self, center: Point, radius: float, start: float, end: float) -> None:
        """An arc between two turns from straight up, clockwise on paper."""
        a, b = (self.turned(center, radius, turn) for turn in (start, end))
        self.parts.append(
            f'<path d="M{a[0]:.1f} {a[1]:.1f}A{radius:.1f} {radius:.1f} 0 0 1 {b[0]:.1f} {b[1]:.1f}"'
            ' fill="none" stroke="currentColor" stroke-width="0.5"/>'
        )
        for turn in (start, (start + end) / 2, end):
            self.reach(*self.turned(center, radius, turn))
        self.tip(a, start + math.pi)
        self.tip(b, end)

    @staticmethod
    def turned(center: Point, radius: float, turn: float) -> Point:
        return center[0] + radius * math.sin(turn), center[1] - radius * math.cos(turn)

    def tip(self, at: Point, turn: float) -> None:
        """An arrow head that points along `turn`, from the x axis clockwise on paper."""
        wings = [(at[0] - 4 * math.cos(turn + off), at[1] - 4 * math.sin(turn + off)) for off in (0.3, -0.3)]
        self.parts.append(
            f'<polygon points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in (at, *wings))}" fill="currentColor"/>'
        )

    def text(self, x: float, y: float, words: str, anchor: str = "start", *, strong: bool = False) -> None:
        wide = len(words) * TEXT * LETTER
        start = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        self.reach(start, y - TEXT)
        self.reach(start + wide, y + 2)
        weight = ' font-weight="600"' if strong else ""
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{TEXT}"{weight}'
            f' fill="currentColor">{escape(told_decimals(words))}</text>'
        )

    def moved(self, x: float, y: float) -> str:
        """The fragment with its upper left corner at a point."""
        return f'<g transform="translate({x - self.left:.1f} {y - self.top:.1f})">{"".join(self.parts)}</g>'


def width_of_numbers(marks: Sequence[Mark]) -> float:
    """What the columns of numbers beside a joint take, in points, whatever its scale."""
    return 4 + sum(len(mark.text) * TEXT * LETTER + 18 for mark in marks if mark.kind == "down")


def drawn(section: Section, marks: Sequence[Mark], width: float, height: float, *, sure: bool) -> Figure:
    """The section to scale, as large as fits with its numbers into width and height. Not `sure`, members are
    drawn in broken lines: their shape is not stated."""
    xs, ys = [x for x, _ in section.points], [y for _, y in section.points]
    room = width - width_of_numbers(marks)
    scale = min(room / (max(xs) - min(xs)), height / (max(ys) - min(ys)))
    figure = Figure()

    def on(point: Point) -> Point:
        return point[0] * scale, -point[1] * scale

    for block in section.backing:
        figure.outline([on(p) for p in block], 0.14, 0.8)
    for member in section.members:
        figure.outline([on(p) for p in member], 0.06, 1.0, broken=not sure)
    for block in section.loose:
        figure.outline([on(p) for p in block], 0.0, 0.6, broken=True)
    for bead in (*section.caps, *section.beads):
        figure.outline([on(p) for p in bead.outline], SHADES[bead.line % len(SHADES)], 0.6)
    for insert in section.inserts:
        figure.outline([on(p) for p in insert], 0.65, 0.6)
    if len({bead.number for bead in section.beads}) > 1:
        for bead in section.beads:
            _number(figure, bead, [on(p) for p in bead.outline])
    column = {-1: figure.left - 10, 1: figure.right + 10}
    for mark in marks:
        _MARKS[mark.kind](figure, mark, on, column)
    return figure


def _number(figure: Figure, bead: Bead, outline: Sequence[Point]) -> None:
    """The number of a pass, where it is thick enough to hold one."""
    longest = max(math.dist(a, b) for a in outline for b in outline)
    if area_of(outline) / longest < LEAST or longest < len(str(bead.number)) * TEXT * LETTER + 2:
        return
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    if len(outline) < 5 and len({round(each, 3) for each in ys}) > 2:
        x, y = sum(xs) / len(xs), sum(ys) / len(ys)
    figure.text(x, y + 3.4, str(bead.number), "middle", strong=True)


def _down(figure: Figure, mark: Mark, on: Place, column: dict[int, float]) -> None:
    """Between two heights, in a column outside the members; short ones take their arrows from outside."""
    (x1, low), (x2, high) = on(mark.start), on(mark.end)
    x = column[mark.side]
    for start, y in ((x1, low), (x2, high)):
        figure.line((start, y), (x + mark.side * 3, y), 0.3, broken=True)
    if abs(low - high) > 12:
        figure.line((x, low), (x, high))
        figure.tip((x, low), math.pi / 2)
        figure.tip((x, high), -math.pi / 2)
    else:
        figure.line((x, low + 9), (x, low))
        figure.line((x, high - 9), (x, high))
        figure.tip((x, low), -math.pi / 2)
        figure.tip((x, high), math.pi / 2)
    words = x + mark.side * 4
    figure.text(words, (low + high) / 2 + 3.4, mark.text, "start" if mark.side > 0 else "end")
    column[mark.side] += mark.side * (len(mark.text) * TEXT * LETTER + 12)


def _across(figure: Figure, mark: Mark, on: Place, column: dict[int, float]) -> None:
    """Between two points of a level, below everything drawn so far."""
    (x1, _), (x2, _) = on(mark.start), on(mark.end)
    y = figure.bottom + 9
    for x, outwards in ((x1, -1), (x2, 1)):
        figure.line((x, y - 7), (x, y + 4), 0.3)
        figure.line((x + outwards * 12, y), (x, y))
        figure.tip((x, y), 0.0 if outwards < 0 else math.pi)
    figure.text(x2 + 14, y + 3.4, mark.text)


def _angle(figure: Figure, mark: Mark, on: Place, column: dict[int, float]) -> None:
    """Between two turns about a point, past the surface; `start` holds the turns in radians, `end` a point
    of the wall the arc has to pass."""
    center, beyond = on(mark.at), on(mark.end)
    radius = math.dist(center, beyond) + 9
    first, last = mark.start
    for turn in (first, last):
        near = max(math.dist(center, beyond) - 1, 0)
        figure.line(figure.turned(center, near, turn), figure.turned(center, radius + 5, turn), 0.3)
    figure.arc(center, radius, first, last)
    x, y = figure.turned(center, radius + 4, (first + last) / 2)
    figure.text(x, y if mark.side > 0 else y + 4, mark.text, "middle" if mark.side > 0 else "start")


def _word(figure: Figure, mark: Mark, on: Place, column: dict[int, float]) -> None:
    """A number inside a member; `end` is the room it has there, and without room it is left to the text."""
    x, y = on(mark.start)
    wide, high = on(mark.end)
    if mark.end == (0.0, 0.0) or (-high > TEXT and wide > len(mark.text) * TEXT * LETTER):
        figure.text(x, y + 3.4, mark.text, "middle")


_MARKS = {"down": _down, "across": _across, "angle": _angle, "word": _word}
