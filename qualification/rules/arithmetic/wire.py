"""Wire as a solid cylinder: area, mass, deposition rate. Exact but for pi.

Lengths in mm, speeds in mm/min, rates in kg/h, densities in g/cm³.
"""

from __future__ import annotations

from decimal import Decimal

from ..materials.catalogue import Origin
from .engineering import engineering

PI = Decimal("3.14159265358979323846264338")
POUND = Decimal("0.45359237")
"""kg, exact."""
INCH = Decimal("25.4")
CUBIC_FOOT = (INCH * 12 / 1000) ** 3
"""m³, exact."""


class NotTabled(LookupError):
    """The tables hold no figure for this; the message names what was looked up."""


def wire_area(diameter: Decimal) -> Decimal:
    """Cross-section in mm² of a wire of `diameter` mm."""
    return PI * diameter * diameter / 4


def density_of(family: str) -> tuple[Decimal, Origin]:
    """Density of filler of a family of metals (`Filler.family`), g/cm³. Raises NotTabled."""
    for row in engineering().table("density"):
        if family in row["families"]:
            return row["density"], row.origin
    raise NotTabled(f"no density is tabled for {family}")


def deposition_rate(
    diameter: Decimal, feed: Decimal, density: Decimal, efficiency: Decimal = Decimal(1)
) -> Decimal:
    """kg/h of weld metal from the wire's diameter (mm) and feed (mm/min); `efficiency` as a share of one."""
    return wire_area(diameter) * feed * 60 * density * efficiency / Decimal(10) ** 6


def yield_of(
    process: str, mode: str | None = None, form: str | None = None, shielded: bool | None = None
) -> tuple[Decimal, Decimal, Origin]:
    """Least and greatest share of the filler that ends up as weld metal. Of several rows the one that says
    most of the weld is taken: its transfer mode, the form of its filler, gas or none.

    Raises NotTabled. Published lists conflict; a shop's own figure is better.
    """
    fitting = []
    for row in engineering().table("yield"):
        if process not in row["processes"]:
            continue
        named = ((row["modes"], mode), (row["forms"], form))
        if any(wanted is not None and given not in wanted for wanted, given in named):
            continue
        if row["shielded"] is not None and row["shielded"] is not shielded:
            continue
        # The form of the filler says more than the mode: a cored wire sprays, and still leaves slag or fume.
        said = sum(
            weight
            for column, weight in (("forms", 2), ("modes", 1), ("shielded", 1))
            if row[column] is not None
        )
        fitting.append((said, row))
    if not fitting:
        raise NotTabled(f"no deposition efficiency is tabled for {process}")
    row = max(fitting, key=lambda each: each[0])[1]
    return row["percent"].low / 100, row["percent"].high / 100, row.origin
