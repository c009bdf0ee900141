"""Where in a log the arc burns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .log import Log

LOOK = 1 << 16
"""Readings looked at together."""


@dataclass(frozen=True)
class Span:
    """Readings from `start` up to, not including, `stop`."""

    start: int
    stop: int

    def __len__(self) -> int:
        return self.stop - self.start


def arcs(log: Log) -> tuple[Span, ...]:
    """Stretches with current, pauses shorter than `arc_pause` bridged, stretches shorter than `arc_least`
    left out."""
    limit = engineering().threshold
    least, pause, shortest = limit("arc_amps"), limit("arc_pause"), limit("arc_least")
    window = max(1, int(pause / log.step / 4))
    whole = log.readings // window
    if whole == 0:
        return ()
    body = log.amps[: whole * window].reshape(whole, window)
    burning = np.maximum(body.max(axis=1), -body.min(axis=1)) >= least
    edges = np.flatnonzero(np.diff(np.concatenate(([False], burning, [False])).astype(np.int8)))
    runs = [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]
    joined: list[tuple[int, int]] = []
    for start, stop in runs:
        if joined and (start - joined[-1][1]) * window * log.step <= pause:
            joined[-1] = (joined[-1][0], stop)
        else:
            joined.append((start, stop))
    found = (_trimmed(log, a * window, min(b * window, log.readings), least) for a, b in joined)
    return tuple(span for span in found if len(span) * log.step >= shortest)


def _trimmed(log: Log, start: int, stop: int, least: float) -> Span:
    """To the first and the last reading with current."""
    amps = log.amps[start:stop]
    return Span(start + _first_with(amps, least), stop - _first_with(amps[::-1], least))


def _first_with(amps: np.ndarray, least: float) -> int:
    """Index of the first reading of so much current; looked for piece by piece, since it stands near the
    beginning."""
    for at in range(0, len(amps), LOOK):
        burning = np.abs(amps[at : at + LOOK]) >= least
        if burning.any():
            return at + int(np.argmax(burning))
    return len(amps)
