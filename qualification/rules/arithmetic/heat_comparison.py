"""Whether one way of welding puts in less energy per length than another, or whether the difference may be
chance.

Three levels are kept apart: readings of one pass (its own uncertainty), passes of one coupon (matched by
their place in the weld, root with root), and coupons, whose scatter decides what may be said of the next one.
The scatter is that of the coupons where there are enough of them, with Student's t (NIST/SEMATECH e-Handbook
of Statistical Methods, 1.3.5.3), else the usual one of `tables/engineering/waveform.toml` (`coupon_scatter`).
The error of an instrument is the same in everything it recorded, so it cancels between two sides that name
the same one. Margins hold in about 95 of 100 cases.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from math import hypot, log, sqrt

from ..materials.catalogue import Origin
from .engineering import EngineeringRow, engineering


@dataclass(frozen=True)
class Energy:
    """Energy per length and its standard uncertainty, both in kJ/in."""

    value: Decimal
    uncertainty: Decimal


@dataclass(frozen=True)
class Difference:
    """One energy against another, in percent of the other."""

    percent: Decimal
    uncertainty: Decimal
    """Standard uncertainty of the difference, in percent of the other."""
    counts: bool
    """The difference is greater than its uncertainty explains."""


def mean_of(energies: Sequence[Energy]) -> Energy:
    """Mean of several welds. Its uncertainty is that of the measurements or that of the scatter among them,
    whichever is greater. Raises ValueError without one."""
    count = len(energies)
    if not count:
        raise ValueError("there is no energy to take the mean of")
    value = sum((each.value for each in energies), Decimal(0)) / count
    measured = sum((each.uncertainty**2 for each in energies), Decimal(0)).sqrt() / count
    if count == 1:
        return Energy(value, measured)
    spread = sum(((each.value - value) ** 2 for each in energies), Decimal(0)) / (count - 1)
    return Energy(value, max(measured, (spread / count).sqrt()))


def difference(one: Energy, other: Energy) -> Difference:
    """`one` against `other`; their uncertainties are taken as independent. Raises ValueError for an energy
    that is not above zero."""
    if one.value <= 0 or other.value <= 0:
        raise ValueError("an energy per length is above zero")
    gap, off = one.value - other.value, (one.uncertainty**2 + other.uncertainty**2).sqrt()
    return Difference(100 * gap / other.value, 100 * off / other.value, abs(gap) > times_counted()[0] * off)


def times_counted() -> tuple[Decimal, Origin]:
    """How many standard uncertainties a difference has to exceed, and where that was read."""
    row = threshold_row("difference_counts")
    return Decimal(row["value"]), row.origin


def threshold_row(key: str) -> EngineeringRow:
    """One row of the thresholds, with where it was read. Raises StopIteration for one that is not there."""
    return next(row for row in engineering().table("threshold") if row["key"] == key)


@dataclass(frozen=True)
class PassHeat:
    """Energy per length of one pass, kJ/in, with its standard uncertainties."""

    position: int
    """Which pass of the weld it is, counted from 1."""
    value: Decimal
    random: Decimal
    """Of this reading alone."""
    instruments: Decimal
    """That everything recorded by the same instruments shares."""
    recorder: str = ""
    """What it was recorded with; empty where that is not stated."""
    at_least: bool = False
    """The arc put in more, by how much is not known."""


@dataclass(frozen=True)
class Coupon:
    name: str
    passes: tuple[PassHeat, ...]


class HeatContrast(StrEnum):
    LESS = "less"
    MORE = "more"
    NO_DIFFERENCE = "no_difference"
    NOT_COMPARABLE = "not_comparable"


@dataclass(frozen=True)
class HeatComparison:
    """One side against the other, in percent of the other."""

    answer: HeatContrast
    because: str = ""
    """Why the two cannot be compared; empty where they can."""
    percent: float = 0.0
    margin: float = 0.0
    """The true difference lies within so much of `percent` in 95 of 100 cases."""
    counts_from: float = 0.0
    """The smallest difference that would be called real, percent."""
    between_coupons: float = 0.0
    """Standard deviation from coupon to coupon that was taken, percent."""
    usual_scatter: bool = False
    """It is the usual one of the tables, since there are too few coupons to tell."""
    positions: tuple[int, ...] = ()
    """Passes that were compared."""
    left_out: tuple[str, ...] = ()
    """Coupons without those passes."""
    means: tuple[float, float] = (0.0, 0.0)
    """Of both sides, kJ/in, over the passes compared."""
    of_these: float = 0.0
    """By how much these very coupons may be off in their difference, by measuring alone, percent."""
    shared_instruments: bool = False


LEAST_DEGREES = 4
"""Degrees of freedom from which the scatter of the coupons alone is taken; with two, Student's factor is 4.3
and hides nearly every difference."""
USUAL_DEGREES = 4
"""How many degrees of freedom the usual scatter is worth beside fewer of the coupons' own (a choice of
ours)."""
HOLDS, COUNTS = 0.975, 0.99
"""Quantiles of the margin, which holds the truth in 95 of 100, and of what counts as real: taken more
strictly, so that of 100 pairs without a difference no more than a few are called different."""


def compare(ones: Sequence[Coupon], others: Sequence[Coupon]) -> HeatComparison:
    """The coupons of one way of welding against those of another."""
    sides = [[_without_bounds(c) for c in side] for side in (ones, others)]
    if not all(any(c.passes for c in side) for side in sides):
        if any(p.at_least for c in (*ones, *others) for p in c.passes):
            return _cannot("readings are cut off at the end of an instrument's range")
        return _cannot("one side has no energy per length")
    positions = _matched(sides)
    if not positions:
        return _cannot("no pass of the same place in the weld was measured on both sides")
    used = [[c for c in side if _positions(c) >= positions] for side in sides]
    left_out = tuple(c.name for side in sides for c in side if not _positions(c) >= positions)
    values = [[_coupon_value(c, positions) for c in side] for side in used]
    first, second = (sum(v for v, _ in side) / len(side) for side in values)
    if first <= 0 or second <= 0:
        return _cannot("an energy per length is not above zero")
    counts = [len(side) for side in values]
    degrees = sum(counts) - 2
    shares = [
        (value / mean - 1, random / mean)
        for side, mean in zip(values, (first, second), strict=True)
        for value, random in side
    ]
    seen = sqrt(sum(off * off for off, _ in shares) / degrees) if degrees else 0.0
    measuring = sqrt(sum(random * random for _, random in shares) / len(shares))
    usual = degrees < LEAST_DEGREES
    spread = _spread(seen, measuring, degrees) if usual else seen
    root = sqrt(1 / counts[0] + 1 / counts[1])
    shared, instruments = _instruments(used, positions)
    ratio = first / second

    def margin(level: float) -> float:
        of_coupons = _factor(level, degrees) * spread * root
        return hypot(of_coupons, _factor(level, 0) * instruments)

    percent, counts_from = 100 * (ratio - 1), margin(COUNTS)
    answer = HeatContrast.NO_DIFFERENCE
    # By the logarithm it is the same difference whichever side comes first.
    if abs(log(ratio)) > counts_from:
        answer = HeatContrast.LESS if percent < 0 else HeatContrast.MORE
    return HeatComparison(
        answer,
        "",
        percent,
        100 * ratio * margin(HOLDS),
        100 * counts_from,
        100 * spread,
        usual,
        tuple(sorted(positions)),
        left_out,
        (first, second),
        100 * ratio * _factor(HOLDS, 0) * hypot(measuring * root, instruments),
        shared,
    )


def _spread(seen: float, measuring: float, degrees: int) -> float:
    """Scatter from coupon to coupon where these tell little: the usual one and their own, each by its
    weight."""
    usual = hypot(engineering().threshold("coupon_scatter"), measuring)
    weight = USUAL_DEGREES + degrees
    return sqrt((USUAL_DEGREES * usual**2 + degrees * seen**2) / weight)


def _factor(level: float, degrees: int) -> float:
    """How many standard deviations leave `level` below: by Student's t, with the usual scatter counted as
    `USUAL_DEGREES` where the coupons' own are few, and by the normal distribution where there are none."""
    from scipy.special import ndtri, stdtrit

    if degrees == 0:
        return float(ndtri(level))
    return float(stdtrit(degrees + (USUAL_DEGREES if degrees < LEAST_DEGREES else 0), level))


