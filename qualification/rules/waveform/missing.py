"""Lines that held no reading, in a log whose other lines tell where they belong: short stretches are bridged,
longer ones cut out as gaps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..arithmetic.engineering import engineering
from .log import Log, LogGap
from .time_axis import gap_problems


def whole(log: Log) -> Log:
    """The log without readings that are not numbers."""
    bad = ~(np.isfinite(log.volts) & np.isfinite(log.amps))
    count = int(np.count_nonzero(bad))
    if count == 0:
        return log
    if count == len(bad):
        return Log(log.volts[:0], log.amps[:0], log.step, log.start, (), log.problems, count)
    at = np.flatnonzero(bad)
    edges = np.flatnonzero(np.diff(at) > 1)
    begins, ends = at[np.concatenate(([0], edges + 1))], at[np.concatenate((edges, [len(at) - 1]))] + 1
    longest = max(2, round(engineering().threshold("interpolated_most") / log.step))
    short = (ends - begins <= longest) & (begins > 0) & (ends < len(bad))
    volts, amps = log.volts, log.amps
    bridged = np.concatenate(
        [np.arange(a, b) for a, b in zip(begins[short], ends[short], strict=True)] or [at[:0]]
    )
    if len(bridged):
        good = np.flatnonzero(~bad)
        for row in (volts, amps):
            row[bridged] = np.interp(bridged, good, row[good])
    cut = bad.copy()
    cut[bridged] = False
    shift = np.concatenate(([0], np.cumsum(cut)))
    gaps = [LogGap(gap.at - int(shift[gap.at]), gap.seconds) for gap in log.gaps]
    # What is missing before the first or after the last reading is no gap.
    holes = [
        LogGap(int(a - shift[a]), float(b - a) * log.step)
        for a, b in zip(begins[~short], ends[~short], strict=True)
        if a > 0 and b < len(bad)
    ]
    gaps += holes
    start = log.start + float(ends[0]) * log.step if begins[0] == 0 else log.start
    over = log.over[~cut[log.over]]
    return replace(
        log,
        volts=volts[~cut],
        amps=amps[~cut],
        start=start,
        problems=(*log.problems, *gap_problems(holes)),
        gaps=tuple(sorted(gaps, key=lambda gap: gap.at)),
        left_out=count,
        missing=int(len(bridged)),
        over=over - shift[over],
    )
