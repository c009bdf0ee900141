"""Means, powers and energies of a log, each with its uncertainty.

The code's rule for waveform-controlled welding (QW-409.1(c)) takes the mean of instantaneous power, sum of
volts times amperes at each reading; mean volts times mean amperes is kept beside it to show the difference,
which is the covariance of the two and may be of either sign.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from .arcs import Span
from .log import Log

BLOCKS = 200
LONG_GAP = 0.05
"""Seconds without a reading in which an arc may go out and start again."""


@dataclass(frozen=True)
class Instrument:
    """Greatest error of the instruments in percent of reading, as their maker states it."""

    volts_percent: float
    amps_percent: float


@dataclass(frozen=True)
class Figure:
    """A figure with the parts of its standard uncertainty, all in its own unit."""

    value: float
    unit: str
    scatter: float
    """Of the mean, from how blocks of the log differ among themselves; 0 for a sum over the whole log."""
    sampling: float
    """From how the figure changes when every second reading is left out."""
    instrument: float | None = None
    """`None` where the instruments' errors are not stated, so not included."""
    unknown: float = 0.0
    """From what the log does not hold: missing readings, a cut-off range, the zero of the clamp, coarse
    steps."""

    @property
    def uncertainty(self) -> float:
        return sqrt(self.random**2 + (self.instrument or 0.0) ** 2)

    @property
    def random(self) -> float:
        """The uncertainty without the part of the instruments, which logs of one instrument share."""
        return sqrt(self.scatter**2 + self.sampling**2 + self.unknown**2)


@dataclass(frozen=True)
class Figures:
    seconds: float
    """Arc time by the clock of the log, with gaps inside an arc."""
    missing: float
    """Seconds of it that were not recorded."""
    mean_volts: Figure
    mean_amps: Figure
    rms_volts: Figure
    rms_amps: Figure
    mean_power: Figure
    """Average instantaneous power."""
    energy: Figure
    product_of_means: Figure
    """Mean volts times mean amperes."""
    product_of_rms: Figure
    difference_percent: Figure
    """Average instantaneous power against mean times mean; above zero when the measured power is higher."""


@dataclass(frozen=True)
class _Sums:
    """By block: count, and sums of v, i, v², i², v i; and the same of every second reading."""

    counts: np.ndarray
    full: np.ndarray
    half_counts: np.ndarray
    half: np.ndarray


@dataclass(frozen=True)
class Doubtful:
    """Standard uncertainties of what the readings themselves are off by, all of them alike."""

    volts: float = 0.0
    amps: float = 0.0
    """Of the zero and the steps of the converter, V and A."""
    power_share: float = 0.0
    """Of the power, where readings are cut off at the end of a range."""


def figures(
    log: Log,
    spans: Sequence[Span],
    instrument: Instrument | None = None,
    doubtful: Doubtful | None = None,
) -> Figures:
    """Over all `spans`. Raises ValueError when they hold no reading."""
    sums = _sums(log, spans)
    count = float(sums.counts.sum())
    if count == 0:
        raise ValueError("there is no reading to reckon from")
    estimates, half = (
        _estimates(sums.full.sum(axis=0) / count),
        _estimates(sums.half.sum(axis=0) / sums.half_counts.sum()),
    )
    scatter = _jackknife(sums)
    sampling = {key: abs(half[key] - value) for key, value in estimates.items()}
    errors = _instrument_errors(estimates, instrument)
    gaps = [gap.seconds for gap in log.gaps if any(s.start < gap.at < s.stop for s in spans)]
    missing = sum(gaps) + log.missing * log.step
    unknown = _unknown(estimates, doubtful or Doubtful(), _of_gaps(sums, estimates, gaps, log))

    def figure(key: str, unit: str) -> Figure:
        return Figure(
            estimates[key],
            unit,
            scatter[key],
            sampling[key],
            errors.get(key) if instrument else None,
            unknown[key],
        )

    power = figure("mean_power", "W")
    seconds = count * log.step + sum(gaps)
    # An energy is a sum over what was welded: it does not scatter, but its first and last reading may be cut.
    ends = abs(power.value) * log.step * len(spans)
    energy = Figure(
        power.value * seconds,
        "J",
        0.0,
        sqrt((power.sampling * seconds) ** 2 + ends**2),
        None if power.instrument is None else power.instrument * seconds,
        power.unknown * seconds,
    )
    return Figures(
        seconds=seconds,
        missing=missing,
        mean_volts=figure("mean_volts", "V"),
        mean_amps=figure("mean_amps", "A"),
        rms_volts=figure("rms_volts", "V"),
        rms_amps=figure("rms_amps", "A"),
        mean_power=power,
        energy=energy,
        product_of_means=figure("product_of_means", "W"),
        product_of_rms=figure("product_of_rms", "W"),
        difference_percent=figure("difference_percent", "%"),
    )


