"""Numbers with units as a shop writes them, and the one place where units are converted. What each
dimension is held in, and why, stands in `units.py`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

from .units import DIMENSIONS, SI, US, Dimension, Unit
from .values import Interval


class QuantityError(ValueError):
    """The text is not a quantity of the wanted dimension; the message says how to write one."""


_STRESS_PLACES = Decimal("0.000001")
_ENDLESS_PLACES = Decimal("1e-12")


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint  # half a second, paid only by the first conversion

    registry: Any = pint.UnitRegistry(non_int_type=Decimal)
    registry.define("percent = 0.01 = %") if "percent" not in registry else None
    return registry


@cache
def _factor(from_name: str, to_name: str) -> tuple[Decimal, Decimal]:
    """Scale and offset with `to = from * scale + offset`, taken from pint and kept exact."""
    registry = _registry()
    with localcontext() as context:
        context.prec = 40
        zero = registry.Quantity(Decimal(0), from_name).to(to_name).magnitude
        one = registry.Quantity(Decimal(1), from_name).to(to_name).magnitude
        # Rounding to 24 places removes the last-digit noise of pint's chained Decimal factors.
        return (one - zero).quantize(Decimal("1e-24")).normalize(), zero.quantize(
            Decimal("1e-24")
        ).normalize()


def to_canonical(value: Decimal, unit: Unit, dimension: Dimension) -> Decimal:
    """`value` in `unit`, converted to the dimension's canonical unit, exactly (stress: six places)."""
    if unit.pint_name == dimension.canonical.pint_name:
        return value
    scale, offset = _factor(unit.pint_name, dimension.canonical.pint_name)
    with localcontext() as context:
        context.prec = 40
        result = value * scale + offset
        if unit.endless:
            result = result.quantize(_ENDLESS_PLACES)
    return result.quantize(_STRESS_PLACES) if dimension.key == "stress" else _trim(result)


def from_canonical(value: Decimal, unit: Unit, dimension: Dimension) -> Decimal:
    """The reverse of `to_canonical`, for showing; may be rounded in the last of 28 digits."""
    if unit.pint_name == dimension.canonical.pint_name:
        return value
    scale, offset = _factor(unit.pint_name, dimension.canonical.pint_name)
    return (value - offset) / scale


def _trim(value: Decimal) -> Decimal:
    return (
        value.quantize(Decimal(1))
        if value == value.to_integral_value() and abs(value) < 10**20
        else value.normalize()
    )


