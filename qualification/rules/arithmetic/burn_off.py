"""Wire feed, current and deposition belong together: what one says of the other.

Empirical, so floats inside. For aluminium the published settings share one burn-off, about 10 g of wire per
ampere and hour whatever the size. Steel wire also heats on its way from the tip to the arc, so that its feed
grows faster than the current: there the melting formula is used, with the spread of its usual extensions.
The spread is given with every answer, and is not an error bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import sqrt

from ..core.values import Interval
from ..materials.catalogue import Origin
from .engineering import EngineeringRow, engineering
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


def same_size(rows: list[EngineeringRow], diameter: Decimal) -> list[EngineeringRow]:
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
    if (melting := _melting(family, diameter)) is not None:
        return Interval(
            _decimal(melting.current(float(feed), melting.longest, melting.most)),
            _decimal(melting.current(float(feed), melting.shortest, melting.least)),
        )
    rate = burn_off(family, diameter)
    grams = float(wire_area(diameter) * feed) * 60 * float(density_of(family)[0]) / 1000
    return Interval(_decimal(grams / rate.most), _decimal(grams / rate.least))


def feed_for_current(family: str, diameter: Decimal, amps: Decimal) -> Interval:
    """Feed in mm/min that a current usually melts. Raises NotTabled."""
    if (melting := _melting(family, diameter)) is not None:
        return Interval(
            _decimal(melting.feed(float(amps), melting.shortest, melting.least)),
            _decimal(melting.feed(float(amps), melting.longest, melting.most)),
        )
    rate = burn_off(family, diameter)
    per_gram = 1000 / (float(wire_area(diameter)) * 60 * float(density_of(family)[0]))
    return Interval(
        _decimal(float(amps) * rate.least * per_gram), _decimal(float(amps) * rate.most * per_gram)
    )


def basis_of(family: str, diameter: Decimal) -> tuple[str, tuple[Origin, ...]]:
    """What the two answers above rest on: words for their spread, and rows. Raises NotTabled."""
    if (melting := _melting(family, diameter)) is not None:
        words = (
            f"the melting formula with {melting.shortest:.0f} to {melting.longest:.0f} mm of wire beyond the "
            f"tip, ± {100 * (melting.most - 1):.0f}\u202f%"
        )
        return words, (melting.origin,)
    rate = burn_off(family, diameter)
    return f"the spread of {rate.rows} published settings", rate.origins


@dataclass(frozen=True)
class _Melting:
    """The melting formula for one wire: feed in mm/min from amperes and extension in mm."""

    arc: float
    extension: float
    shortest: float
    """Usual extensions, in mm."""
    longest: float
    least: float
    """Factors by which the answer may be off."""
    most: float
    origin: Origin

    def feed(self, amps: float, length: float, off: float) -> float:
        return 60 * off * (self.arc * amps + self.extension * length * amps * amps)

    def current(self, feed: float, length: float, off: float) -> float:
        wire, square = feed / 60 / off, self.extension * length
        return (sqrt(self.arc * self.arc + 4 * square * wire) - self.arc) / (2 * square)


def _melting(family: str, diameter: Decimal) -> _Melting | None:
    """The formula for that size (mm); `None` for a family that has published settings instead.

    Raises NotTabled for a size out of its reach.
    """
    for row in engineering().table("melting"):
        if row["family"] != family:
            continue
        if not (row["sizes"].low <= diameter <= row["sizes"].high):
            raise NotTabled(f"no melting is tabled for {family} wire of {diameter.normalize():f} mm")
        arc, extension = _of_size(row, diameter)
        off, reach = float(row["off"]) / 100, row["extension"]
        return _Melting(
            arc,
            extension,
            float(reach.low * diameter),
            float(reach.high * diameter),
            1 - off,
            1 + off,
            row.origin,
        )
    return None


def _of_size(row: EngineeringRow, diameter: Decimal) -> tuple[float, float]:
    """Constants for another size: the arc melts by volume, and resistance heats by the current's density."""
    section = float(row["diameter"] / diameter) ** 2
    return float(row["arc_term"]) * section, float(row["extension_term"]) * section * section


def _decimal(value: float) -> Decimal:
    """Six figures: the formula is empirical, and more would only look exact."""
    return Decimal(f"{value:.6g}")
