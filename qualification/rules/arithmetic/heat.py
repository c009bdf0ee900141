"""Arc energy and heat input under each convention.

Arc energy is what the source delivers per length of weld; heat input is the part of it that reaches the work.
ISO and EN multiply by a thermal efficiency; ASME IX and most US codes call the arc energy itself heat input.
Both are meant per length in kJ/in, the canonical unit (1 kJ/mm is 25.4 kJ/in).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..core.values import Interval
from ..materials.catalogue import Origin
from .engineering import EngineeringRow, engineering

MM_PER_INCH = Decimal("25.4")


def arc_energy(volts: Decimal, amps: Decimal, travel: Decimal) -> Decimal:
    """Arc energy in kJ/in from V, A and a travel speed in mm/min: V I 60 / (1000 v).

    Raises ValueError for a travel speed that is not above zero.
    """
    return power_by_speed(volts * amps, travel)


def power_by_speed(watts: Decimal, travel: Decimal) -> Decimal:
    """Energy per length in kJ/in from a (measured) power in W and a travel speed in mm/min."""
    if travel <= 0:
        raise ValueError("the travel speed has to be above zero")
    return watts * 60 * MM_PER_INCH / (1000 * travel)


def energy_by_length(joules: Decimal, length: Decimal) -> Decimal:
    """Energy per length in kJ/in from a measured energy in J and a length of weld in mm (QW-409.1(c))."""
    if length <= 0:
        raise ValueError("the length of weld has to be above zero")
    return joules * MM_PER_INCH / (1000 * length)


def arc_energy_span(volts: Interval, amps: Interval, travel: Interval) -> Interval:
    """From the least to the most arc energy that ranges of settings allow, in kJ/in.

    The most comes from highest volts and amperes with the lowest travel speed (an interpretation of
    Section IX, quoted on a mailing list, says so for the maximum). An unlimited end leaves that end
    unlimited.
    """
    most = _if_given(volts.high, amps.high, travel.low)
    least = _if_given(volts.low, amps.low, travel.high)
    return Interval(least, most)


def _if_given(volts: Decimal | None, amps: Decimal | None, travel: Decimal | None) -> Decimal | None:
    if volts is None or amps is None or travel is None or travel <= 0:
        return None
    return arc_energy(volts, amps, travel)


@dataclass(frozen=True)
class Convention:
    """How one family of codes measures heat input."""

    key: str
    family: str
    code: str
    """The family's codes, as people call them."""
    measure: str
    """A choice of the variable `heat_input_measure`: `arc`, `energy` or `bead`."""
    with_efficiency: bool
    clause: str
    words: str
    origin: Origin


@dataclass(frozen=True)
class HeatInput:
    """Arc energy beside what a convention makes of it, both in kJ/in."""

    arc_energy: Decimal
    value: Decimal
    efficiency: Decimal | None
    """`None` where the convention takes none."""
    convention: Convention


def conventions(family: str) -> tuple[Convention, ...]:
    """The conventions of a family of codes (`Edition.family`), in the order of the table; none for a
    stranger."""
    return tuple(_convention(row) for row in engineering().table("convention") if row["family"] == family)


def all_conventions() -> tuple[Convention, ...]:
    """Those of every family, in the order of the table."""
    return tuple(_convention(row) for row in engineering().table("convention"))


def convention(key: str) -> Convention:
    """The convention of that key. Raises KeyError naming it."""
    for row in engineering().table("convention"):
        if row["key"] == key:
            return _convention(row)
    raise KeyError(f"there is no convention {key!r}")


def _convention(row: EngineeringRow) -> Convention:
    return Convention(
        row["key"],
        row["family"],
        row["code"],
        row["measure"],
        row["efficiency"],
        row["clause"] or "",
        row["words"],
        row.origin,
    )


def thermal_efficiency(process: str) -> tuple[Decimal, Origin]:
    """Share of the arc energy that reaches the work, by process key. Raises LookupError for one without a
    row."""
    for row in engineering().table("efficiency"):
        if process in row["processes"]:
            return row["factor"], row.origin
    raise LookupError(f"no thermal efficiency is tabled for {process}")


def heat_input(energy: Decimal, process: str, under: Convention) -> HeatInput:
    """What `under` calls heat input, from an arc energy in kJ/in. Raises ValueError for a measure by bead
    volume, which has no energy, and LookupError for a process without a thermal efficiency where one is
    needed."""
    if under.measure == "bead":
        raise ValueError("this convention measures the volume of weld metal, not energy")
    factor = thermal_efficiency(process)[0] if under.with_efficiency else None
    return HeatInput(energy, energy if factor is None else energy * factor, factor, under)
