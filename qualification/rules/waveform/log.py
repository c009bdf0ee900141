"""A log as read: volts and amperes at a steady step of time, with what had to be left out."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .problems import LogProblem

NOTHING = np.zeros(0, np.int64)


@dataclass(frozen=True)
class LogGap:
    at: int
    """Index of the first reading after it."""
    seconds: float
    """Time that is missing."""


@dataclass(frozen=True, eq=False)
class Log:
    volts: np.ndarray
    amps: np.ndarray
    step: float
    """Seconds between two readings."""
    start: float
    """Time of the first reading, s."""
    gaps: tuple[LogGap, ...]
    problems: tuple[LogProblem, ...]
    left_out: int
    """Lines that held no reading."""
    missing: int = 0
    """Readings that were bridged because their lines held none."""
    over: np.ndarray = field(default_factory=lambda: NOTHING)
    """Indices of readings beyond an instrument's range: they are at least what stands here."""

    @property
    def readings(self) -> int:
        return len(self.volts)

    @property
    def seconds(self) -> float:
        """Time that was recorded, gaps not counted."""
        return self.readings * self.step

    def time_of(self, index: int) -> float:
        """Seconds on the log's own clock."""
        return self.start + index * self.step + sum(gap.seconds for gap in self.gaps if gap.at <= index)