_MIXED = re.compile(r"(?P<whole>\d+)(?P<join> |-)(?P<num>\d+) ?/ ?(?P<den>\d+)")
_FRACTION = re.compile(r"(?P<num>\d+) ?/ ?(?P<den>\d+)")
_DECIMAL = re.compile(r"(?:\d+(?:,\d+|\.\d*)?|[.,]\d+)")
_NUMBER = "(?:{})".format(
    "|".join(re.sub(r"\(\?P<\w+>", "(?:", p.pattern) for p in (_MIXED, _FRACTION, _DECIMAL))
)
_UNIT = r"(?!to\b)[^\d\s.,/+\-–—−](?:(?!\bto\b)\D)*?(?:(?<=[A-Za-z^])[23](?:/\w+)?)?"
_QUANTITY = re.compile(rf"(?P<sign>[-−+]?) ?(?P<number>{_NUMBER}) ?(?P<unit>{_UNIT})?")
_RANGE = re.compile(
    rf"(?P<s1>[-−+]?) ?(?P<n1>{_NUMBER}) ?(?P<u1>{_UNIT})? ?(?:[-−–—]|\bto\b|\.\.\.?) ?"
    rf"(?P<s2>[-−+]?) ?(?P<n2>{_NUMBER}) ?(?P<u2>{_UNIT})?"
)
_LONGEST, _TOO_LARGE = 80, Decimal(10) ** 12
_PARTS_OF_AN_INCH = (2, 3, 4, 8, 16, 32, 64, 128)
_GLYPHS = {
    "¼": "1/4",
    "½": "1/2",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_SAME = str.maketrans(
    {
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "⁄": "/",
        "∕": "/",
        "‐": "-",
        "‑": "-",
        "‒": "-",
        "º": "°",
        "℉": "°F",
        "℃": "°C",
    }
)
"""Characters that look alike or that word processors put in by themselves."""


@dataclass(frozen=True)
class Reading:
    """How a typed quantity was understood: the interval in canonical units, and the unit it was written
    in."""

    interval: Interval
    unit: Unit


@lru_cache(maxsize=8192)
def read_quantity(text: str, dimension: str, system: str, *, many: bool = True) -> Reading:
    """Read `1/8`, `1 1/2 in`, `.035`, `6,35 mm`, `480 ipm`, `18.5-20` ... as a quantity of `dimension`.

    A bare number is taken in the unit of `system` ("us" or "si"). `many` allows a range. Readings are
    remembered, since tables and records write the same quantities over and over. Raises QuantityError with a
    sentence that says how to write it.
    """
    dim = DIMENSIONS[dimension]
    if len(text) > _LONGEST:
        raise QuantityError(
            f"That is {len(text)} characters long. Write a number with its unit, like"
            f" {_example(dim, system)}."
        )
    plain = tidy(text)
    if not plain:
        raise QuantityError(f"Enter a number, for example {_example(dim, system)}.")
    single = _QUANTITY.fullmatch(plain)
    if single:
        unit = _unit(single["unit"], dim, system, text)
        value = to_canonical(
            _number(single["sign"], single["number"], dim, text, system, single["unit"]), unit, dim
        )
        return Reading(Interval.point(value), unit)
    pair = _RANGE.fullmatch(plain)
    if pair:
        if not many:
            raise QuantityError(f"Enter one number, not a range; “{text.strip()}” holds two.")
        return _read_range(pair, dim, system, text)
    raise QuantityError(
        f"“{text.strip()}” could not be read as a number with a unit. Write it like {_example(dim, system)}."
    )


def _read_range(pair: re.Match[str], dim: Dimension, system: str, text: str) -> Reading:
    # "18.5-20 V": the unit stands once and serves both ends.
    written_1, written_2 = pair["u1"] or pair["u2"], pair["u2"] or pair["u1"]
    unit_1, unit_2 = _unit(written_1, dim, system, text), _unit(written_2, dim, system, text)
    low = to_canonical(_number(pair["s1"], pair["n1"], dim, text, system, written_1), unit_1, dim)
    high = to_canonical(_number(pair["s2"], pair["n2"], dim, text, system, written_2), unit_2, dim)
    if low > high:
        raise QuantityError(f"The range “{text.strip()}” runs downwards; write the smaller number first.")
    return Reading(Interval(low, high), unit_2)


def tidy(text: str) -> str:
    """The text with one kind of dash, fraction, degree and blank, as the patterns here expect it."""
    text = text.translate(_SAME)
    if not text.isascii():
        for glyph, plain in _GLYPHS.items():
            text = re.sub(rf"(?<=\d)\s*{glyph}", f" {plain}", text).replace(glyph, plain)
    text = re.sub(r"\s+", " ", text).strip()
    return re.sub(r"(?<!\d)(\d+)-(\d+) ?/ ?(\d+)", _apart_if_range, text)


def _apart_if_range(match: re.Match[str]) -> str:
    """`1-1/2` is one and a half, but `0-1/8` is a range: nobody writes nought and an eighth, nor one and five
    fourths. Blanks around the hyphen make it a range for the patterns."""
    whole, num, den = match.groups()
    return f"{whole} - {num}/{den}" if int(whole) == 0 or int(num) >= int(den) > 0 else match[0]


def _number(sign: str, digits: str, dim: Dimension, text: str, system: str, unit: str | None) -> Decimal:
    if sign in ("-", "−") and not dim.signed:
        raise QuantityError(f"“{text.strip()}” is below zero; write a number above zero.")
    mixed, fraction = _MIXED.fullmatch(digits), _FRACTION.fullmatch(digits)
    if mixed or fraction:
        match = mixed or fraction
        assert match is not None
        den = Decimal(match["den"])
        if den == 0:
            raise QuantityError(f"“{text.strip()}” divides by zero; write a fraction like 1/8.")
        if dim.key == "length" and (int(den) not in _PARTS_OF_AN_INCH or _is_metric(unit)):
            # 10/12 mm are two plates and 3/4 mm two wires, and never five sixths or three quarters.
            raise QuantityError(
                f"“{text.strip()}” is no fraction of an inch. Write one number, or put a comma between"
                " several."
            )
        if unit is None and dim.key == "length" and system == SI:
            # A bare fraction in a metric record is far more often inches than mm: ask, never guess.
            raise QuantityError(
                f"“{text.strip()}” is a fraction without a unit in a metric record. Write 1/8 in or 3.2 mm."
            )
        whole = Decimal(match["whole"]) if mixed else Decimal(0)
        if mixed and Decimal(match["num"]) >= den:
            raise QuantityError(
                f"“{text.strip()}” adds a fraction above one to a whole number; write a single number."
            )
        value = whole + Decimal(match["num"]) / den
    else:
        if re.fullmatch(r"\d{1,3},\d{3}", digits) and digits.split(",")[0] != "0":
            # 1,500 is fifteen hundred in one country and one and a half in the next.
            raise QuantityError(
                f"“{text.strip()}” can be read two ways. Write {digits.replace(',', '')} or"
                f" {digits.replace(',', '.')}."
            )
        if "," in digits and unit is None and dim.key == "length" and system == US:
            # Who writes a decimal comma seldom means inches.
            raise QuantityError(
                f"“{text.strip()}” has a decimal comma and no unit. Write mm or in behind it."
            )
        value = Decimal(digits.replace(",", "."))
    if value >= _TOO_LARGE:
        raise QuantityError(f"“{text.strip()}” is larger than any number a weld has; check its digits.")
    if dim.key == "count" and value != value.to_integral_value():
        raise QuantityError(f"“{text.strip()}” is not a whole number; write one, for example 3.")
    return -value if sign in ("-", "−") else value


def _is_metric(unit: str | None) -> bool:
    return (unit or "").strip().lower().startswith(("mm", "cm"))


def _unit(written: str | None, dim: Dimension, system: str, text: str) -> Unit:
    if written is None or not written.strip():
        return dim.unit_for(system)
    wanted = re.sub(r" ?/ ?", "/", " ".join(written.lower().split()))
    for unit in dim.units:
        if wanted in unit.spellings or wanted == unit.symbol.lower():
            return unit
    names = ", ".join(u.symbol for u in dim.units if u.symbol)
    if not names:
        raise QuantityError(f"“{text.strip()}” should be a plain number without a unit.")
    raise QuantityError(f"“{written.strip()}” is not a unit this field takes. Use one of: {names}.")


def is_unit_of(text: str, dimension: str) -> bool:
    """True for the bare name of a unit that this dimension is written in."""
    plain = text.strip().lower()
    return any(
        plain and (plain in unit.spellings or plain == unit.symbol.lower())
        for unit in DIMENSIONS[dimension].units
    )


def _example(dim: Dimension, system: str) -> str:
    examples = {
        "length": ("1/8 in", "3.2 mm"),
        "temperature": ("60 °F", "15 °C"),
        "travel_speed": ("20 ipm", "500 mm/min"),
        "wire_feed": ("480 ipm", "12.2 m/min"),
        "flow": ("35 cfh", "16 L/min"),
        "current": ("140-160 A", "140-160 A"),
        "voltage": ("18.5-20 V", "18.5-20 V"),
        "heat_input": ("15.1 kJ/in", "0.6 kJ/mm"),
        "time": ("2 h", "2 h"),
        "duration": ("42 s", "42 s"),
        "force": ("4950 lbf", "22 kN"),
        "stress": ("24000 psi", "165 MPa"),
        "angle": ("60°", "60°"),
        "impact_energy": ("20 ft-lb", "27 J"),
        "count": ("3", "3"),
    }
    first, second = examples.get(dim.key, ("2.5", "2.5"))
    return first if system == US else second


def show(value: Decimal, dimension: str, system: str) -> str:
    """`value` (canonical) written in the unit of `system`, rounded for reading: `35 cfh`, `6.35 mm`. Inches
    that are whole 64ths are written as the trade writes them, `1/8 in`, `2 1/16 in`; others as decimals,
    `0.045 in`."""
    dim = DIMENSIONS[dimension]
    unit = dim.unit_for(system)
    places = dim.places_us if system == US else dim.places_si
    number = from_canonical(value, unit, dim)
    if unit.symbol == "in" and (fraction := sixty_fourths(number)):
        return f"{fraction} {unit.symbol}"
    rounded = number.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)  # as the trade does: 9.525 is 9.53
    return show_number(rounded, unit)


