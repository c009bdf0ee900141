"""Cooling time from 800 to 500 °C of unalloyed and low-alloy steel, by heat flow in two or three dimensions.

Fitted formulas, so floats. Formulas from a steel maker's handbook; the transition thickness is where both
give the same time, worked by us from them and with the factors of the shape in it. Heat input in kJ/mm,
with the thermal efficiency in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from .engineering import engineering


@dataclass(frozen=True)
class CoolingTime:
    """Seconds from 800 to 500 °C; `least` and `most` differ where the shape factor is a range."""

    least: float
    most: float
    dimensions: int
    """2 for a thin plate, 3 for a thick one."""
    transition: float
    """Thickness in mm from which heat flows in three dimensions."""


@dataclass(frozen=True)
class ShapeFactor:
    shape: str
    label: str
    two: tuple[float, float]
    three: tuple[float, float]


def shape_factors() -> tuple[ShapeFactor, ...]:
    """The weld shapes that are tabled, in their order."""
    return tuple(
        ShapeFactor(
            row["shape"],
            row["label"],
            (float(row["two"].low), float(row["two"].high)),
            (float(row["three"].low), float(row["three"].high)),
        )
        for row in engineering().table("shape_factor")
    )


def shape_factor(shape: str) -> ShapeFactor:
    """Raises KeyError for a shape that is not tabled."""
    return {factor.shape: factor for factor in shape_factors()}[shape]


def three_dimensional(heat_input: float, start: float, factor: float = 1.0) -> float:
    """Seconds for a thick plate: (6700 - 5 T0) Q [1/(500-T0) - 1/(800-T0)] F3. T0 in °C, below 500."""
    _check(heat_input, start)
    return (6700 - 5 * start) * heat_input * (1 / (500 - start) - 1 / (800 - start)) * factor


def two_dimensional(heat_input: float, start: float, thickness: float, factor: float = 1.0) -> float:
    """Seconds for a thin plate: (4300 - 4.3 T0) 1e5 Q²/d² [1/(500-T0)² - 1/(800-T0)²] F2."""
    _check(heat_input, start)
    if thickness <= 0:
        raise ValueError("the thickness has to be above zero")
    share = 1 / (500 - start) ** 2 - 1 / (800 - start) ** 2
    return (4300 - 4.3 * start) * 1e5 * (heat_input / thickness) ** 2 * share * factor


def transition_thickness(heat_input: float, start: float) -> float:
    """Thickness in mm at which both formulas agree with factors of one."""
    _check(heat_input, start)
    ratio = (4300 - 4.3 * start) * 1e5 / (6700 - 5 * start)
    return sqrt(ratio * heat_input * (1 / (500 - start) + 1 / (800 - start)))


def cooling_time(
    heat_input: float, start: float, thickness: float, shape: str = "bead_on_plate"
) -> CoolingTime:
    """The time for a plate of `thickness` mm at `start` °C. Raises ValueError outside the formulas' reach,
    KeyError for a shape that is not tabled."""
    factors, plain = shape_factor(shape), transition_thickness(heat_input, start)
    thin = [two_dimensional(heat_input, start, thickness, factor) for factor in factors.two]
    thick = [three_dimensional(heat_input, start, factor) for factor in factors.three]
    # The slower of the two ways governs, so that the time has no jump where a shape's factors differ.
    limit = plain * sqrt(factors.two[1] / factors.three[1])
    return CoolingTime(max(thin[0], thick[0]), max(thin[1], thick[1]), 3 if thickness > limit else 2, limit)


def _check(heat_input: float, start: float) -> None:
    if heat_input <= 0:
        raise ValueError("the heat input has to be above zero")
    if start >= 500:
        raise ValueError("the plate has to start below 500 °C")
