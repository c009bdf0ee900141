"""A welding symbol drawn. By AWS A2.4 the arrow side stands below the reference line; by ISO 2553 (system A)
on the solid line, with a broken one beside it for the other side unless both are alike. Every element is a
group of its own, named, so that its place can be read back from the drawing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from wps.documents.joint_figure import LETTER, TEXT, Figure
from wps.documents.weld_symbols import PERMANENT, Symbol

HIGH, HIGHER = 11.0, 22.0
"""Height of a weld's symbol in points, and of one that takes the root opening between its strokes."""
INSIDE = {"v": 4, "u": 3, "square": 4, "bevel": 3, "j": 2, "flare_v": 4, "flare_bevel": 2}
"""Letters of a root opening that still fit between the strokes; more stand beside them."""
LONG, LEAD, APART = 112.0, 24.0, 3.0
"""Length of the reference line, of the arrow, and space to ISO's broken line."""
ONE_PREPARED = frozenset(("bevel", "j", "flare_bevel"))
"""Grooves that prepare one member alone: the arrow is broken towards it (AWS A2.4)."""
CURVED = frozenset(("u", "j", "flare_v", "flare_bevel"))
At = Callable[[float, float], tuple[float, float]]


@dataclass
class _Side:
    """One side of the reference line: where it begins, which way it goes (1 down, -1 up), and how far what
    is drawn there reaches."""

    x: float
    line: float
    way: int
    reach: float = 0.0

    def at(self, dx: float, dy: float) -> tuple[float, float]:
        return self.x + dx, self.line + self.way * dy


def draw_symbol(symbol: Symbol, figure: Figure, x: float, y: float, long: float = LONG) -> None:
    """The symbol with its arrow's end at the left, its upper edge at y, on a line of that length at least."""
    arrow_way = -1 if symbol.is_iso else 1
    up, down = (_height(symbol, arrow=way == arrow_way) for way in (-1, 1))
    line = y + max(up, 15.0 if symbol.field else 0.0) + 2
    ahead = max(long * 0.55, 10 + 12 + max(len(symbol.size), len(symbol.over)) * TEXT * LETTER)
    lead = min(LEAD, long * 0.3)
    start, end = (x + lead, line), (x + lead + ahead + long * 0.45, line)
    with _named(figure, "reference line"):
        figure.line(start, end, 0.8)
    with _named(figure, "arrow"):
        _arrow(figure, start, (x + 4, line + 20), is_broken=symbol.kind in ONE_PREPARED)
    is_dual = symbol.is_iso and not symbol.double  # a weld alike on both sides needs no broken line
    if is_dual:
        with _named(figure, "broken line"):
            figure.line((start[0], line + APART), (end[0], line + APART), 0.6, broken=True)
    _at_junction(symbol, figure, start)
    middle = x + lead + ahead
    other_line = line + APART if is_dual else line
    arrow = _Side(middle, line, arrow_way)
    other = _Side(middle, other_line, -arrow_way)
    _weld(symbol, figure, arrow, "arrow side")
    if symbol.double:
        _weld(symbol, figure, other, "other side", again=True)
    else:
        _opposite(symbol, figure, other)
    figure.reach(x, line + max(down, 20.0))


def _arrow(figure: Figure, start: tuple[float, float], end: tuple[float, float], *, is_broken: bool) -> None:
    """From the line to its tip; broken, it turns to the member that is prepared, which is drawn at the
    right."""
    if is_broken:
        bend = (end[0] - 2, start[1] + 9)
        figure.line(start, bend, 0.8)
        start, end = bend, (end[0] + 8, end[1])
    figure.line(end, start, 0.8)
    figure.tip(end, math.atan2(end[1] - start[1], end[0] - start[0]))


def _height(symbol: Symbol, *, arrow: bool) -> float:
    """How far a side of the line reaches."""
    if not arrow and not symbol.double:
        opposite = symbol.backing or symbol.back_weld or symbol.melt_through or symbol.insert
        return (12.0 if opposite else 0.0) + (APART if symbol.is_iso else 0.0)
    high = _high(symbol) + (HIGH if symbol.over else 0.0)
    if symbol.angle:
        high += TEXT + 1
    if arrow:
        high += (5.0 if symbol.contour else 0.0) + (TEXT + 1 if symbol.contour and symbol.finish else 0.0)
    return high + (APART if symbol.is_iso and not arrow else 0.0)


def _fits_inside(symbol: Symbol) -> bool:
    return 0 < len(symbol.gap) <= INSIDE.get(symbol.kind, 0)


