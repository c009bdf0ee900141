"""A log thinned out for a plot: least and greatest reading of each piece, so that no spike gets lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arcs import Span
from .log import Log

POINTS = 1500


@dataclass(frozen=True, eq=False)
class Envelope:
    seconds: np.ndarray
    """Time at the middle of each piece."""
    volts_low: np.ndarray
    volts_high: np.ndarray
    amps_low: np.ndarray
    amps_high: np.ndarray
    per_point: float
    """Readings in a piece."""


def envelope(log: Log, part: Span | None = None, points: int = POINTS) -> Envelope:
    """The whole log, or a part of it, in at most `points` pieces. Raises ValueError for an empty part."""
    start, stop = (0, log.readings) if part is None else (max(0, part.start), min(part.stop, log.readings))
    if stop <= start or points < 1:
        raise ValueError("there is no reading to plot")
    edges = np.unique(np.linspace(start, stop, min(points, stop - start) + 1).astype(np.int64))
    begins, volts, amps = edges[:-1] - start, log.volts[start:stop], log.amps[start:stop]
    middle = (edges[:-1] + edges[1:] - 1) / 2
    seconds = log.start + middle * log.step
    for gap in log.gaps:
        seconds = seconds + np.where(middle >= gap.at, gap.seconds, 0.0)
    return Envelope(
        seconds,
        np.minimum.reduceat(volts, begins),
        np.maximum.reduceat(volts, begins),
        np.minimum.reduceat(amps, begins),
        np.maximum.reduceat(amps, begins),
        (stop - start) / len(begins),
    )


def thinned(part: Envelope, points: int) -> Envelope:
    """The same with at most `points` pieces: least of the least, greatest of the greatest. Raises ValueError
    for fewer than one."""
    count = len(part.seconds)
    if points < 1:
        raise ValueError("a plot has a point at least")
    if count <= points:
        return part
    edges = np.linspace(0, count, points + 1).astype(np.int64)
    begins = edges[:-1]
    return Envelope(
        (part.seconds[begins] + part.seconds[edges[1:] - 1]) / 2,
        np.minimum.reduceat(part.volts_low, begins),
        np.maximum.reduceat(part.volts_high, begins),
        np.minimum.reduceat(part.amps_low, begins),
        np.maximum.reduceat(part.amps_high, begins),
        part.per_point * count / points,
    )


def part_between(log: Log, first: float, last: float) -> Span:
    """The readings from `first` to `last` seconds on the log's own clock. Raises ValueError when there are
    none."""
    gap_at = np.array([gap.at for gap in log.gaps], dtype=np.int64)
    shift = np.concatenate(([0.0], np.cumsum([gap.seconds for gap in log.gaps])))
    starts = log.start + np.concatenate(([0], gap_at)) * log.step + shift
    bounds = np.concatenate((gap_at, [log.readings]))

    def index(time: float) -> int:
        piece = max(0, int(np.searchsorted(starts, time, side="right")) - 1)
        first_of_piece = 0 if piece == 0 else int(gap_at[piece - 1])
        return min(max(0, first_of_piece + round((time - starts[piece]) / log.step)), int(bounds[piece]))

    span = Span(index(first), index(last))
    if len(span) < 1:
        raise ValueError("there is no reading between these times")
    return span
