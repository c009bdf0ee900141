"""What a weld states, in the shape arithmetic needs: numbers with both ends, the one wire, the one gas."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..core.facts import Facts
from ..core.values import Interval
from ..materials.catalogue import Filler, find_filler
from . import deposit, wire

PULSED = frozenset({"pulsed", "double_pulsed"})


@dataclass(frozen=True)
class Wire:
    filler: Filler
    diameter: Decimal


def pass_area_of(facts: Facts) -> Interval | None:
    """mm² one pass adds, from the lowest feed at the highest travel to the reverse."""
    diameter, feed, travel = (number(facts, key) for key in ("filler_diameter", "wire_feed", "travel_speed"))
    if diameter is None or not diameter.is_point or feed is None or travel is None:
        return None
    process = facts.choice("process")
    if process is None:
        return None
    try:
        least, most, _ = wire.yield_of(process, facts.choice("transfer_mode"))
    except wire.NotTabled:
        return None
    size = low(diameter)
    return Interval(
        deposit.pass_area(size, low(feed), high(travel), least),
        deposit.pass_area(size, high(feed), low(travel), most),
    )


def wire_of(facts: Facts) -> Wire | None:
    """The solid wire of one size (mm) that a line states; `None` for any other filler."""
    name, diameter = facts.choice("filler_classification"), number(facts, "filler_diameter")
    if name is None or diameter is None or not diameter.is_point:
        return None
    filler = find_filler(name)
    return Wire(filler, low(diameter)) if filler is not None and filler.form == "solid" else None


def number(facts: Facts, key: str) -> Interval | None:
    """A stated number with both ends above zero; `None` otherwise."""
    value = facts.interval(key)
    bounded = value is not None and value.low is not None and value.high is not None and value.low > 0
    return value if bounded else None


def low(interval: Interval) -> Decimal:
    """The lower end of an interval that has one (see `number`)."""
    assert interval.low is not None
    return interval.low


def high(interval: Interval) -> Decimal:
    """The upper end of an interval that has one (see `number`)."""
    assert interval.high is not None
    return interval.high
