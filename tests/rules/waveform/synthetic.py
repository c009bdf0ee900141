"""Waveforms with a known truth, and logs of them as files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from qualification.rules.waveform.log import Log


@dataclass(frozen=True, eq=False)
class Wave:
    """Volts and amperes at `rate` readings per second, with what they were made from."""

    volts: np.ndarray
    amps: np.ndarray
    rate: float
    truth: dict[str, float]

    def log(self) -> Log:
        return Log(self.volts, self.amps, 1 / self.rate, 0.0, (), (), 0)


def noisy(wave: Wave, rng: np.random.Generator, volts: float, amps: float) -> Wave:
    """With white noise of that standard deviation on both."""
    count = len(wave.volts)
    return Wave(
        wave.volts + rng.normal(0, volts, count),
        wave.amps + rng.normal(0, amps, count),
        wave.rate,
        wave.truth,
    )


def steady(seconds: float, rate: float, volts: float, amps: float) -> Wave:
    count = int(seconds * rate)
    truth = {"mean_volts": volts, "mean_amps": amps, "power": volts * amps}
    return Wave(np.full(count, volts), np.full(count, amps), rate, truth)


def pulsed(
    seconds: float,
    rate: float,
    frequency: float,
    duty: float,
    peak: tuple[float, float],
    base: tuple[float, float],
) -> Wave:
    """Rectangular pulses between (V, A) at the peak and in the background; every edge falls between
    readings."""
    time = (np.arange(int(seconds * rate)) + 0.5) / rate
    high = (time * frequency) % 1.0 < duty
    return Wave(
        np.where(high, peak[0], base[0]),
        np.where(high, peak[1], base[1]),
        rate,
        {
            "frequency": frequency,
            "duty": duty,
            "mean_volts": duty * peak[0] + (1 - duty) * base[0],
            "mean_amps": duty * peak[1] + (1 - duty) * base[1],
            "power": duty * peak[0] * peak[1] + (1 - duty) * base[0] * base[1],
            "rms_amps": float(np.sqrt(duty * peak[1] ** 2 + (1 - duty) * base[1] ** 2)),
        },
    )


def double_pulsed(
    seconds: float,
    rate: float,
    frequency: float,
    duty: float,
    slow: float,
    low_level: float,
    slow_share: float,
    drift: float = 0.0,
) -> Wave:
    """Pulses of 320 A over 60 A; in the low phase both are `low_level` times that. `drift` is the change of
    all currents over the whole, as a share of them."""
    time = (np.arange(int(seconds * rate)) + 0.5) / rate
    high = (time * frequency) % 1.0 < duty
    swell = np.where((time * slow) % 1.0 < slow_share, 1.0, low_level)
    amps = np.where(high, 320.0, 60.0) * swell * (1 + drift * (time / seconds - 0.5))
    volts = 14 + 0.04 * amps
    return Wave(
        volts,
        amps,
        rate,
        {
            "frequency": frequency,
            "slow": slow,
            "low_level": low_level,
            "slow_share": slow_share,
            "mean_amps": float(amps.mean()),
            "mean_volts": float(volts.mean()),
            "power": float((volts * amps).mean()),
        },
    )


def short_circuiting(
    seconds: float, rate: float, per_second: float, rng: np.random.Generator, length: float = 0.003
) -> Wave:
    """Arc at 20 V and 110 A, short circuits at 2 V with the current rising to 320 A, irregular in their
    times."""
    count = int(seconds * per_second)
    gaps = rng.lognormal(0, 0.3, count)
    begins = np.cumsum(gaps) / gaps.sum() * (seconds - length * 2)
    amps, volts = np.full(int(seconds * rate), 110.0), np.full(int(seconds * rate), 20.0)
    kept = 0
    for begin, after in zip(begins, np.append(begins[1:], seconds), strict=True):
        if after - begin < 2 * length:
            continue
        first, last = int(begin * rate), int((begin + length) * rate)
        volts[first:last] = 2.0
        amps[first:last] = np.linspace(110, 320, last - first)
        kept += 1
    return Wave(
        volts,
        amps,
        rate,
        {
            "shorts": kept / seconds,
            "share": kept * length / seconds,
            "power": float((volts * amps).mean()),
        },
    )


def with_pauses(wave: Wave, before: float, after: float) -> Wave:
    """With the arc out before and after, at an open voltage of 65 V."""
    first, last = int(before * wave.rate), int(after * wave.rate)
    volts = np.concatenate((np.full(first, 65.0), wave.volts, np.full(last, 65.0)))
    amps = np.concatenate((np.zeros(first), wave.amps, np.zeros(last)))
    return Wave(volts, amps, wave.rate, wave.truth)


def write_csv(
    path: Path,
    wave: Wave,
    *,
    delimiter: str = ",",
    decimal: str = ".",
    heading: str = "Time (s),Voltage (V),Current (A)",
    factors: tuple[float, float, float] = (1.0, 1.0, 1.0),
    preamble: str = "",
    end: str = "\n",
) -> Path:
    """One reading to a line. `factors` multiply time, volts and amperes before they are written."""
    times = np.arange(len(wave.volts)) / wave.rate
    rows = [heading.replace(",", delimiter)] if heading else []
    for t, v, a in zip(times * factors[0], wave.volts * factors[1], wave.amps * factors[2], strict=True):
        rows.append(delimiter.join((f"{t:.9g}", f"{v:.6g}", f"{a:.6g}")).replace(".", decimal))
    path.write_bytes((preamble + end.join(rows) + end).encode())
    return path