def show_number(number: Decimal, unit: Unit) -> str:
    """A number with the symbol of its unit, without idle zeros."""
    text = f"{number:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    text = "0" if text in ("-0", "") else text.replace("-", "−")
    if not unit.symbol:
        return text
    return f"{text}{unit.symbol}" if unit.symbol in ("%", "°") else f"{text} {unit.symbol}"


def sixty_fourths(inches: Decimal) -> str:
    """Inches as a mixed number in lowest terms; empty when they are no whole 64ths."""
    parts = (inches * 64).to_integral_value()
    # Metric lengths divide by 25.4 without end, so the last of 28 digits is noise.
    if parts <= 0 or abs(inches * 64 - parts) > Decimal("1e-18"):
        return ""
    whole, rest = divmod(int(parts), 64)
    top, bottom = Fraction(rest, 64).numerator, Fraction(rest, 64).denominator
    return str(whole) if not rest else f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"


def show_interval(interval: Interval, dimension: str, system: str) -> str:
    """An interval in words of one unit system: `1.6 to 12.7 mm`, `up to 250 °F`, `140 A or more`."""
    low = None if interval.low is None else show(interval.low, dimension, system)
    high = None if interval.high is None else show(interval.high, dimension, system)
    if low is None and high is None:
        return "no limit"
    if low is None:
        return f"{'below' if interval.high_open else 'up to'} {high}"
    if high is None:
        return f"above {low}" if interval.low_open else f"{low} or more"
    if interval.is_point or (low == high and not interval.low_open and not interval.high_open):
        return low
    symbol = DIMENSIONS[dimension].unit_for(system).symbol
    start = low.removesuffix(symbol).strip() if symbol else low
    return f"{'above ' if interval.low_open else ''}{start} to {'below ' if interval.high_open else ''}{high}"


def show_both(interval: Interval, dimension: str, system: str) -> str:
    """The interval in `system` first, the other system in brackets where the two differ."""
    other = SI if system == US else US
    first, second = show_interval(interval, dimension, system), show_interval(interval, dimension, other)
    return first if first == second else f"{first} ({second})"
