"""Figures of joints side by side on one level, each with its welding symbol where the row has room: above the
low ones, beside the tall ones, so that the row grows as little as it can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from qualification.tongues.told import told
from wps.documents.joint_drawn import Drawn
from wps.documents.joint_figure import LETTER, TEXT, Figure, drawn, width_of_numbers
from wps.documents.symbol_figure import LONG, draw_symbol

APART, MOST_APART, LONG_IN_A_ROW, CLEAR = 8.0, 28.0, 40.0, 4.0
"""Space between figures, at least and what may be added, length of a symbol's line where several stand in a
row, and space between a figure and its symbol."""
GROOVE_SHARE, WIDEST = 1.7, 238.0
"""Width of a groove by that of a fillet, and of one figure at most, in points."""
SMALLER = (1.0, 0.9, 0.8, 0.7, 0.6)
"""What figures that do not fit beside one another are tried at."""
LEGIBLE = 0.8
"""The smallest of these that is taken to save height alone: below it passes lose their numbers."""


@dataclass
class _Place:
    """A figure with its symbol, if it has one, and where that stands."""

    figure: Figure
    symbol: Figure | None = None
    is_beside: bool = False

    @property
    def wide(self) -> float:
        own = _wide(self.figure)
        if self.symbol is None:
            return own
        return own + CLEAR + _wide(self.symbol) if self.is_beside else max(own, _wide(self.symbol))

    @property
    def high(self) -> float:
        own = _high(self.figure)
        if self.symbol is None:
            return own
        return max(own, _high(self.symbol)) if self.is_beside else own + CLEAR + _high(self.symbol)


@dataclass
class _Row:
    """The places of a row, drawn at a share of their size."""

    share: float
    places: list[_Place]

    @property
    def wide(self) -> float:
        return sum(place.wide for place in self.places) + APART * (len(self.places) - 1)

    @property
    def high(self) -> float:
        return max(place.high for place in self.places)


def row_of(
    row: Sequence[Drawn], width: float, tall: float, *, symbols: bool
) -> list[tuple[float, Figure]] | None:
    """Figures side by side with where each begins, in points: they stand on one level, and so do the words
    below them. None where they do not fit with their symbols."""
    tried = [_row(row, width, tall, share, symbols=symbols) for share in SMALLER]
    fitting = [each for each in tried if each.wide <= width]
    if not symbols:
        made = (fitting or tried[-1:])[0]
    elif fitting:
        for each in fitting:
            _set_beside(each, width)
        large = [each for each in fitting if each.share >= LEGIBLE] or fitting[:1]
        made = min(large, key=lambda each: each.high / each.share)  # smaller only where that saves more
    else:
        return None
    high, wide = made.high, [place.wide for place in made.places]
    between = APART + min(max(width - made.wide, 0.0) / len(row), MOST_APART)
    figures = [_with_symbol(place) for place in made.places]
    for drawing, figure, own in zip(row, figures, wide, strict=True):
        figure.top = figure.bottom - high
        add_caption(drawing, figure, own + between - APART, high)
    return list(zip(accumulate((own + between for own in wide[:-1]), initial=0.0), figures, strict=True))


def _row(row: Sequence[Drawn], width: float, tall: float, share: float, *, symbols: bool) -> _Row:
    """The numbers beside a joint reach beyond it, by more than its share of the width where there are many:
    hence the shares tried."""
    parts = [1.0 if each.joint.groove == "fillet" else GROOVE_SHARE for each in row]
    numbers = [width_of_numbers(each.marks) for each in row]
    room = width - APART * (len(row) - 1)
    unit = min((room - sum(numbers)) / sum(parts), WIDEST / max(parts)) * share
    return _Row(
        share,
        [
            _Place(
                figure_of(each, own + unit * part, tall * share),
                _symbol_of(each) if symbols else None,
            )
            for each, part, own in zip(row, parts, numbers, strict=True)
        ],
    )


def figure_alone(each: Drawn, width: float, tall: float) -> Figure:
    """One joint with its symbol below it, and what lies at its root in words."""
    figure = figure_of(each, width, tall)
    if each.section is not None and each.symbol is not None:
        draw_symbol(each.symbol, figure, figure.left, figure.bottom + 6, LONG)
    wide = max(width, _wide(figure))
    add_caption(each, figure, wide, _high(figure), root=True)
    return figure


def figure_of(each: Drawn, wide: float, tall: float) -> Figure:
    """The joint to scale; the room for the reason where it cannot be drawn."""
    if each.section is None:
        figure = Figure()
        figure.reach(0, 0)
        figure.reach(wide, 0)
        return figure
    return drawn(each.section, each.marks, wide, tall, sure=each.sure)


def add_caption(each: Drawn, figure: Figure, wide: float, below: float, *, root: bool = False) -> None:
    """Which joint it is and what is said of it, `below` points under the top of the figure."""
    caption = "; ".join((each.joint.words, *(each.root if root else ()), *each.notes))
    left, y = figure.left, figure.top + below
    for line in _wrapped(told(caption), int(wide / (TEXT * LETTER))):
        y += TEXT + 2
        figure.text(left, y, line)


def _wide(figure: Figure) -> float:
    return figure.right - figure.left


def _high(figure: Figure) -> float:
    return figure.bottom - figure.top


def _symbol_of(each: Drawn) -> Figure | None:
    """The symbol by itself, to be measured."""
    if each.section is None or each.symbol is None:
        return None
    figure = Figure()
    draw_symbol(each.symbol, figure, 0.0, 0.0, LONG_IN_A_ROW)
    return figure


def _set_beside(row: _Row, width: float) -> None:
    """The tallest gets its symbol beside it, then the next, as long as the row has the width."""
    while True:
        tallest = max(row.places, key=lambda place: place.high)
        if tallest.symbol is None or tallest.is_beside:
            return
        tallest.is_beside = True
        if row.wide > width:
            tallest.is_beside = False
            return


def _with_symbol(place: _Place) -> Figure:
    """The figure with its symbol where that stands: above it, or at the middle of its right side."""
    figure, symbol = place.figure, place.symbol
    if symbol is None:
        return figure
    if place.is_beside:
        x, y = figure.right + CLEAR, figure.bottom - (_high(figure) + _high(symbol)) / 2
    else:
        x, y = figure.left, figure.top - CLEAR - _high(symbol)
    figure.parts.append(symbol.moved(x, y))
    figure.reach(x, y)
    figure.reach(x + _wide(symbol), y + _high(symbol))
    return figure


def _wrapped(words: str, most: int) -> list[str]:
    lines = [""]
    for word in words.split():
        if lines[-1] and len(lines[-1]) + len(word) >= most:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines
