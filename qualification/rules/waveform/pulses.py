"""Pulses of the current: how often, how high, how long. Levels are crossed with hysteresis around a middle
that follows the current, so that drift and a slow modulation do not lose pulses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .arcs import Span
from .log import Log

SPECTRUM, FAST = 1 << 17, 15.0
HYSTERESIS = 0.15
"""Of the local swing, to each side of the middle: noise of a third of the swing does not cross it twice."""
CHOSEN = 2000
"""Pulses looked at for levels, spread over the arc."""


@dataclass(frozen=True)
class Pulses:
    frequency: float
    """Hz: cycles by the time they took."""
    frequency_uncertainty: float
    peak_amps: float
    background_amps: float
    peak_volts: float
    background_volts: float
    peak_time: float
    """s above the middle."""
    background_time: float
    period_scatter: float
    """Standard deviation of the period as a share of it."""
    samples_per_pulse: float

    @property
    def duty(self) -> float:
        """Share of the cycle spent above the middle."""
        return self.peak_time / (self.peak_time + self.background_time)


@dataclass(frozen=True, eq=False)
class Cycles:
    """Where cycles begin and peak phases end, as indices into the log; one more beginning than cycles."""

    begins: np.ndarray
    ends: np.ndarray
    """End of the peak phase of each cycle."""


def line_frequency(amps: np.ndarray, rate: float) -> float | None:
    """Frequency in Hz of the strongest line; a fast one is preferred where it is no overtone of a slow
    one."""
    for target in (5000.0, rate):
        every = max(1, int(rate / target))
        usable = min(len(amps) // every, SPECTRUM)
        if usable < 64:
            continue
        first = (len(amps) - usable * every) // 2
        body = amps[first : first + usable * every].reshape(usable, every).mean(axis=1)
        body = body - body.mean()
        lines = np.abs(np.fft.rfft(body * np.hanning(usable)))
        frequencies = np.fft.rfftfreq(usable, every / rate)
        slow = _peak(lines, frequencies, 3 * rate / every / usable, FAST)
        fast = _peak(lines, frequencies, FAST, rate / every / 3)
        # A square wave's overtones fall off with their number, so one at ten times its frequency has a tenth
        # of it.
        if fast is not None and (slow is None or fast[1] >= 0.25 * slow[1]):
            if fast[0] < 0.25 * rate / every or every == 1:
                return fast[0]
            continue
        if slow is not None:
            return slow[0]
    return None


def _peak(lines: np.ndarray, frequencies: np.ndarray, low: float, high: float) -> tuple[float, float] | None:
    first, last = np.searchsorted(frequencies, (low, high))
    if last <= first:
        return None
    index = first + int(np.argmax(lines[first:last]))
    return float(frequencies[index]), float(lines[index])


def find_cycles(amps: np.ndarray, rate: float, frequency: float) -> Cycles | None:
    """Cycles near `frequency`; `None` when there are too few. Indices count from the beginning of `amps`."""
    window = int(1.7 * rate / frequency) + 1
    count = len(amps) // window
    if count < 3:
        return None
    body = amps[: count * window].reshape(count, window)
    low, high = _steadied(body.min(axis=1)), _steadied(body.max(axis=1))
    middle, reach = (low + high) / 2, HYSTERESIS * (high - low)
    ups = _crossings((body > (middle + reach)[:, None]).ravel())
    downs = _crossings((body < (middle - reach)[:, None]).ravel())
    return _paired(ups, downs)


def _steadied(levels: np.ndarray) -> np.ndarray:
    """Median of three neighbours: a single spike moves no level."""
    padded = np.concatenate((levels[:1], levels, levels[-1:]))
    return np.median(np.stack((padded[:-2], padded[1:-1], padded[2:])), axis=0)


def _crossings(beyond: np.ndarray) -> np.ndarray:
    return np.flatnonzero(beyond[1:] > beyond[:-1]) + 1


def _paired(ups: np.ndarray, downs: np.ndarray) -> Cycles | None:
    """Ups and downs in turn: of several in a row, the first."""
    at = np.concatenate((ups, downs))
    is_up = np.concatenate((np.ones(len(ups), bool), np.zeros(len(downs), bool)))
    order = np.argsort(at, kind="stable")
    at, is_up = at[order], is_up[order]
    if not len(at):
        return None
    first = np.concatenate(([True], is_up[1:] != is_up[:-1]))
    at, is_up = at[first], is_up[first]
    if not is_up[0]:
        at, is_up = at[1:], is_up[1:]
    begins, ends = at[is_up], at[~is_up]
    if len(begins) < 2:
        return None
    return Cycles(begins, ends[: len(begins) - 1])


def pulses(log: Log, span: Span) -> tuple[Pulses, Cycles] | None:
    """The pulses of one arc, with their cycles (indices into the log). `None` where the current does not
    pulse: too few cycles, too small a swing, or no regularity."""
    limit = engineering().threshold
    amps, rate = log.amps[span.start : span.stop], 1 / log.step
    frequency = line_frequency(amps, rate)
    found = find_cycles(amps, rate, frequency) if frequency else None
    if found is None or len(found.begins) - 1 < limit("pulses_least"):
        return None
    periods = np.diff(found.begins).astype(float)
    typical = float(np.median(periods))
    change = float(np.median(np.abs(np.diff(periods)))) / typical
    if change > max(limit("pulse_regular"), 1.5 / typical):
        return None
    placed = Cycles(found.begins + span.start, found.ends + span.start)
    made = measured(log, placed, np.ones(len(periods), bool))
    if made is None or made.peak_amps - made.background_amps < limit("pulse_swing") * float(amps.mean()):
        return None
    return made, placed


def _undisturbed(periods: np.ndarray) -> np.ndarray:
    """Cycles as long as their neighbours: one that lost a pulse, or spans a gap in the log, is not."""
    padded = np.concatenate((periods[:2], periods, periods[-2:]))
    near = np.median(np.stack([padded[i : i + len(periods)] for i in range(5)]), axis=0)
    return np.abs(periods - near) < 0.4 * near


def measured(log: Log, found: Cycles, wanted: np.ndarray) -> Pulses | None:
    """The pulses of the `wanted` cycles; `None` where fewer than two of them are undisturbed."""
    periods = np.diff(found.begins).astype(float)
    regular = wanted & _undisturbed(periods)
    good = periods[regular]
    if len(good) < 2:
        return None
    period, count = float(good.mean()), len(good)
    high = float((found.ends - found.begins[:-1])[regular].mean())
    chosen = np.unique(np.linspace(0, len(periods) - 1, min(CHOSEN, len(periods))).astype(int))
    chosen = chosen[regular[chosen]]
    begins, ends, after = found.begins[chosen], found.ends[chosen], found.begins[chosen + 1]
    peaks, lows = _inside(begins, ends), _inside(ends, after)
    scatter = float(good.std()) / period
    # Each edge is known to within a reading, but only the first and the last bound the time of all cycles.
    uncertainty = np.hypot(scatter / np.sqrt(count), 0.6 / (period * count)) / (period * log.step)
    return Pulses(
        frequency=1 / (period * log.step),
        frequency_uncertainty=float(uncertainty),
        peak_amps=float(np.median(log.amps[peaks])),
        background_amps=float(np.median(log.amps[lows])),
        peak_volts=float(np.median(log.volts[peaks])),
        background_volts=float(np.median(log.volts[lows])),
        peak_time=high * log.step,
        background_time=(period - high) * log.step,
        period_scatter=scatter,
        samples_per_pulse=period,
    )


def _inside(begins: np.ndarray, ends: np.ndarray) -> np.ndarray:
    """Readings in the middle of each phase, clear of its edges."""
    lengths = (ends - begins)[:, None]
    return (begins[:, None] + (lengths * np.array([[0.35, 0.45, 0.55, 0.65]])).astype(int)).ravel()
