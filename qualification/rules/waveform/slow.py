"""The slow modulation of a double-pulsed current: how often the pulse train swells, and how deep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .cycles import Cycles
from .log import Log


@dataclass(frozen=True)
class SlowModulation:
    frequency: float
    """Hz."""
    frequency_uncertainty: float
    high_amps: float
    """Mean current of the cycles in the high phase; extremes of a rounded swell lie further out."""
    low_amps: float
    high_share: float
    """Share of the time spent in the high phase."""

    @property
    def low_level_percent(self) -> float:
        """Mean current of the low phase as a share of the high phase."""
        return 100 * self.low_amps / self.high_amps

    @property
    def depth(self) -> float:
        """Difference of the phases as a share of their sum."""
        return (self.high_amps - self.low_amps) / (self.high_amps + self.low_amps)


def cycle_means(log: Log, cycles: Cycles) -> np.ndarray:
    """Mean current of each cycle."""
    begins = cycles.begins
    sums = np.add.reduceat(log.amps[begins[0] : begins[-1]], begins[:-1] - begins[0])
    return sums / np.diff(begins)


@dataclass(frozen=True, eq=False)
class Phases:
    """Which cycles lie wholly in the high and in the low phase."""

    high: np.ndarray
    low: np.ndarray


def drift_percent(log: Log, cycles: Cycles, phases: Phases | None) -> float:
    """Change of the cycle means over the arc, by a straight line, in percent of their mean.

    High and low phase have a level each, or a swell that ends otherwise than it began would pass for drift.
    """
    means = cycle_means(log, cycles)
    high, low = (
        (np.ones(len(means), bool), np.zeros(len(means), bool))
        if phases is None
        else (phases.high, phases.low)
    )
    used = high | low
    time = np.linspace(-0.5, 0.5, len(means))
    terms = np.stack((time, high, low), axis=1)[used]
    slope = np.linalg.lstsq(terms.astype(float), means[used], rcond=None)[0][0]
    return 100 * float(slope) / float(means.mean())


def slow_modulation(log: Log, cycles: Cycles) -> tuple[SlowModulation, Phases] | None:
    """`None` where the cycle means do not swell and sink in a rhythm of their own."""
    limit = engineering().threshold
    means = cycle_means(log, cycles)
    if len(means) < 16:
        return None
    times = (cycles.begins[:-1] + cycles.begins[1:]) * (log.step / 2)
    trend = np.polynomial.Polynomial.fit(times, means, 2)(times)
    rest = means - trend
    found = _line(times, rest, limit("slow_low"), limit("slow_high"))
    if found is None:
        return None
    frequency, share = found
    if share < limit("slow_share"):
        return None
    return _measured(times, means, rest, frequency, limit("slow_depth"))


def _line(times: np.ndarray, rest: np.ndarray, low: float, high: float) -> tuple[float, float] | None:
    """Strongest line of the cycle means, and the share of their scatter that it and its overtones explain."""
    count = len(times)
    grid = np.linspace(times[0], times[-1], count)
    even = np.interp(grid, times, rest)
    step = (times[-1] - times[0]) / (count - 1)
    window = np.hanning(count)
    power = np.abs(np.fft.rfft((even - even.mean()) * window)) ** 2
    frequencies = np.fft.rfftfreq(count, step)
    first, last = np.searchsorted(frequencies, (max(low, 3 / (count * step)), min(high, 1 / step / 3)))
    if last <= first or power.sum() == 0:
        return None
    peak = first + int(np.argmax(power[first:last]))
    share = sum(
        float(power[max(1, n * peak - 2 - n // 2) : n * peak + 3 + n // 2].sum())
        for n in range(1, 10)
        if n * peak < len(power)
    ) / float(power[1:].sum())
    return float(frequencies[peak]), share


def _measured(
    times: np.ndarray, means: np.ndarray, rest: np.ndarray, frequency: float, least_depth: float
) -> tuple[SlowModulation, Phases] | None:
    low, high = np.percentile(rest, (8, 92))
    middle, reach = (low + high) / 2, 0.15 * (high - low)
    state = np.where(rest > middle + reach, 1, np.where(rest < middle - reach, -1, 0))
    known = np.flatnonzero(state)
    state = state[known][np.maximum(np.searchsorted(known, np.arange(len(rest)), side="right") - 1, 0)]
    rising = np.flatnonzero((state[1:] == 1) & (state[:-1] == -1)) + 1
    # Away from the edges a cycle lies wholly in one phase.
    inner = np.concatenate(([False], (state[1:-1] == state[:-2]) & (state[1:-1] == state[2:]), [False]))
    ups, downs = (state == 1) & inner, (state == -1) & inner
    if ups.sum() < 3 or downs.sum() < 3:
        return None
    level = float(means.mean())
    up, down = level + float(np.median(rest[ups])), level + float(np.median(rest[downs]))
    if (up - down) / (up + down) < least_depth:
        return None
    cycle, phases = float(np.median(np.diff(times))), Phases(ups, downs)
    if len(rising) >= 3:
        laps = np.diff(times[rising])
        good = laps[np.abs(laps / np.median(laps) - 1) < 0.3]
        if abs(good.mean() * frequency - 1) < 0.2:
            # An edge is known to a cycle of the fast pulse.
            total = float(good.sum())
            frequency = len(good) / total
            whole = slice(rising[0], rising[-1])
            widths = np.gradient(times)[whole]
            share = float(widths[state[whole] == 1].sum() / widths.sum())
            return SlowModulation(frequency, frequency * cycle / total, up, down, share), phases
    uncertainty = 0.5 / float(times[-1] - times[0])
    return SlowModulation(frequency, uncertainty, up, down, float(np.mean(state == 1))), phases
