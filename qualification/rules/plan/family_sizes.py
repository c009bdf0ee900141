"""The sizes that welds of one family, alike in all else, ask of their coupons."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from ..core.facts import Facts, Weld
from ..core.values import Interval

SIZES = frozenset({"thickness_a", "thickness_b", "deposit_thickness", "position", "diameter"})
"""What welds of one family differ in."""
MOST_SIZES = 10
THINNEST_HALF = Decimal(3)
"""A coupon thinner than the work is planned down to so many mm; thinner ones are hard to weld and to bend."""


def without_sizes(facts: Facts) -> Facts:
    """The facts without thicknesses and diameters."""
    return Facts({key: value for key, value in facts.items() if key not in SIZES})


def thickest(weld: Weld) -> Decimal:
    """The greater thickness of either side in mm; 0 where neither is stated."""
    sides = (weld.joint["thickness_a"], weld.joint["thickness_b"])
    return max((s.high for s in sides if isinstance(s, Interval) and s.high is not None), default=Decimal(0))


def sizes_of(family: Sequence[tuple[Weld, int]]) -> list[Decimal]:
    """Every thickness the family names, and half of it where that is not too thin."""
    ends = {
        end
        for weld, line in family
        for value in (
            weld.joint["thickness_a"],
            weld.joint["thickness_b"],
            weld.lines[line]["deposit_thickness"],
        )
        if isinstance(value, Interval)
        for end in (value.low, value.high)
        if end
    }
    return sorted(ends | {end / 2 for end in ends if end / 2 >= THINNEST_HALF})


def spread(sizes: Sequence[Decimal]) -> list[Decimal]:
    """At most so many of them, the ends and the rest evenly between."""
    if len(sizes) <= MOST_SIZES:
        return list(sizes)
    return [sizes[n * (len(sizes) - 1) // (MOST_SIZES - 1)] for n in range(MOST_SIZES)]
