"""What one pass lays down: area of the bead from feed and travel, and the fillet that follows from it.

Lengths in mm, speeds in mm/min. Square roots are taken in Decimal.
"""

from __future__ import annotations

from decimal import Decimal

from .wire import wire_area

TWO = Decimal(2)


def pass_area(diameter: Decimal, feed: Decimal, travel: Decimal, efficiency: Decimal = Decimal(1)) -> Decimal:
    """Cross-section in mm² of the metal one pass adds. Raises ValueError for a travel speed not above
    zero."""
    if travel <= 0:
        raise ValueError("the travel speed has to be above zero")
    return wire_area(diameter) * feed / travel * efficiency


def leg_of(area: Decimal) -> Decimal:
    """Leg in mm of a flat fillet with equal legs: area = leg² / 2."""
    return (TWO * area).sqrt()


def throat_of(area: Decimal) -> Decimal:
    """Throat in mm of the same fillet: area = throat²."""
    return area.sqrt()


def fillet_area(leg: Decimal, other_leg: Decimal | None = None) -> Decimal:
    """Area in mm² of a flat fillet: half the product of its legs."""
    return leg * (leg if other_leg is None else other_leg) / 2


def travel_for_leg(
    diameter: Decimal, feed: Decimal, leg: Decimal, efficiency: Decimal = Decimal(1)
) -> Decimal:
    """Travel speed in mm/min at which one pass gives a fillet of `leg` mm."""
    return wire_area(diameter) * feed * efficiency / fillet_area(leg)


def passes_needed(area: Decimal, per_pass: Decimal) -> int:
    """Whole passes that fill `area`; both in the same unit. Raises ValueError unless both are above zero."""
    if area <= 0 or per_pass <= 0:
        raise ValueError("both areas have to be above zero")
    return int((area / per_pass).to_integral_value(rounding="ROUND_CEILING"))
