"""Filling a joint: passes, weld metal, wire, gas and arc time. Built on float areas, so floats."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil


@dataclass(frozen=True)
class Filling:
    """For one weld of a given length."""

    weld_metal: float
    """kg in the joint."""
    wire: float
    """kg to be bought or fed."""
    passes: int | None
    """`None` where the area of a pass is not known."""
    arc_time: float
    """Minutes with the arc on; stops, purge and cleaning come on top."""
    gas: float | None
    """Litres at the nozzle while the arc is on; pre- and post-flow and leaks come on top."""


def mass_per_metre(area: float, density: float) -> float:
    """kg of weld metal per metre from an area in mm² and a density in g/cm³."""
    return area * density / 1000


def filling(
    area: float,
    length: float,
    density: float,
    rate: float,
    efficiency: float,
    pass_area: float | None = None,
    flow: float | None = None,
) -> Filling:
    """What it takes to fill `area` mm² over `length` mm at `rate` kg/h of wire melted.

    `density` in g/cm³, `efficiency` the share of the wire that becomes weld metal, `pass_area` in mm²,
    `flow` in L/min. Raises ValueError unless area, length, density, rate and efficiency are above zero and
    the efficiency at most one.
    """
    if min(area, length, density, rate, efficiency) <= 0 or efficiency > 1:
        raise ValueError(
            "area, length, density, rate and efficiency have to be above zero, efficiency at most 1"
        )
    metal = mass_per_metre(area, density) * length / 1000
    wire = metal / efficiency
    minutes = wire / rate * 60
    # A whole number of passes that misses by rounding only would cost a pass that nobody welds.
    passes = None if pass_area is None else ceil(area / pass_area - 1e-9)
    return Filling(metal, wire, passes, minutes, None if flow is None else flow * minutes)
