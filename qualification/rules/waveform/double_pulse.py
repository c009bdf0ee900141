"""The slow modulation of a double-pulsed current: how often the pulse train swells, and how deep."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np

from ..arithmetic.engineering import engineering
from .log import Log
from .pulses import Cycles

REGULAR = 0.7
"""Share of the swells that have to be about as long as the usual one."""
TOGETHER = 0.03
"""Seconds of cycles whose mean is taken together: eight for each swell of 4 Hz."""
WITHIN_A_READING = 0.98
"""Share of the cycles whose lengths may differ by the sampling alone for all of them to be taken as equal."""
CONFIRMED = 0.5
"""Share of a swell's depth that the other reckoning of the means has to show as well."""
HIDDEN = 1.25
"""How much deeper than it shows in one reckoning a swell may be that the other does not show."""


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


def even_means(log: Log, cycles: Cycles, group: int) -> np.ndarray | None:
    """Means of `group` cycles each, from peak and background weighted by the duty of all cycles.

    Pulses and readings beat: one reading more or less falls in a peak, slowly in turn, and the plain means
    swell though the current does not. `None` where cycles or peaks differ by more than such a reading, so
    that the source itself has changed them.
    """
    begins, ends = cycles.begins, cycles.ends
    highs, lengths = ends - begins[:-1], np.diff(begins)
    equal = (np.abs(highs - highs.mean()) <= 1) & (np.abs(lengths - lengths.mean()) <= 1)
    if equal.mean() < WITHIN_A_READING or (highs < 1).any() or (lengths <= highs).any():
        return None
    edges = np.stack((begins[:-1], ends), axis=1).ravel()
    sums = np.add.reduceat(log.amps[begins[0] : begins[-1]].astype(float), edges - begins[0])
    firsts = np.arange(0, len(lengths) - len(lengths) % group, group)
    peaks, lows = (
        np.add.reduceat(part, firsts) / np.add.reduceat(count, firsts)
        for part, count in ((sums[::2], highs), (sums[1::2], lengths - highs))
    )
    duty = float(highs.sum() / lengths.sum())
    return duty * peaks + (1 - duty) * lows


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


@dataclass(frozen=True)
class Swell:
    """What can be said of a slow modulation: the one that was found, or how small a one would have been."""

    found: SlowModulation | None
    phases: Phases | None
    least_depth: float
    """A swell of less than this would not have been seen."""
    seconds: float
    """Arc time that was looked through."""

    @property
    def decided(self) -> bool:
        """True where a swell was found, or a usual one would have been."""
        limit = engineering().threshold
        return self.found is not None or (
            self.least_depth <= limit("slow_depth_usual")
            and self.seconds * limit("slow_usual") >= 0.98 * limit("slow_periods")
        )


def swell_of(log: Log, cycles: Cycles, seconds: float) -> Swell:
    """Looked for in the means of single cycles, then in those of a few together, which even out what single
    cycles owe to the rate of sampling. `seconds` is how long the arc burned."""
    step = float(np.median(np.diff(cycles.begins))) * log.step
    together = max(1, round(TOGETHER / step))
    depths = []
    for group in dict.fromkeys((1, together)):
        found, depth = _looked_for(log, cycles, group)
        if found is not None:
            return Swell(*found, depth, seconds)
        depths.append(depth)
    return Swell(None, None, min(depths), seconds)


