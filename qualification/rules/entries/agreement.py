"""How far two writings of one quantity may lie apart: `1/2 in (12 mm)` is rounded, `4 in (114 mm)` is not."""

from __future__ import annotations

import re
from decimal import Decimal, localcontext

from ..core.quantities import read_quantity
from ..core.units import US, Dimension, Unit

_NUMBERS = re.compile(r"\d+(?:[.,](\d+))?")
_ROUNDED_BY_CODES = Decimal("0.02")
"""Codes write 4 in beside 100 mm and 2-1/2 in beside 65 mm."""
_FROM = Decimal(50)


def may_differ(head: str, first: Unit, inner: str, second: Unit, value: Decimal, dim: Dimension) -> Decimal:
    """How far two writings of one quantity may lie apart, in the canonical unit. Inches count as exact unless
    both are in inches: 4 in is no 114 mm."""
    both = ((head, first), (inner, second))
    if dim.key != "length":
        return max(_last_place(text, unit, dim) for text, unit in both)
    alike = first.symbol == second.symbol
    steps = [_last_place(text, unit, dim) for text, unit in both if alike or unit.symbol != "in"]
    inches = [_last_place(text, unit, dim) for text, unit in both if unit.symbol == "in"]
    steps += [step for step in inches if step < 1]
    return max([*steps, value * _ROUNDED_BY_CODES if value >= _FROM else Decimal(0)])


def _last_place(text: str, unit: Unit, dim: Dimension) -> Decimal:
    """One step of the last digit written, in the canonical unit: two roundings of one length differ by no
    more. Temperatures are rounded to tens of either scale."""
    if re.search(r"\d ?/ ?\d", text):
        return Decimal(0)  # a fraction is exact
    decimals = max((len(match[1] or "") for match in _NUMBERS.finditer(text)), default=0)
    step = Decimal(1).scaleb(-decimals)
    if dim.key == "temperature":
        return step * (5 if decimals == 0 and re.search(r"0\b", text) else 2)
    with localcontext() as context:
        context.prec = 40
        return step * _scale(unit, dim)


def _scale(unit: Unit, dim: Dimension) -> Decimal:
    one = read_quantity(f"1 {unit.symbol}".strip(), dim.key, US, many=False).interval.low
    assert one is not None
    return one
