"""The time column, looked through piece by piece and not kept: step, gaps, and whether it runs backwards."""

from __future__ import annotations

import numpy as np

from ..arithmetic.engineering import engineering
from .log import Gap
from .problems import LogProblem, refuse

MOST_GAPS = 10_000


class TimeAxis:
    def __init__(self, has_time: bool, rate: float | None) -> None:
        self._has_time, self._rate = has_time, rate
        self._start = self._last = None  # type: float | None
        self._step: float | None = None
        self._resolution = 0.0
        self._gaps: list[Gap] = []
        self._missing = 0.0
        self._coarse = self._lines_missing = False

    def lines_missing(self) -> None:
        """Some lines held no reading: without a time column nothing else shows it."""
        self._lines_missing = True

    def take(self, times: np.ndarray | None, before: int) -> None:
        """Look through the times of one piece (s); `before` readings came earlier. Raises LogError where
        time runs backwards, or where there are more gaps than a log can have."""
        if times is None or not len(times):
            return
        if self._start is None:
            self._start = float(times[0])
            self._learn_step(times)
        steps = np.diff(times)
        if self._last is not None:
            self._judge(float(times[0]) - self._last, before, float(times[0]))
        self._last = float(times[-1])
        if not len(steps):
            return
        if steps.min() < 0:
            index = int(np.argmin(steps))
            self._backwards(float(times[index]), float(times[index + 1]))
        limit = self._limit()
        if steps.max() > limit:
            for index in np.flatnonzero(steps > limit)[: MOST_GAPS + 1]:
                self._judge(float(steps[index]), before + int(index) + 1, float(times[index + 1]))

    def _learn_step(self, times: np.ndarray) -> None:
        steps = np.diff(times[:100_000])
        positive = steps[steps > 0]
        if not len(positive):
            raise refuse(
                "rate", "The time column does not move on. Choose another column, or state the sample rate."
            )
        self._resolution = float(positive.min())
        self._coarse = len(positive) < len(steps)
        median = float(np.median(steps))
        self._step = (
            median
            if median > 0 and not self._coarse
            else float((times[:100_000][-1] - times[0]) / len(steps))
        )

    def _limit(self) -> float:
        assert self._step is not None
        # Repeated times jump by their own resolution; that is no gap.
        coarse = 2.5 * max(self._resolution, self._step) if self._coarse else 0.0
        return max(engineering().threshold("gap_factor") * self._step, coarse)

    def _judge(self, step: float, at: int, now: float) -> None:
        assert self._step is not None
        if step < 0:
            self._backwards(now - step, now)
        if step > self._limit():
            if len(self._gaps) >= MOST_GAPS:
                raise refuse(
                    "gaps",
                    f"The time column jumps more than {MOST_GAPS} times. Check which column is the time, "
                    "and its unit.",
                )
            self._gaps.append(Gap(at, step - self._step))
            self._missing += step - self._step

    @staticmethod
    def _backwards(before: float, after: float) -> None:
        raise refuse(
            "backwards",
            f"Time runs backwards, from {before:.6g} s to {after:.6g} s. Two recordings in one file? "
            "Split them, or choose "
            "the right time column.",
        )

    def finish(self, readings: int) -> tuple[float, float, tuple[Gap, ...], list[LogProblem]]:
        """Step, start, gaps and what is to be said of them."""
        problems: list[LogProblem] = []
        if not self._has_time or self._start is None or self._last is None:
            assert self._rate is not None
            if self._lines_missing:
                problems.append(
                    LogProblem(
                        "gaps",
                        "Without a time column the lines left out shorten the log; times after them are "
                        "too early.",
                    )
                )
            return 1 / self._rate, 0.0, (), problems
        step = (self._last - self._start - self._missing) / max(1, readings - 1)
        if self._coarse:
            problems.append(
                LogProblem(
                    "coarse_time",
                    "Times are written too coarsely: several readings share one. The step is taken from "
                    "the whole span, "
                    f"{1 / step:.5g} readings per second.",
                )
            )
        if self._gaps:
            first = self._gaps[0]
            problems.append(
                LogProblem(
                    "gaps",
                    f"Time jumps {len(self._gaps)} {'time' if len(self._gaps) == 1 else 'times'}, "
                    f"{self._missing:.4g} s in all, "
                    f"first by {first.seconds:.4g} s after reading {first.at}. Energy is reckoned from "
                    "what was recorded.",
                )
            )
        return step, self._start, tuple(self._gaps), problems