def _high(symbol: Symbol) -> float:
    return HIGHER if _fits_inside(symbol) else HIGH


@contextmanager
def _named(figure: Figure, name: str) -> Iterator[None]:
    figure.parts.append(f'<g data-element="{name}">')
    yield
    figure.parts.append("</g>")


def _at_junction(symbol: Symbol, figure: Figure, start: tuple[float, float]) -> None:
    """The circle of a weld all around and the flag of a field weld, where arrow and line meet."""
    x, line = start
    if symbol.all_around:
        with _named(figure, "all around"):
            figure.parts.append(
                f'<circle cx="{x:.1f}" cy="{line:.1f}" r="3.5" fill="none" stroke="currentColor"'
                ' stroke-width="0.8"/>'
            )
    if symbol.field:
        with _named(figure, "field weld"):
            figure.line((x, line), (x, line - 15), 0.8)
            figure.outline(((x, line - 15), (x + 10, line - 11.5), (x, line - 8)), 1, 0.5)


def _weld(symbol: Symbol, figure: Figure, side: _Side, name: str, *, again: bool = False) -> None:
    """The weld of one side with its numbers. `again`: the other side of a double weld, which says its size
    and angle too, and not the root opening."""
    high = _high(symbol)
    with _named(figure, f"{symbol.kind}, {name}"):
        if symbol.kind == "fillet":
            figure.line(side.at(-5, 0), side.at(-5, HIGH), 0.9)
            figure.line(side.at(-5, HIGH), side.at(7, 0), 0.9)
        elif symbol.kind in CURVED:
            _curved(symbol, figure, side.at, side.way, high)
        else:
            _straight(symbol, figure, side, high)
    if symbol.size:
        with _named(figure, f"size, {name}"):
            figure.text(side.x - 12, side.line + side.way * HIGH / 2 + 3.4, symbol.size, "end")
    side.reach = high
    if symbol.over:
        _over(symbol, figure, side, name)
    if symbol.gap and not again:
        with _named(figure, f"root opening, {name}"):
            if _fits_inside(symbol):
                middle = 0.0 if symbol.kind in ("v", "u", "square", "flare_v") else _wide(symbol) / 2 + 1.5
                figure.text(side.x + middle, side.line + side.way * (high - 5) + 3.4, symbol.gap, "middle")
            else:
                figure.text(side.x + 16, side.line + side.way * (HIGH / 2 + 1) + 3.4, symbol.gap)
    if symbol.angle:
        _beyond(figure, side, symbol.angle, f"groove angle, {name}")
    if symbol.contour and (not again or symbol.kind == "fillet"):
        _contour(symbol, figure, side, name)


def _beyond(figure: Figure, side: _Side, words: str, name: str) -> None:
    """Words past everything the side has so far."""
    with _named(figure, name):
        edge = side.line + side.way * (side.reach + 1)
        figure.text(side.x, edge + (TEXT - 1.5 if side.way > 0 else -1.5), words, "middle")
    side.reach += TEXT + 1


def _contour(symbol: Symbol, figure: Figure, side: _Side, name: str) -> None:
    """Flat, swollen or hollow, past the weld and its angle, and beyond it the letter of its finish."""
    with _named(figure, f"{symbol.contour} contour, {name}"):
        edge = side.reach + 2.5
        if symbol.kind == "fillet":  # along the face
            (x1, y1), (x2, y2) = side.at(-1, HIGH + 1.5), side.at(9, 2.5)
            bow = {"flush": 0.0, "convex": 4.0, "concave": -4.0}[symbol.contour]
            mx, my = (x1 + x2) / 2 + bow * 0.7, (y1 + y2) / 2 + side.way * bow * 0.7
            figure.parts.append(_bow((x1, y1), (mx, my), (x2, y2)))
            edge = HIGH + 1.5
        else:
            bow = {"flush": 0.0, "convex": 4.0, "concave": -4.0}[symbol.contour]
            (x1, y1), (x2, y2) = side.at(-8, edge), side.at(8, edge)
            figure.parts.append(_bow((x1, y1), (side.x, y1 + side.way * bow), (x2, y2)))
            figure.reach(side.x, y1 + side.way * bow)
    side.reach = edge + 2.5
    if symbol.finish:
        _beyond(figure, side, symbol.finish, f"finish, {name}")


def _bow(start: tuple[float, float], over: tuple[float, float], end: tuple[float, float]) -> str:
    return (
        f'<path d="M{start[0]:.1f} {start[1]:.1f}Q{over[0]:.1f} {over[1]:.1f} {end[0]:.1f} {end[1]:.1f}"'
        ' fill="none" stroke="currentColor" stroke-width="0.9"/>'
    )


