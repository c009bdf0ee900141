"""Preheat by method B of EN 1011-2 (CET). A fitted formula, so floats; the answer guides, the code
governs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import tanh

from .engineering import engineering

LABELS = {
    "cet": "CET",
    "thickness": "plate thickness",
    "hydrogen": "diffusible hydrogen",
    "heat_input": "heat input",
}
UNITS = {"cet": " %", "thickness": " mm", "hydrogen": " ml/100 g", "heat_input": " kJ/mm"}


@dataclass(frozen=True)
class Preheat:
    celsius: float
    """As the formula gives it; below the temperature of the shop no preheat follows from it."""
    outside: tuple[str, ...]
    """What lies outside the ranges the formula was fitted for, each as a sentence; empty when nothing
    does."""


def preheat_method_b(cet: float, thickness: float, hydrogen: float, heat_input: float) -> Preheat:
    """Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328, in °C.

    CET in percent; d the thickness of the plate in mm (not the combined thickness, that is method A);
    hydrogen in ml/100 g of deposited metal; heat input in kJ/mm with the thermal efficiency in it. Raises
    ValueError unless thickness, hydrogen and heat input are above zero.
    """
    if min(thickness, hydrogen, heat_input) <= 0:
        raise ValueError("thickness, hydrogen and heat input have to be above zero")
    celsius = (
        697 * cet + 160 * tanh(thickness / 35) + 62 * hydrogen**0.35 + (53 * cet - 32) * heat_input - 328
    )
    given = {"cet": cet, "thickness": thickness, "hydrogen": hydrogen, "heat_input": heat_input}
    (row,) = engineering().table("preheat_validity")
    outside = tuple(
        f"The {LABELS[name]}, {given[name]:g}{UNITS[name]}, lies outside "
        f"{span.low} to {span.high}{UNITS[name]}."
        for name, span in row["ranges"].items()
        if not span.low <= Decimal(repr(given[name])) <= span.high
    )
    return Preheat(celsius, outside)