def _looked_for(log: Log, cycles: Cycles, group: int) -> tuple[tuple[SlowModulation, Phases] | None, float]:
    """A swell in the means of `group` cycles each, and the least depth that would show in them."""
    limit = engineering().threshold
    coarse = Cycles(cycles.begins[::group], cycles.ends[::group])
    if len(coarse.begins) < 17:
        return None, 1.0
    means = cycle_means(log, coarse)
    times = (coarse.begins[:-1] + coarse.begins[1:]) * (log.step / 2)
    level = float(means.mean())
    if level <= 0:
        return None, 1.0
    rest = _without_trend(times, means)
    # A square swell of half the scatter's size explains `slow_share` of it.
    share = limit("slow_share")
    least = max(limit("slow_depth"), float(np.std(rest)) * sqrt(share / (1 - share)) / level)
    even = even_means(log, cycles, group)
    if even is None:
        made = _swell_in(times, means, rest)
    else:
        even = even[: len(times)]
        even_rest = _without_trend(times, even)
        made = _swell_in(times, even, even_rest)
        if made is not None and not _shown(made, rest):
            # The beat of the sampling may hide it in the plain means as well as make it there.
            return None, max(least, HIDDEN * made[0].depth)
        if made is None:
            made = _swell_in(times, means, rest)
            made = made if made is not None and _shown(made, even_rest) else None
    if made is None:
        return None, least
    phases = Phases(
        *(_spread_out(mask, group, len(cycles.begins) - 1) for mask in (made[1].high, made[1].low))
    )
    return (made[0], phases), least


def _without_trend(times: np.ndarray, means: np.ndarray) -> np.ndarray:
    return means - np.polynomial.Polynomial.fit(times, means, 2)(times)


def _swell_in(times: np.ndarray, means: np.ndarray, rest: np.ndarray) -> tuple[SlowModulation, Phases] | None:
    """A regular swell in the means, deep enough to count."""
    limit = engineering().threshold
    line = _line(times, rest, limit("slow_low"), limit("slow_high"))
    if line is None or line[1] < limit("slow_share"):
        return None
    made = _measured(times, means, rest, line[0], limit("slow_depth"))
    span = float(times[-1] - times[0] + np.median(np.diff(times)))
    if made is None or made[0].frequency * span < 0.95 * limit("slow_periods"):
        return None
    return made


def _shown(made: tuple[SlowModulation, Phases], other: np.ndarray) -> bool:
    """Whether means reckoned in the `other` way show that swell too."""
    slow, phases = made
    seen = float(np.median(other[phases.high]) - np.median(other[phases.low]))
    return seen >= CONFIRMED * (slow.high_amps - slow.low_amps)


def _spread_out(mask: np.ndarray, group: int, count: int) -> np.ndarray:
    """A mask of groups as one of their cycles."""
    wide = np.repeat(mask, group)[:count]
    return np.concatenate((wide, np.zeros(count - len(wide), bool)))


def _line(times: np.ndarray, rest: np.ndarray, low: float, high: float) -> tuple[float, float] | None:
    """Strongest line of the cycle means, and the share of their scatter that it and its overtones explain."""
    count = len(times)
    grid = np.linspace(times[0], times[-1], count)
    even = np.interp(grid, times, rest)
    step = (times[-1] - times[0]) / (count - 1)
    window = np.hanning(count)
    power = np.abs(np.fft.rfft((even - even.mean()) * window)) ** 2
    frequencies = np.fft.rfftfreq(count, step)
    slowest = 0.97 * engineering().threshold("slow_periods") / (count * step)
    first, last = np.searchsorted(frequencies, (max(low, slowest), min(high, 1 / step / 3)))
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
    falling = np.flatnonzero((state[1:] == -1) & (state[:-1] == 1)) + 1
    laps = np.concatenate((np.diff(times[rising]), np.diff(times[falling])))
    if not len(laps):
        return None
    good = laps[np.abs(laps / np.median(laps) - 1) < 0.3]
    # A hand that wanders makes swells too, but none that come at equal times.
    if len(good) < REGULAR * len(laps) or abs(good.mean() * frequency - 1) >= 0.2:
        return None
    # An edge is known to a cycle of the fast pulse.
    total = float(good.sum())
    frequency = len(good) / total
    edges = rising if len(rising) >= len(falling) else falling
    whole = slice(edges[0], edges[-1])
    widths = np.gradient(times)[whole]
    share = (
        float(widths[state[whole] == 1].sum() / widths.sum()) if len(widths) else float(np.mean(state == 1))
    )
    return SlowModulation(frequency, frequency * cycle / total, up, down, share), phases