def _cannot(because: str) -> HeatComparison:
    return HeatComparison(HeatContrast.NOT_COMPARABLE, because)


def _without_bounds(coupon: Coupon) -> Coupon:
    return Coupon(coupon.name, tuple(each for each in coupon.passes if not each.at_least))


def _positions(coupon: Coupon) -> frozenset[int]:
    return frozenset(each.position for each in coupon.passes)


def _matched(sides: Sequence[Sequence[Coupon]]) -> frozenset[int]:
    """The passes all coupons have; where there is none, the one that most coupons of the poorer side have."""
    everywhere = frozenset.intersection(*(_positions(c) for side in sides for c in side))
    if everywhere:
        return everywhere
    counts = [Counter(p for c in side for p in _positions(c)) for side in sides]
    both = {p: min(counts[0][p], counts[1][p]) for p in counts[0] if p in counts[1]}
    return frozenset({max(both, key=lambda p: (both[p], -p))}) if both else frozenset()


def _coupon_value(coupon: Coupon, positions: frozenset[int]) -> tuple[float, float]:
    """Mean over the passes, several readings of one pass first, and its uncertainty by measuring."""
    means, squares = [], 0.0
    for position in positions:
        of_pass = [each for each in coupon.passes if each.position == position]
        means.append(sum(float(each.value) for each in of_pass) / len(of_pass))
        squares += sum(float(each.random) ** 2 for each in of_pass) / len(of_pass) ** 2
    return sum(means) / len(means), sqrt(squares) / len(means)


def _instruments(used: Sequence[Sequence[Coupon]], positions: frozenset[int]) -> tuple[bool, float]:
    """Whether one instrument recorded all of it, and what remains of its error in the ratio, as a share."""
    weights: list[Mapping[str, tuple[float, float]]] = []
    for number, side in enumerate(used):
        readings = [each for c in side for each in c.passes if each.position in positions]
        total = sum(float(each.value) for each in readings)
        of_side: dict[str, tuple[float, float]] = {}
        for each in readings:
            # What is not stated is taken as one instrument for each side.
            name = each.recorder.casefold() or f"side {number}"
            weight, error = of_side.get(name, (0.0, 0.0))
            share = float(each.value) / total
            of_side[name] = (weight + share, error + share * float(each.instruments / each.value))
        weights.append(of_side)
    names = {name for side in weights for name in side}
    squares = 0.0
    for name in names:
        one, other = (side.get(name, (0.0, 0.0)) for side in weights)
        if one[0] + other[0]:
            error = (one[1] + other[1]) / (one[0] + other[0])
            squares += ((one[0] - other[0]) * error) ** 2
    return len(names) == 1, sqrt(squares)
