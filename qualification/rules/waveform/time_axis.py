"""The time column, looked through piece by piece and not kept while it is even: step and gaps.

Where it is not even (jitter, a rate that changes, repeated or backward times) it says so, and the log is read
again with its times kept (`uneven.py`).
"""

from __future__ import annotations

import numpy as np

from ..arithmetic.engineering import engineering
from .log import LogGap
from .problems import LogProblem

MOST_GAPS = 1_000
"""More gaps than this are a matter of the whole time column."""
EVEN = 0.01
"""Share by which the mean step of a piece may differ from that of the first."""


class UnevenError(Exception):
    """Readings do not come at even times."""


class TimeAxis:
    def __init__(self, has_time: bool, rate: float | None) -> None:
        self._has_time, self._rate = has_time, rate
        self._start = self._last = None  # type: float | None
        self._step = self._mean = self._limit = 0.0
        self._gaps: list[LogGap] = []
        self._missing = 0.0
        self._lines_missing = False

    def lines_missing(self) -> None:
        """Some lines held no reading: without a time column nothing else shows it."""
        self._lines_missing = True

    def take(self, times: np.ndarray | None, before: int) -> None:
        """Look through the times of one piece (s); `before` readings came earlier. Raises UnevenError."""
        if times is None or not len(times):
            return
        if self._start is None:
            self._start = float(times[0])
            self._learn_step(times)
        if self._last is not None:
            self._judge(float(times[0]) - self._last, before)
        self._last = float(times[-1])
        steps = np.diff(times)
        if not len(steps):
            return
        if self._step == 0.0 or float(steps.min()) < 0.4 * self._step:
            raise UnevenError
        long = 0.0
        count = len(steps)
        if steps.max() > self._limit:
            found = np.flatnonzero(steps > self._limit)
            if len(found) > MOST_GAPS:
                raise UnevenError
            for index in found:
                self._judge(float(steps[index]), before + int(index) + 1)
            long, count = float(steps[found].sum()), count - len(found)
        # A few readings say nothing of a rate.
        if count > 200 and abs((float(times[-1] - times[0]) - long) / count / self._mean - 1) > EVEN:
            raise UnevenError

    def _learn_step(self, times: np.ndarray) -> None:
        steps = np.diff(times[:100_000])
        if not len(steps) or float(steps.min()) <= 0:
            if len(steps):
                raise UnevenError
            return
        self._step = float(np.median(steps))
        usual = steps[steps < 1.6 * self._step]
        self._mean = float(usual.mean())
        # Times rounded to few digits make steps of one digit more or less.
        self._limit = max(engineering().threshold("gap_factor") * self._step, 1.8 * self._mean)

    def _judge(self, step: float, at: int) -> None:
        if step < 0.4 * self._step:
            raise UnevenError
        if step > self._limit:
            if len(self._gaps) >= MOST_GAPS:
                raise UnevenError
            self._gaps.append(LogGap(at, step - self._mean))
            self._missing += step - self._mean

    def finish(self, readings: int) -> tuple[float, float, tuple[LogGap, ...], list[LogProblem]]:
        """Step, start, gaps and what is to be said of them."""
        if not self._has_time or self._start is None or self._last is None:
            assert self._rate is not None
            lost = LogProblem(
                "gaps",
                "Without a time column the lines left out shorten the log; times after them are too early.",
            )
            return 1 / self._rate, 0.0, (), [lost] if self._lines_missing else []
        step = (self._last - self._start - self._missing) / max(1, readings - 1)
        return step, self._start, tuple(self._gaps), gap_problems(self._gaps)


def gap_problems(gaps: list[LogGap]) -> list[LogProblem]:
    """What is to be said of gaps in time."""
    if not gaps:
        return []
    first, missing = gaps[0], sum(gap.seconds for gap in gaps)
    return [
        LogProblem(
            "gaps",
            f"Time jumps {len(gaps)} {'time' if len(gaps) == 1 else 'times'}, {missing:.4g} s in all, "
            f"first by {first.seconds:.4g} s after reading {first.at}. What was not recorded is taken to be "
            "like the rest, and widens the uncertainty.",
        )
    ]
