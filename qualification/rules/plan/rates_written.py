"""A shop's rates as it writes them: by the kilogram or the pound, the cubic meter or the cubic foot, in mm or
inches. `Rates` holds them in SI; what was typed is kept beside it, so that a shop sees its own figures again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from ..arithmetic.wire import CUBIC_FOOT, INCH, POUND
from ..core.units import US

FIFTH_PLACE = Decimal("0.00001")
LONGEST = 40
"""Letters of a rate as written."""


class RateError(ValueError):
    """The text is no amount of this rate."""


@dataclass(frozen=True)
class Measure:
    """The unit of a rate: money by it, or an amount in it."""

    si: str
    us: str
    size: Decimal
    """One US unit in SI units."""
    spellings: tuple[str, ...]
    """Further ways to write the US unit, lower case."""
    is_price: bool

    def of_us(self, amount: Decimal) -> Decimal:
        """An amount in US units, or a price by one, in SI."""
        return amount / self.size if self.is_price else amount * self.size

    def in_us(self, amount: Decimal) -> Decimal:
        """The reverse of `of_us`."""
        return amount * self.size if self.is_price else amount / self.size


_POUNDS = ("lbs", "pound", "pounds")
_PER_MASS = Measure("kg", "lb", POUND, _POUNDS, True)
_PER_VOLUME = Measure("m³", "ft³", CUBIC_FOOT, ("ft3", "cu ft", "cf"), True)
_MASS = Measure("kg", "lb", POUND, _POUNDS, False)
_LENGTH = Measure("mm", "in", INCH, ("in.", "inch", "inches", '"'), False)
MEASURES = {
    "kg_per_hour": _MASS,
    "aluminum_kg": _PER_MASS,
    "steel_kg": _PER_MASS,
    "filler_kg": _PER_MASS,
    "gas_m3": _PER_VOLUME,
    "spool_kg": _MASS,
    "pack_kg": _MASS,
    "run_mm": _LENGTH,
    "stub_mm": _LENGTH,
}
# Shops of earlier releases may hold 1E+2.
_AMOUNT = r"\d{1,9}(?:[.,]\d{1,2}|E\+\d)?"
_WRITTEN = re.compile(rf"(?P<amount>{_AMOUNT}) ?(?P<per>/|per |an? )? ?(?P<unit>[^\d\s]\S{{0,9}}(?: ft)?)?")


def read_rate(name: str, text: str) -> Decimal:
    """The rate in SI (of US units: five places). A bare number is in SI, as its field says. Raises RateError
    where it is no number with at most two places, or the unit is not one of the rate's two."""
    said = " ".join(text.split())
    found = _WRITTEN.fullmatch(said) if len(said) <= LONGEST else None
    if found is None:
        raise RateError(text)
    amount = Decimal(found["amount"].replace(",", "."))
    measure, unit = MEASURES.get(name), (found["unit"] or "").lower()
    if not unit and not found["per"]:
        return amount
    if measure is None or bool(found["per"]) > measure.is_price:
        raise RateError(text)
    if unit in (measure.si, measure.si.replace("³", "3")):
        return amount
    if unit != measure.us and unit not in measure.spellings:
        raise RateError(text)
    return measure.of_us(amount).quantize(FIFTH_PLACE)


def rate_in(name: str, rate: Decimal, system: str) -> tuple[Decimal, str]:
    """A rate for reading, to two places, and the unit it is by or in."""
    measure = MEASURES[name]
    amount, unit = (measure.in_us(rate), measure.us) if system == US else (rate, measure.si)
    return amount.quantize(Decimal("0.01")), unit
