"""Where in a log the arc burns, and what the clamp reads while none does.

While no arc burns the current is nought, so what a clamp reads then is its zero and its noise. The arc is
told from that, not from a fixed number of amperes: a clamp that is off by some amperes or picks up noise
makes no arc, and its zero is taken off every reading. The open-circuit voltage of the source helps where it
stands in the log.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .log import Log

WINDOW, BLOCK = 0.001, 50
"""Seconds whose mean is looked at to find starts and ends, and how many of them make a block."""
LOOK = 1 << 16
"""Readings looked at together."""


@dataclass(frozen=True)
class Span:
    """Readings from `start` up to, not including, `stop`."""

    start: int
    stop: int

    def __len__(self) -> int:
        return self.stop - self.start


@dataclass(frozen=True)
class Idle:
    """What the clamp reads while no arc burns, A."""

    zero: float
    uncertainty: float
    """Of the zero: how it differs from stretch to stretch."""
    spread: float
    """Standard deviation of single readings."""
    window_spread: float
    """Standard deviation of the means of windows."""
    seconds: float
    """How much of the log it was taken from; 0 where an arc burns throughout."""


NO_IDLE = Idle(0.0, 0.0, 0.0, 0.0, 0.0)


def idle_of(log: Log) -> Idle:
    """Zero and noise of the current from the blocks without an arc."""
    limit = engineering().threshold
    size = _window(log)
    amps, volts = _means(log.amps, size), _means(log.volts, size)
    if len(amps) < BLOCK:
        return NO_IDLE
    count = len(amps) // BLOCK
    blocks = amps[: count * BLOCK].reshape(count, BLOCK)
    level, open_volts = (
        np.median(blocks, axis=1),
        np.median(np.abs(volts[: count * BLOCK]).reshape(count, BLOCK), axis=1),
    )
    top = float(np.sort(np.abs(level))[-min(3, count)])
    burning = open_volts[np.abs(level) >= 0.5 * top]
    usual = float(np.median(burning)) if len(burning) else 0.0
    low = np.abs(level) < limit("idle_amps_most")
    quiet = (
        low
        & (np.abs(level) < 0.15 * top)
        & (
            (open_volts > 1.2 * usual + 2)
            | (open_volts < limit("short_volts"))
            | (np.abs(level) < limit("arc_amps"))
        )
    )
    quiet |= low & (open_volts > limit("open_volts"))
    if not quiet.any():
        return NO_IDLE
    # Blocks beside an arc may hold a part of it.
    inner = quiet.copy()
    inner[1:] &= quiet[:-1]
    inner[:-1] &= quiet[1:]
    chosen = np.flatnonzero(inner if inner.any() else quiet)
    means = np.median(blocks[chosen], axis=1)
    zero = float(np.median(means))
    windows = blocks[chosen].ravel()
    window_spread = _spread(windows)
    taken = chosen[np.linspace(0, len(chosen) - 1, min(len(chosen), 40)).astype(int)]
    readings = np.concatenate([log.amps[b * BLOCK * size : (b + 1) * BLOCK * size] for b in taken])
    off = float(np.std(means)) if len(means) > 1 else window_spread / np.sqrt(BLOCK)
    return Idle(
        zero, off, _spread(readings.astype(np.float64)), window_spread, len(chosen) * BLOCK * size * log.step
    )


def _spread(values: np.ndarray) -> float:
    """Standard deviation by the median of distances, which a few outliers do not move."""
    return 1.4826 * float(np.median(np.abs(values - np.median(values))))


def arcs(log: Log, idle: Idle | None = None) -> tuple[Span, ...]:
    """Stretches with an arc, pauses shorter than `arc_pause` bridged, stretches shorter than `arc_least` left
    out. `idle` is what the clamp reads without an arc, found here when it is not given."""
    limit = engineering().threshold
    idle = idle_of(log) if idle is None else idle
    size = _window(log)
    amps = _means(log.amps, size) if idle.seconds else _means(np.abs(log.amps), size)
    if not len(amps):
        return ()
    least = max(limit("arc_amps"), 6 * idle.window_spread)
    above = np.abs(amps - idle.zero)
    on = above >= least
    if idle.seconds:
        volts = np.abs(_means(log.volts, size))
        on &= ~((volts > limit("open_volts")) & (above < limit("idle_amps_most")))
    edges = np.flatnonzero(np.diff(np.concatenate(([False], on, [False])).astype(np.int8)))
    pause = limit("arc_pause") / (size * log.step)
    joined: list[tuple[int, int]] = []
    for start, stop in edges.reshape(-1, 2).tolist():
        if joined and start - joined[-1][1] <= pause:
            joined[-1] = (joined[-1][0], stop)
        else:
            joined.append((start, stop))
    single = idle.zero, max(limit("arc_amps"), 4 * idle.spread)
    found = [
        _trimmed(log, a * size, min(b * size, log.readings), size, *single)
        for a, b in joined
        # A few peaks of noise, far apart, are no arc.
        if np.count_nonzero(on[a:b]) >= 0.1 * (b - a) and float(above[a:b].mean()) >= least
    ]
    shortest = limit("arc_least")
    return tuple(span for span in found if len(span) * log.step >= shortest)


def _window(log: Log) -> int:
    return max(1, round(WINDOW / log.step))


def _means(row: np.ndarray, size: int) -> np.ndarray:
    """Means of windows; the last one may be shorter."""
    count = len(row) // size
    body = row[: count * size].reshape(count, size).mean(axis=1, dtype=np.float64)
    rest = row[count * size :]
    return np.append(body, rest.mean(dtype=np.float64)) if len(rest) else body


def _trimmed(log: Log, start: int, stop: int, size: int, zero: float, least: float) -> Span:
    """To the first and the last reading with current, looked for up to a window further out."""
    first, last = max(0, start - size), min(log.readings, stop + size)
    amps = log.amps[first:last]
    begin, end = first + _first_with(amps, zero, least), last - _first_with(amps[::-1], zero, least)
    return Span(begin, end) if end > begin else Span(start, stop)


def _first_with(amps: np.ndarray, zero: float, least: float) -> int:
    """Index of the first reading of so much current; looked for piece by piece, since it stands near the
    beginning."""
    for at in range(0, len(amps), LOOK):
        burning = np.abs(amps[at : at + LOOK] - zero) >= least
        if burning.any():
            return at + int(np.argmax(burning))
    return len(amps)
