"""Limits in words, rounded to the inside: a printed limit that is typed back lies within the limit itself.

A value is printed as near as its digits allow (`quantities.show`); a limit is not, since 22.32 to 25.68 V
printed as 22.3 to 25.7 V would name two numbers that are refused. More digits than usual are printed only
where a range is too narrow for the usual ones.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from .quantities import from_canonical, show_number, sixty_fourths, to_canonical
from .units import DIMENSIONS, SI, US, Dimension
from .values import Interval

MORE_PLACES = 6
"""Digits printed beyond the usual ones, at most."""


def limit_in_both(interval: Interval, dimension: str, system: str) -> str:
    """A range in `system` first, the other system in brackets where the two differ."""
    first, second = (show_limit(interval, dimension, each) for each in (system, SI if system == US else US))
    return first if first == second else f"{first} ({second})"


def show_limit(interval: Interval, dimension: str, system: str) -> str:
    """A range in words of one unit system: `1.6 to 12.7 mm`, `up to 250 °F`, `above 140 A`."""
    dim = DIMENSIONS[dimension]
    if interval.is_point and interval.low is not None:
        return _one_value(interval.low, dim, system)
    low, high = _ends(interval, dim, system)
    if low is None and high is None:
        return "no limit"
    if low is None:
        return f"{'below' if interval.high_open else 'up to'} {high}"
    if high is None:
        return f"above {low}" if interval.low_open else f"{low} or more"
    if low == high and not interval.low_open and not interval.high_open:
        return low
    symbol = dim.unit_for(system).symbol
    start = low.removesuffix(symbol).strip() if symbol else low
    return f"{'above ' if interval.low_open else ''}{start} to {'below ' if interval.high_open else ''}{high}"


def _ends(interval: Interval, dim: Dimension, system: str) -> tuple[str | None, str | None]:
    """Both ends in as few digits as leave something between them."""
    usual = _places(dim, system)
    for places in range(usual, usual + MORE_PLACES + 1):
        low = None if interval.low is None else _inward(interval.low, dim, system, places, up=True)
        high = None if interval.high is None else _inward(interval.high, dim, system, places, up=False)
        if low is None or high is None or low < high or (low == high and not _is_open(interval)):
            break
    return (
        None if low is None else _written(low, dim, system),
        None if high is None else _written(high, dim, system),
    )


def _is_open(interval: Interval) -> bool:
    return interval.low_open or interval.high_open


def _places(dim: Dimension, system: str) -> int:
    return dim.places_us if system == US else dim.places_si


def _inward(value: Decimal, dim: Dimension, system: str, places: int, *, up: bool) -> Decimal:
    """A number in the unit of `system` that lies on the inside of the end, or on it."""
    unit, step = dim.unit_for(system), Decimal(1).scaleb(-places)
    number = from_canonical(value, unit, dim)
    # A conversion without end may miss a whole number by its last digit.
    for exact in (_fraction(number, dim, system), number.quantize(step)):
        if exact is not None and to_canonical(exact, unit, dim) == value:
            return exact
    rounded = number.quantize(step, ROUND_CEILING if up else ROUND_FLOOR)
    back = to_canonical(rounded, unit, dim)
    return rounded + (step if up and back < value else -step if not up and back > value else 0)


def _fraction(number: Decimal, dim: Dimension, system: str) -> Decimal | None:
    """Inches that are whole 64ths, without the noise of a conversion."""
    whole = dim.unit_for(system).symbol == "in" and sixty_fourths(number)
    return (number * 64).to_integral_value() / 64 if whole else None


def _one_value(value: Decimal, dim: Dimension, system: str) -> str:
    """A range of one number; “about” where the unit has no end to its digits."""
    unit, usual = dim.unit_for(system), _places(dim, system)
    number = from_canonical(value, unit, dim)
    digits = range(usual, usual + MORE_PLACES + 1)
    for exact in (_fraction(number, dim, system), *(number.quantize(Decimal(1).scaleb(-n)) for n in digits)):
        if exact is not None and to_canonical(exact, unit, dim) == value:
            return _written(exact, dim, system)
    return f"about {_written(number.quantize(Decimal(1).scaleb(-usual)), dim, system)}"


def _written(number: Decimal, dim: Dimension, system: str) -> str:
    unit = dim.unit_for(system)
    fraction = sixty_fourths(number) if unit.symbol == "in" else ""
    return f"{fraction} {unit.symbol}" if fraction else show_number(number, unit)
