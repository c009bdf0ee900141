"""Whether one energy per length lies below another, or whether the difference may be chance.

Energies come with a standard uncertainty; a difference counts when it is greater than so many of them as
`tables/engineering/waveform.toml` says (`difference_counts`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from .arithmetic.engineering import engineering
from .catalogue import Origin


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
    row = next(row for row in engineering().table("threshold") if row["key"] == "difference_counts")
    return Decimal(row["value"]), row.origin
