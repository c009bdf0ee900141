"""What one trial coupon cost: hours, wire and plate by what was read on it and the shop's own rates.

A part that cannot be told is named as missing, and the sum is then the least it cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from qualification.rules.arithmetic import wire
from qualification.rules.arithmetic.weld_inputs import high, low, number, wire_of
from qualification.rules.core.facts import Facts
from qualification.rules.core.units import US
from qualification.rules.materials.catalogue import find_metal
from qualification.rules.plan.costs import PLATE, STEEL, Rates
from qualification.rules.plan.rates_written import MEASURES, rate_in
from qualification.rules.trials.pass_readings import PassReading

CENT = Decimal("0.01")
MM3_PER_CM3 = Decimal(1000)
G_PER_KG = Decimal(1000)


@dataclass(frozen=True)
class CostPart:
    """One share of the cost, and what it was worked out from."""

    label: str
    money: Decimal
    how: str


@dataclass(frozen=True)
class TrialCost:
    parts: tuple[CostPart, ...]
    missing: tuple[str, ...]
    """What was left out, and which entry would bring it in."""

    @property
    def total(self) -> Decimal:
        return sum((part.money for part in self.parts), Decimal(0)).quantize(CENT)

    @property
    def words(self) -> str:
        """The sum; “at least” where something is missing."""
        return f"{'at least ' if self.missing else ''}{self.total:.2f}"


def trial_cost(facts: Facts, passes: Sequence[PassReading], rates: Rates, system: str) -> TrialCost:
    """Cost of the coupon, in the currency of the rates, worked out in words of one unit system."""
    parts = [
        CostPart(
            "Set-up",
            rates.hour * rates.setup_hours,
            f"{rates.setup_hours.normalize():f} h at {rates.hour.normalize():f}",
        )
    ]
    missing = []
    seconds = sum(((low(p.arc_time) + high(p.arc_time)) / 2 for p in passes if p.arc_time), Decimal(0))
    if not seconds or not all(p.arc_time for p in passes):
        missing.append("welding time and wire: enter the arc time of every pass")
    kilos = _wire_melted(facts, seconds) if seconds else None
    if kilos is not None:
        hours = kilos / rates.kg_per_hour
        parts.append(
            CostPart(
                "Welding, waiting included",
                rates.hour * hours,
                f"{_wire_words(kilos, system)} of wire at {_rate('kg_per_hour', rates, system)} an hour",
            )
        )
        parts.append(
            CostPart(
                "Wire",
                kilos * rates.filler_kg,
                f"{_wire_words(kilos, system)} at {_rate('filler_kg', rates, system)}",
            )
        )
    elif seconds:
        parts.append(CostPart("Arc time", rates.hour * seconds / 3600, f"{seconds / 60:.1f} min of arc"))
        missing.append("wire: enter wire, its size and the feed")
    plate = _plate(facts, passes, rates, system)
    if plate is None:
        missing.append("plate: enter metal, thickness and the length of a pass")
    else:
        parts.append(plate)
    return TrialCost(tuple(CostPart(p.label, p.money.quantize(CENT), p.how) for p in parts), tuple(missing))


def _wire_melted(facts: Facts, seconds: Decimal) -> Decimal | None:
    """kg of solid wire fed in that time."""
    spool, feed = wire_of(facts), number(facts, "wire_feed")
    if spool is None or feed is None:
        return None
    try:
        density = wire.density_of(spool.filler.family)[0]
    except wire.NotTabled:
        return None
    length = (low(feed) + high(feed)) / 2 * seconds / 60
    return wire.wire_area(spool.diameter) * length * density / MM3_PER_CM3 / G_PER_KG


def _plate(facts: Facts, passes: Sequence[PassReading], rates: Rates, system: str) -> CostPart | None:
    """Both plates together, as wide as is usual for a coupon and as long as its longest pass."""
    thickness, name = number(facts, "thickness_a"), facts["base_metal_a"]
    lengths = [high(p.length) for p in passes if p.length]
    metal = find_metal(next(iter(name))) if isinstance(name, frozenset) and name else None
    if thickness is None or metal is None or not lengths:
        return None
    density = metal.density or STEEL
    kilos = max(lengths) * PLATE[1] * high(thickness) * density / MM3_PER_CM3 / G_PER_KG
    rate = "aluminum_kg" if metal.family == "aluminium" else "steel_kg"
    mass = f"{kilos / wire.POUND:.1f} lb" if system == US else f"{kilos:.1f} kg"
    width = f"{PLATE[1] / wire.INCH:.1f} in" if system == US else f"{PLATE[1].normalize():f} mm"
    return CostPart(
        "Plate",
        kilos * Decimal(getattr(rates, rate)),
        f"{mass}, {width} wide in all, at {_rate(rate, rates, system)}",
    )


def _wire_words(kilos: Decimal, system: str) -> str:
    return f"{kilos / wire.POUND:.2f} lb" if system == US else f"{kilos * G_PER_KG:.0f} g"


def _rate(name: str, rates: Rates, system: str) -> str:
    amount, unit = rate_in(name, getattr(rates, name), system)
    return f"{amount.normalize():f} {'a ' if MEASURES[name].is_price else ''}{unit}"
