"""Short circuits: the wire touches the pool and the voltage falls to what wire and pool alone leave of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .arcs import Span
from .log import Log


@dataclass(frozen=True)
class ShortCircuits:
    count: int
    rate: float
    """Per second of arc time."""
    mean_time: float
    """s; 0 where there is none."""
    share: float
    """Of the arc time."""
    mean_amps: float | None
    """Current in short circuit; `None` where there is none."""


def short_circuits(log: Log, spans: Sequence[Span]) -> ShortCircuits:
    """Over all arcs: from a fall below `short_volts` to the return above `arc_again_volts`."""
    limit = engineering().threshold
    low, again, least = limit("short_volts"), limit("arc_again_volts"), limit("short_least") / log.step
    begins, ends = [], []
    seconds = sum(map(len, spans)) * log.step
    for span in spans:
        volts = log.volts[span.start : span.stop]
        below = volts < low
        falls = np.flatnonzero(below[1:] > below[:-1]) + 1
        if not len(falls):
            continue
        above = volts > again
        returns = np.flatnonzero(above[1:] > above[:-1]) + 1
        nearest = np.searchsorted(returns, falls)
        ended = nearest < len(returns)
        falls, returned = falls[ended], returns[nearest[ended]]
        # Bounces within one short circuit share its return; the first fall counts.
        first = (
            np.concatenate(([True], returned[1:] != returned[:-1])) if len(returned) else np.zeros(0, bool)
        )
        long_enough = (returned - falls >= least) & first
        begins.append(falls[long_enough] + span.start)
        ends.append(returned[long_enough] + span.start)
    starts = np.concatenate(begins) if begins else np.zeros(0, int)
    stops = np.concatenate(ends) if ends else np.zeros(0, int)
    count = len(starts)
    if not count:
        return ShortCircuits(0, 0.0, 0.0, 0.0, None)
    lengths = stops - starts
    middles = (starts + stops) // 2
    return ShortCircuits(
        count,
        count / seconds,
        float(lengths.mean()) * log.step,
        float(lengths.sum()) * log.step / seconds,
        float(log.amps[middles].mean()),
    )