def _over(symbol: Symbol, figure: Figure, side: _Side, name: str) -> None:
    """The fillet over a groove: its symbol stands past that of the groove."""
    with _named(figure, f"fillet over groove, {name}"):
        low, high = side.reach, side.reach + HIGH
        figure.line(side.at(-5, low), side.at(-5, high), 0.9)
        figure.line(side.at(-5, high), side.at(7, low), 0.9)
        figure.line(side.at(-5, low), side.at(7, low), 0.9)
    with _named(figure, f"fillet size, {name}"):
        x, y = side.at(-9, side.reach + HIGH / 2)
        figure.text(x, y + 3.4, symbol.over, "end")
    side.reach += HIGH + 1


def _opposite(symbol: Symbol, figure: Figure, side: _Side) -> None:
    """What stands across the line from the groove."""
    if symbol.backing:
        with _named(figure, "backing, other side"):
            low, high = sorted((side.line + side.way * 0.5, side.line + side.way * 11))
            figure.outline(
                ((side.x - 9, low), (side.x + 9, low), (side.x + 9, high), (side.x - 9, high)), 0, 0.8
            )
            if letters := _backing_letters(symbol):
                figure.text(side.x, (low + high) / 2 + 3.4, letters, "middle")
    elif symbol.insert:
        with _named(figure, "insert, other side"):
            figure.outline([side.at(dx, dy) for dx, dy in ((-5, 0), (5, 0), (5, 10), (-5, 10))], 0, 0.8)
    elif symbol.back_weld or symbol.melt_through:
        name, fill = ("melt-through", "currentColor") if symbol.melt_through else ("back weld", "none")
        with _named(figure, f"{name}, other side"):
            figure.parts.append(
                f'<path d="M{side.x - 7:.1f} {side.line:.1f}A7 7 0 0 {1 if side.way < 0 else 0}'
                f' {side.x + 7:.1f} {side.line:.1f}" fill="{fill}" stroke="currentColor" stroke-width="0.8"/>'
            )
            figure.reach(side.x, side.line + side.way * 7)


def _backing_letters(symbol: Symbol) -> str:
    """AWS marks a backing to be removed with R; ISO one that stays with M and one that goes with MR."""
    stays = symbol.backing == PERMANENT
    if symbol.is_iso:
        return "M" if stays else "MR"
    return "" if stays else "R"


def _wide(symbol: Symbol) -> float:
    """How far a stroke leans out at its end, wide enough for the root opening between them."""
    high = _high(symbol)
    if not _fits_inside(symbol):
        return 0.8 * high
    text = len(symbol.gap) * TEXT * LETTER
    inner = high - TEXT - 1
    room = text / 2 + 2 if symbol.kind == "v" else text + 3
    return max(0.8 * high, high * room / inner)


def _straight(symbol: Symbol, figure: Figure, side: _Side, high: float) -> None:
    if symbol.kind == "square":
        apart = len(symbol.gap) * TEXT * LETTER / 2 + 2 if _fits_inside(symbol) else 2.0
        for dx in (-apart, apart):
            figure.line(side.at(dx, 0), side.at(dx, high), 0.9)
        return
    figure.line(side.at(0, 0), side.at(0 if symbol.kind == "bevel" else -_wide(symbol), high), 0.9)
    figure.line(side.at(0, 0), side.at(_wide(symbol), high), 0.9)


def _curved(symbol: Symbol, figure: Figure, at: At, way: int, high: float) -> None:
    """U and J stand on a stem, flares touch the line."""
    stem = high * 0.4 if symbol.kind in ("u", "j") else 0.0
    if stem:
        figure.line(at(0, 0), at(0, stem if symbol.kind == "u" else high), 0.9)
    radius = high - stem
    for turn in (1,) if symbol.kind in ("j", "flare_bevel") else (1, -1):
        inner, outer = (
            at(0 if stem else turn * 2, stem),
            at(turn * (radius if stem else radius + 2), high),
        )
        sweep = int((turn > 0) == (way < 0)) if stem else int((turn > 0) != (way > 0))
        figure.parts.append(
            f'<path d="M{inner[0]:.1f} {inner[1]:.1f}A{radius:.1f} {radius:.1f} 0 0 {sweep}'
            f' {outer[0]:.1f} {outer[1]:.1f}" fill="none" stroke="currentColor" stroke-width="0.9"/>'
        )
        figure.reach(*outer)
    if symbol.kind == "flare_bevel":
        figure.line(at(-2, 0), at(-2, high), 0.9)
