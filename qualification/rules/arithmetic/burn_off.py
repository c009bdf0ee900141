"""Wire feed, current and deposition belong together: what one says of the other, from published settings.

Empirical, so floats inside. For aluminium the published settings share one burn-off, about 10 g of wire per
ampere and hour whatever the size; for steel the rule of thumb gives one for each size. The spread of the rows
that were used is given with every answer, and is not an error bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..catalogue import Origin
from ..values import Interval
from .engineering import Row, engineering
from .wire import NotTabled, density_of, wire_area


@dataclass(frozen=True)
class BurnOff:
    """Grams of wire melted per ampere and hour."""

    least: float
    middle: float
    most: float
    rows: int
    origins: tuple[Origin, ...]


def burn_off(family: str, diameter: Decimal) -> BurnOff:
    """From the published settings for wire of that size (mm); for a size without a row, from all sizes of the
    family between the least and the greatest one tabled. Raises NotTabled outside them."""
    listed = [row for row in engineering().table("feed") if row["family"] == family]
    near = same_size(listed, diameter)
    if not near:
        sizes = [row["diameter"] for row in listed]
        if not sizes or not min(sizes) <= diameter <= max(sizes):
            raise NotTabled(f"no wire feed is tabled for {family} wire of {diameter.normalize():f} mm")
        near = listed
    density = float(density_of(family)[0])
    found = [
        float(wire_area(row["diameter"])) * float(row["feed"]) * 60 * density / 1000 / float(row["amps"])
        for row in near
    ]
    return BurnOff(
        min(found),
        sum(found) / len(found),
        max(found),
        len(found),
        tuple(dict.fromkeys(r.origin for r in near)),
    )


def same_size(rows: list[Row], diameter: Decimal) -> list[Row]:
    """The rows for wire sold as the same size (3/64 in and 1.2 mm); where several sizes are as near, the
    nearest."""
    within = engineering().tolerance("same_size")
    near = [row for row in rows if abs(row["diameter"] / diameter - 1) <= within]
    if not near:
        return []
    closest = min(abs(row["diameter"] - diameter) for row in near)
    return [row for row in near if abs(row["diameter"] - diameter) == closest]


def current_for_feed(family: str, diameter: Decimal, feed: Decimal) -> Interval:
    """Amperes that wire of `diameter` (mm) fed at `feed` (mm/min) usually draws. Raises NotTabled."""
    rate = burn_off(family, diameter)
    grams = float(wire_area(diameter) * feed) * 60 * float(density_of(family)[0]) / 1000
    return Interval(_decimal(grams / rate.most), _decimal(grams / rate.least))


def feed_for_current(family: str, diameter: Decimal, amps: Decimal) -> Interval:
    """Feed in mm/min that a current usually melts. Raises NotTabled."""
    rate = burn_off(family, diameter)
    per_gram = 1000 / (float(wire_area(diameter)) * 60 * float(density_of(family)[0]))
    return Interval(
        _decimal(float(amps) * rate.least * per_gram), _decimal(float(amps) * rate.most * per_gram)
    )


def melting_speed(family: str, diameter: Decimal, amps: float, extension: float) -> float:
    """Wire melted in mm/s by arc and resistance: a I + b L I², with the extension L in mm.

    The constants are remembered ones, for one size of each metal. Raises NotTabled for any other.
    """
    for row in same_size([r for r in engineering().table("melting") if r["family"] == family], diameter):
        return float(row["arc_term"]) * amps + float(row["extension_term"]) * extension * amps * amps
    raise NotTabled(f"no melting constants are tabled for {family} wire of {diameter.normalize():f} mm")


def _decimal(value: float) -> Decimal:
    """Six figures: the formula is empirical, and more would only look exact."""
    return Decimal(f"{value:.6g}")