def _of_gaps(sums: _Sums, estimates: dict[str, float], gaps: list[float], log: Log) -> float:
    """Share by which the mean power may be off for what gaps hide. In a short gap single readings may be
    anything that the log has; over a longer one they even out, as blocks of the log do; of a long one it is
    not known whether the arc burned at all."""
    power, seconds = estimates["mean_power"], float(sums.counts.sum()) * log.step
    if not gaps or not power:
        return 0.0
    block = float(np.median(sums.counts)) * log.step
    between = float(np.std(sums.full[:, 4] / sums.counts)) / abs(power) if len(sums.counts) > 1 else 0.0
    single = sqrt(max(0.0, estimates["rms_volts"] ** 2 * estimates["rms_amps"] ** 2 / power**2 - 1)) + between
    total = 0.0
    for gap in gaps:
        share = single if gap < block else max(between, single * sqrt(block / gap))
        total += (gap * (share if gap < LONG_GAP else max(share, 0.3))) ** 2
    return sqrt(total) / (seconds + sum(gaps))


def _unknown(estimates: dict[str, float], doubtful: Doubtful, gaps: float) -> dict[str, float]:
    """The part of the uncertainty that no reading shows, for each figure."""
    volts, amps = abs(estimates["mean_volts"]), abs(estimates["mean_amps"])
    shift = hypot(doubtful.volts * amps, doubtful.amps * volts)
    power = hypot(shift, abs(estimates["mean_power"]) * hypot(gaps, doubtful.power_share))
    product = hypot(shift, abs(estimates["product_of_means"]) * hypot(gaps, doubtful.power_share))
    return {
        "mean_volts": hypot(doubtful.volts, volts * gaps),
        "mean_amps": hypot(doubtful.amps, amps * hypot(gaps, doubtful.power_share)),
        "rms_volts": hypot(doubtful.volts, volts * gaps),
        "rms_amps": hypot(doubtful.amps, abs(estimates["rms_amps"]) * hypot(gaps, doubtful.power_share)),
        "mean_power": power,
        "product_of_means": product,
        "product_of_rms": product,
        "difference_percent": 100 * doubtful.power_share,
    }


def _sums(log: Log, spans: Sequence[Span]) -> _Sums:
    size = max(2, sum(map(len, spans)) // BLOCKS)
    parts = [
        slice(at, min(at + size, span.stop)) for span in spans for at in range(span.start, span.stop, size)
    ]
    rows = [_products(log.volts[part], log.amps[part]) for part in parts]
    counts, full, half_counts, half = zip(*rows, strict=True) if rows else ((), (), (), ())
    return _Sums(np.array(counts), np.array(full), np.array(half_counts), np.array(half))


def _products(volts: np.ndarray, amps: np.ndarray) -> tuple[int, np.ndarray, int, np.ndarray]:
    """Count and sums of all readings, and of every second one, in double precision. Not by `np.dot`: the
    library behind it wakes threads for each short row, which takes longer than the sum."""
    halves = []
    for first in (0, 1):
        v, i = volts[first::2].astype(np.float64), amps[first::2].astype(np.float64)
        halves.append(np.array((v.sum(), i.sum(), _dot(v, v), _dot(i, i), _dot(v, i))))
    return len(volts), halves[0] + halves[1], (len(volts) + 1) // 2, halves[0]


def _dot(a: np.ndarray, b: np.ndarray) -> float:
    return float(np.einsum("i,i->", a, b))


def _estimates(means: np.ndarray) -> dict[str, float]:
    v, i, vv, ii, vi = (float(x) for x in means)
    product = v * i
    return {
        "mean_volts": v,
        "mean_amps": i,
        "rms_volts": sqrt(vv),
        "rms_amps": sqrt(ii),
        "mean_power": vi,
        "product_of_means": product,
        "product_of_rms": sqrt(vv * ii),
        "difference_percent": 100 * (vi / product - 1) if product else 0.0,
    }


def _jackknife(sums: _Sums) -> dict[str, float]:
    """Standard errors by leaving out one block at a time: right for products and roots of means too."""
    n = len(sums.counts)
    if n < 2:
        return dict.fromkeys(_estimates(sums.full[0] / sums.counts[0]), 0.0)
    without = (sums.full.sum(axis=0) - sums.full) / (sums.counts.sum() - sums.counts)[:, None]
    each = [_estimates(row) for row in without]
    return {key: float(sqrt((n - 1) * np.var([estimate[key] for estimate in each]))) for key in each[0]}


def _instrument_errors(estimates: dict[str, float], instrument: Instrument | None) -> dict[str, float]:
    """The stated limits taken as even spreads: divided by the root of three. Shares of errors cancel in a
    ratio."""
    if instrument is None:
        return {}
    v, i = instrument.volts_percent / 100 / sqrt(3), instrument.amps_percent / 100 / sqrt(3)
    both = sqrt(v * v + i * i)
    shares = {
        "mean_volts": v,
        "rms_volts": v,
        "mean_amps": i,
        "rms_amps": i,
        "mean_power": both,
        "product_of_means": both,
        "product_of_rms": both,
        "difference_percent": 0.0,
    }
    return {key: abs(estimates[key]) * share for key, share in shares.items()}
