"""Carbon equivalents of steel from its composition in percent by mass. CE, Pcm and CET are exact; CEN is a
fitted curve, so a float. All four formulas stand on a plate maker's help page (see the tables' sources).
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from math import tanh

from .engineering import engineering

ELEMENTS = ("C", "Si", "Mn", "Cr", "Mo", "V", "Ni", "Cu", "Nb", "Ti", "B")
Composition = Mapping[str, Decimal]
"""Percent by element. An element that was not analysed may be left out only where the formula does not ask
it."""


class NotAnalysed(LookupError):
    """The composition lacks elements the formula asks for; `elements` names them."""

    def __init__(self, elements: tuple[str, ...]) -> None:
        super().__init__(f"State the percentage of {', '.join(elements)}; enter 0 where there is none.")
        self.elements = elements


def ce_iiw(steel: Composition) -> Decimal:
    """C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15. Raises NotAnalysed."""
    c, mn, cr, mo, v, ni, cu = _of(steel, "C", "Mn", "Cr", "Mo", "V", "Ni", "Cu")
    return c + mn / 6 + (cr + mo + v) / 5 + (ni + cu) / 15


def ce_with_silicon(steel: Composition) -> Decimal:
    """C + (Mn+Si)/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15, as an annex of D1.1 is remembered. Raises NotAnalysed."""
    (si,) = _of(steel, "Si")
    return ce_iiw(steel) + si / 6


def pcm(steel: Composition) -> Decimal:
    """C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5 B. Raises NotAnalysed."""
    c, si, mn, cu, cr, ni, mo, v, b = _of(steel, "C", "Si", "Mn", "Cu", "Cr", "Ni", "Mo", "V", "B")
    return c + si / 30 + (mn + cu + cr) / 20 + ni / 60 + mo / 15 + v / 10 + 5 * b


def cet(steel: Composition) -> Decimal:
    """C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40. Raises NotAnalysed."""
    c, mn, mo, cr, cu, ni = _of(steel, "C", "Mn", "Mo", "Cr", "Cu", "Ni")
    return c + (mn + mo) / 10 + (cr + cu) / 20 + ni / 40


def cen(steel: Composition) -> float:
    """C + [0.75 + 0.25 tanh(20 (C - 0.12))] [Si/24 + Mn/6 + Cu/15 + Ni/20 + (Cr+Mo+V+Nb)/5 + 5 B]. Raises
    NotAnalysed."""
    found = _of(steel, "C", "Si", "Mn", "Cu", "Ni", "Cr", "Mo", "V", "Nb", "B")
    c, si, mn, cu, ni, cr, mo, v, nb, b = (float(x) for x in found)
    weight = 0.75 + 0.25 * tanh(20 * (c - 0.12))
    return c + weight * (si / 24 + mn / 6 + cu / 15 + ni / 20 + (cr + mo + v + nb) / 5 + 5 * b)


def outside_cet(steel: Composition) -> tuple[str, ...]:
    """Elements outside the ranges for which CET was fitted, each as a short sentence."""
    (row,) = engineering().table("cet_validity")
    return tuple(
        f"{element} {steel[element]} % lies outside {span.low} to {span.high} %"
        for element, span in row["ranges"].items()
        if element in steel and not span.low <= steel[element] <= span.high
    )


def _of(steel: Composition, *elements: str) -> tuple[Decimal, ...]:
    lacking = tuple(element for element in elements if element not in steel)
    if lacking:
        raise NotAnalysed(lacking)
    return tuple(steel[element] for element in elements)
