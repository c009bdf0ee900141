"""Where the readings of a column stop because the instrument does: cut off at the end of its range, or no
finer than its steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .arcs import Span
from .log import Log

FEW = 8
"""Fewer different readings than this do not tell the steps of a converter."""
PIECES, SIZE = 40, 5000
"""How many pieces of a log are looked at, and how many readings each has."""


@dataclass(frozen=True)
class Clipped:
    """Readings under the arc that stand at the end of a range: the arc had more."""

    quantity: str
    level: float
    share: float


def clipped(log: Log, spans: Sequence[Span]) -> tuple[Clipped, ...]:
    """Voltage and current where they are cut off under the arc."""
    found = []
    for quantity, row in (("voltage", log.volts), ("current", log.amps)):
        looked = _looked(row, spans)
        level = _plateau(looked)
        if level is not None:
            found.append(Clipped(quantity, level, float(np.mean(np.abs(looked) >= level * (1 - 1e-6)))))
    return tuple(found)


def over_range_share(log: Log, spans: Sequence[Span]) -> float:
    """Share of the readings under the arc for which the log says that a range was exceeded."""
    if not len(log.over):
        return 0.0
    inside = sum(int(np.count_nonzero((log.over >= s.start) & (log.over < s.stop))) for s in spans)
    return inside / max(1, sum(map(len, spans)))


def cut_power_share(log: Log, spans: Sequence[Span], cut: Sequence[Clipped]) -> float:
    """Share of the energy that stands in readings which are cut off, by the readings as they are."""
    if not cut and not len(log.over):
        return 0.0
    volts, amps = _looked(log.volts, spans), _looked(log.amps, spans)
    watts = np.abs(volts * amps)
    total = float(watts.sum())
    at_end = np.zeros(len(watts), bool)
    for each in cut:
        row = volts if each.quantity == "voltage" else amps
        at_end |= np.abs(row) >= each.level * (1 - 1e-6)
    share = float(watts[at_end].sum()) / total if total else 0.0
    inside = [log.over[(log.over >= s.start) & (log.over < s.stop)] for s in spans]
    beyond = np.concatenate(inside) if inside else log.over
    if len(beyond) and total:
        mean = total / len(watts)
        lost = float(np.abs(log.volts[beyond].astype(np.float64) * log.amps[beyond]).sum())
        share = max(share, lost / (mean * sum(map(len, spans))))
    return share


def _looked(row: np.ndarray, spans: Sequence[Span]) -> np.ndarray:
    """Pieces of neighbouring readings, spread over the arcs."""
    pieces = max(1, PIECES // len(spans))
    found = []
    for span in spans:
        if len(span) <= pieces * SIZE:
            found.append(row[span.start : span.stop])
        else:
            found += [
                row[at : at + SIZE] for at in np.linspace(span.start, span.stop - SIZE, pieces).astype(int)
            ]
    return np.concatenate(found).astype(np.float64)


def step_of(looked: np.ndarray) -> float:
    """The least difference between two readings that differ; 0 where too few values tell it."""
    values = np.unique(looked[:SIZE])
    if len(values) < FEW:
        return 0.0
    least = float(np.diff(values).min())
    # Where nearly every reading differs from all others, the step is too fine to matter.
    return least if len(values) < len(looked[:SIZE]) / 5 else 0.0


def _noise(looked: np.ndarray, level: float) -> float:
    """Standard deviation from reading to reading, away from `level` and from edges."""
    away = np.abs(looked) < level * (1 - 1e-6)
    steps = np.diff(looked)[away[1:] & away[:-1]]
    if len(steps) < 20:
        return 0.0
    small = steps[np.abs(steps) < 0.1 * (float(np.max(np.abs(looked))) or 1.0)]
    return float(np.sqrt(np.mean(small**2) / 2)) if len(small) else 0.0


def _plateau(looked: np.ndarray) -> float | None:
    """The level at which readings pile up, above which there is none, while elsewhere they scatter.

    Without noise a flat top is simply what the arc had; with noise it would scatter like the rest.
    """
    sizes = np.abs(looked)
    if len(np.unique(sizes[:SIZE])) < FEW:
        # Steps so coarse that the topmost is full by itself.
        return None
    least = engineering().threshold("clipped_least")
    for share in (100.0, 99.9):
        level = float(np.percentile(sizes, share))
        at_end = float(np.mean(sizes >= level * (1 - 1e-6)))
        noise = _noise(looked, level)
        if level <= 0 or at_end < least or noise <= 0 or noise < step_of(looked):
            continue
        if float(np.mean(np.abs(sizes - level) <= level * 1e-6)) < 0.9 * at_end:
            continue
        near = float(
            np.mean((sizes < level * (1 - 1e-6)) & (sizes > level - 2 * max(noise, step_of(looked))))
        )
        if at_end > 0.5 * near and noise > 1e-4 * level:
            return level
    return None


def step_uncertainty(log: Log, spans: Sequence[Span]) -> tuple[float, float]:
    """Standard uncertainty of means, in V and A, from the steps of the converter: where the noise is smaller
    than a step, a mean is no better than the step."""
    found = []
    for row in (log.volts, log.amps):
        looked = _looked(row, spans)[:SIZE]
        step = step_of(looked)
        noise = _noise(looked, float(np.max(np.abs(looked))) * 2) if step else 0.0
        found.append(step / np.sqrt(12) if step and noise < 0.5 * step else 0.0)
    return found[0], found[1]
