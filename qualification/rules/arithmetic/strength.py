"""Test arithmetic: stress at fracture, joint efficiency, bend strain. Exact, in Decimal."""

from __future__ import annotations

from decimal import Decimal


def ultimate_stress(load: Decimal, area: Decimal) -> Decimal:
    """Highest load by the area measured before the test: N by mm² gives MPa, lbf by in² gives psi.

    Raises ValueError unless the area is above zero.
    """
    if area <= 0:
        raise ValueError("the area has to be above zero")
    return load / area


def joint_efficiency(joint: Decimal, base: Decimal) -> Decimal:
    """Strength of the joint as a percentage of the minimum of the base metal; both in one unit."""
    if base <= 0:
        raise ValueError("the strength of the base metal has to be above zero")
    return 100 * joint / base


def bend_strain(thickness: Decimal, former: Decimal) -> Decimal:
    """Elongation in percent of the outer fibre of a specimen bent over a former of that diameter: 100 t /
    (A + t)."""
    if thickness <= 0 or former < 0:
        raise ValueError("the thickness has to be above zero and the former not below zero")
    return 100 * thickness / (former + thickness)


def former_for_strain(thickness: Decimal, percent: Decimal) -> Decimal:
    """Diameter of the former that strains the outer fibre by `percent`; 100 t / A5 - t for an elongation
    A5."""
    if not 0 < percent <= 100:
        raise ValueError("the strain has to lie between 0 and 100 %")
    return 100 * thickness / percent - thickness
