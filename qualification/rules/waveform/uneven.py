"""Readings at uneven times, laid on an even grid by their time stamps.

Times may be written so coarsely that many readings share one (then the readings are even and the stamps are
not), jitter, change their rate, lack lines, or run backwards from line to line. Everything that is reckoned
afterwards goes by the time of a reading, never by its number.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .log import LogGap
from .problems import LogProblem, refuse
from .time_axis import gap_problems

BLOCK = 64
"""Steps whose median is the usual step at that place."""
MOST_GAPS, MOST_GRID = 10_000, 4
"""More gaps than this are no log; the grid has at most so many times the readings."""


@dataclass(frozen=True, eq=False)
class Even:
    rows: tuple[np.ndarray, ...]
    step: float
    start: float
    gaps: tuple[LogGap, ...]
    problems: tuple[LogProblem, ...]


def evened(times: np.ndarray, rows: tuple[np.ndarray, ...]) -> Even:
    """`rows` of readings at `times` (s) at an even step. Raises LogError where time runs backwards in the
    middle, does not move, or jumps too often."""
    problems: list[LogProblem] = []
    steps = np.diff(times)
    if not np.any(steps != 0):
        raise refuse(
            "rate", "The time column does not move on. Choose another column, or state the sample rate."
        )
    if np.all(steps <= 0):
        times, rows = times[::-1], tuple(row[::-1] for row in rows)
        steps = np.diff(times)
        problems.append(
            LogProblem(
                "backwards",
                "Time runs backwards from line to line: the last reading stands first. The log was turned "
                "round.",
            )
        )
    if steps.min() < 0:
        times, rows = _sorted(times, rows, steps)
        steps = np.diff(times)
    if np.count_nonzero(steps == 0) > 0.01 * len(steps):
        made = _coarse(times, rows)
    else:
        if steps.min() == 0:
            kept = np.concatenate(([True], steps > 0))
            times, rows = times[kept], tuple(row[kept] for row in rows)
        made = _by_stamps(times, rows)
    return Even(made.rows, made.step, made.start, made.gaps, (*problems, *made.problems))


def _sorted(
    times: np.ndarray, rows: tuple[np.ndarray, ...], steps: np.ndarray
) -> tuple[np.ndarray, tuple[np.ndarray, ...]]:
    """Readings a few lines out of order, put in order; anything further back is refused."""
    usual = float(np.median(steps[steps > 0]))
    if float(steps.min()) < -5 * usual or np.count_nonzero(steps < 0) > 0.2 * len(steps):
        at = int(np.argmin(steps))
        raise refuse(
            "backwards",
            f"Time runs backwards, from {times[at]:.6g} s to {times[at + 1]:.6g} s. Two recordings in one "
            "file? Split them, or choose the right time column.",
        )
    order = np.argsort(times, kind="stable")
    return times[order], tuple(row[order] for row in rows)


def _coarse(times: np.ndarray, rows: tuple[np.ndarray, ...]) -> Even:
    """Even readings whose stamps are too coarse: the step is the time of all by their number."""
    first = np.flatnonzero(np.concatenate(([True], np.diff(times) > 0)))
    if len(first) < 4:
        raise refuse(
            "rate",
            "The time column holds fewer than four different times. Export it with more digits, or choose no "
            "time column and state the readings per second.",
        )
    widths, counts = np.diff(times[first]), np.diff(first).astype(float)
    order = np.argsort(widths / counts)
    weight = np.cumsum(counts[order])
    step = float((widths / counts)[order][np.searchsorted(weight, weight[-1] / 2)])
    near = _block_medians(widths)
    excess = widths - counts * step
    gap = excess > 1.5 * np.maximum(near, step)
    if np.count_nonzero(gap) > MOST_GAPS:
        raise _too_many()
    missing = float(excess[gap].sum())
    step = float((times[first[-1]] - times[first[0]] - missing) / (first[-1] - first[0]))
    gaps = [LogGap(int(first[i + 1]), float(excess[i])) for i in np.flatnonzero(gap)]
    coarse = LogProblem(
        "coarse_time",
        f"Times are written too coarsely: several readings share one. The step is taken from the whole span, "
        f"{1 / step:.5g} readings per second.",
    )
    start = float(times[0])
    return Even(rows, step, start, tuple(gaps), (coarse, *gap_problems(gaps)))


def _by_stamps(times: np.ndarray, rows: tuple[np.ndarray, ...]) -> Even:
    """Readings between which one may go straight from one to the next, on a grid as fine as the finest rate
    that lasts."""
    steps = np.diff(times)
    near = _block_medians(steps)
    gap = np.flatnonzero(steps > 2.5 * near)
    if len(gap) > MOST_GAPS:
        raise _too_many()
    grid = float(np.percentile(near, 10))
    span = float(times[-1] - times[0])
    grid = max(grid, span / (MOST_GRID * len(times)))
    edges = np.concatenate(([0], gap + 1, [len(times)]))
    made: list[list[np.ndarray]] = [[] for _ in rows]
    gaps: list[LogGap] = []
    count, last = 0, 0.0
    for begin, end in zip(edges[:-1], edges[1:], strict=True):
        piece = times[begin:end]
        points = piece[0] + grid * np.arange(int((piece[-1] - piece[0]) / grid + 1e-6) + 1)
        if count:
            gaps.append(LogGap(count, max(0.0, float(points[0]) - last - grid)))
        for listed, row in zip(made, rows, strict=True):
            listed.append(np.interp(points, piece, row[begin:end]).astype(row.dtype))
        count, last = count + len(points), float(points[-1])
    problems = gap_problems(gaps)
    if float(np.percentile(near, 95)) > 1.1 * float(np.percentile(near, 5)):
        fastest, slowest = 1 / np.percentile(near, 5), 1 / np.percentile(near, 95)
        problems.insert(
            0,
            LogProblem(
                "uneven_time",
                f"The rate changes, from {slowest:.4g} to {fastest:.4g} readings per second. Figures go by "
                "the time stamps.",
            ),
        )
    elif float(np.std(steps[steps < 2.5 * near])) > 0.1 * grid:
        problems.insert(
            0,
            LogProblem(
                "uneven_time",
                "Readings come at uneven times. Figures go by the time stamps.",
            ),
        )
    return Even(
        tuple(np.concatenate(each) for each in made), grid, float(times[0]), tuple(gaps), tuple(problems)
    )


def _block_medians(steps: np.ndarray) -> np.ndarray:
    """For each step the median of the steps around it."""
    count = len(steps)
    if count <= BLOCK:
        return np.full(count, np.median(steps))
    whole = count // BLOCK
    medians = np.median(steps[: whole * BLOCK].reshape(whole, BLOCK), axis=1)
    return np.concatenate((np.repeat(medians, BLOCK), np.full(count - whole * BLOCK, medians[-1])))


def _too_many() -> Exception:
    least = engineering().threshold("samples_least")
    return refuse(
        "gaps",
        f"The time column jumps more than {MOST_GAPS} times. Check which column is the time, and its unit; "
        f"a log has at least {least:.0f} readings one after the other.",
    )
