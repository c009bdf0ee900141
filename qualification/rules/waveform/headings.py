"""What the heading of a column says: quantity, unit, the scale of a clamp or probe, and whether it holds what
was measured at the arc."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

TIME, VOLTAGE, CURRENT, POWER = "time", "voltage", "current", "power"
QUANTITIES = (TIME, VOLTAGE, CURRENT, POWER)
CLOCK = "clock"
"""The unit of times written as hours, minutes and seconds, with or without a date before them."""
UNITS: dict[str, dict[str, float]] = {
    TIME: {"s": 1.0, "ms": 1e-3, "µs": 1e-6, "ns": 1e-9, "min": 60.0, "d": 86400.0, CLOCK: 1.0},
    VOLTAGE: {"V": 1.0, "mV": 1e-3, "kV": 1e3},
    CURRENT: {"A": 1.0, "mA": 1e-3, "kA": 1e3},
    POWER: {"W": 1.0, "kW": 1e3},
}
"""Factors to s, V, A and W."""

_NAMES = (
    (TIME, r"time|zeit|temps|tijd|seconds?|timestamp|\bt\b"),
    (POWER, r"power|leistung|\bp\b|watts?"),
    (CURRENT, r"current|strom|courant|amp(?:s|ere|eres)?\b|\bi\b|\biw\b"),
    (VOLTAGE, r"volt(?:s|age)?|spannung|tension|\bu\b|\bv\b"),
)
_NEITHER = re.compile(r"speed|feed\b|flow|temp(?:erature)?\b|length|\bwfs\b|pressure|energy|resistance|humid")
_SET = re.compile(
    r"\b(?:set|setpoint|preset|soll\w*|target|nominal|command(?:ed)?|demand|ref|reference|requested|"
    r"program(?:med)?|programme|[iuv]set)\b"
)
_MEASURED = re.compile(r"\b(?:actual|act|ist\w*|meas|measured|measurement|real|arc|weld|welding)\b")
_OTHER = re.compile(
    r"\b(?:motor|wire|feeder|drive|drum|reel|fan|cooler|pump|supply|mains|line|grid|input|primary|netz\w*|"
    r"aux|auxiliary|battery|ground|earth|leak\w*|trigger|ocv|open)\b"
)
_UNIT_OF = {unit.lower(): (quantity, unit) for quantity, units in UNITS.items() for unit in units}
_UNIT_OF |= {
    spelling: _UNIT_OF[unit]
    for spelling, unit in (
        ("us", "µs"),
        ("μs", "µs"),
        ("sec", "s"),
        ("secs", "s"),
        ("second", "s"),
        ("seconds", "s"),
        ("msec", "ms"),
        ("usec", "µs"),
        ("day", "d"),
        ("days", "d"),
        ("volt", "v"),
        ("volts", "v"),
        ("amp", "a"),
        ("amps", "a"),
        ("ampere", "a"),
        ("amperes", "a"),
        ("watt", "w"),
        ("watts", "w"),
    )
}
_NUMBER = r"(\d+(?:[.,]\d+)?)"
_PER_AMPERE = re.compile(rf"(?<!\d){_NUMBER}\s*(mV|V)\s*(?:/|per)\s*(k?A)\b", re.IGNORECASE)
_PER_VOLT = re.compile(rf"(?<!\d){_NUMBER}\s*(k?A)\s*(?:/|per)\s*(mV|V)\b", re.IGNORECASE)
_BRACKETED = re.compile(r"[\[(]([^\])]{0,80})[\])]")
_RATIO = re.compile(
    rf"(?:\b|(?<=\s)|(?<=[A-Za-z]))[x×*÷]\s*{_NUMBER}(?!\w)|\b{_NUMBER}\s*[x×](?![\w])|"
    rf"\b{_NUMBER}\s*:\s*{_NUMBER}\b|/\s*{_NUMBER}(?![\w])"
)


class Role(Enum):
    """Whether a column holds what the arc had."""

    MEASURED = "measured"
    PLAIN = "plain"
    SET = "set"
    OTHER = "other"
    """Of something else than the arc, such as the motor of the wire feed or the mains."""


@dataclass(frozen=True)
class Heading:
    """What a heading says by itself."""

    text: str
    quantity: str | None
    unit: str | None
    unit_quantity: str | None
    """What the unit measures; differs from `quantity` where a clamp's output stands in millivolts."""
    role: Role = Role.PLAIN
    per_unit: float | None = None
    """Amperes for one unit of the column, where the heading states the scale of a clamp or shunt."""
    ratio: float | None = None
    """A bare factor, such as `x10` or `10:1`: which way it goes is not said."""


def read_heading(name: str, unit_cell: str = "") -> Heading:
    """What a heading names, such as `Current (A)`, `U/V`, `t [ms]`, `I_arc`, `Arc voltage x10 (V)`."""
    text = " ".join(f"{name} {f'({unit_cell})' if unit_cell else ''}".split())
    bare, per_unit, scale_unit = _without_scale(name)
    bare, ratio = _without_ratio(bare)
    unit = next((found for found in map(_unit, _unit_texts(bare, unit_cell)) if found), None)
    words = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", bare)
    plain = _BRACKETED.sub(" ", words).replace("_", " ").replace("/", " ").lower()
    quantity = _quantity(plain, bare, unit)
    if unit is None and scale_unit is not None:
        unit = _UNIT_OF[scale_unit.lower()]
    if per_unit is not None and unit is not None and scale_unit is not None:
        quantity = CURRENT
        # The scale is said for one of its own units; the numbers may stand in another.
        per_unit *= UNITS[VOLTAGE].get(unit[1], 1.0) / UNITS[VOLTAGE][_UNIT_OF[scale_unit.lower()][1]]
    return Heading(
        text, quantity, unit[1] if unit else None, unit[0] if unit else None, _role(plain), per_unit, ratio
    )


def _quantity(plain: str, bare: str, unit: tuple[str, str] | None) -> str | None:
    named = [quantity for quantity, pattern in _NAMES if re.search(pattern, plain)]
    if unit is not None and unit[0] in named:
        return unit[0]
    if _NEITHER.search(plain) and (unit is None or unit[0] == TIME):
        return None
    bracketed = _in_brackets(bare)
    if len(plain.strip()) == 1 and bracketed and unit is None:
        # One letter with a unit of something else, such as `T (°C)`.
        return None
    return named[0] if named else unit[0] if unit is not None else None


def _role(plain: str) -> Role:
    if _SET.search(plain):
        return Role.SET
    if _OTHER.search(plain):
        return Role.OTHER
    return Role.MEASURED if _MEASURED.search(plain) else Role.PLAIN


def _without_scale(name: str) -> tuple[str, float | None, str | None]:
    """The heading without the scale of a clamp, amperes for one unit, and that unit."""
    if match := _PER_AMPERE.search(name):
        each = _number(match[1]) / (1000.0 if match[3].lower() == "ka" else 1.0)
        if each > 0:
            return name.replace(match[0], " "), 1 / each, match[2]
    if match := _PER_VOLT.search(name):
        return (
            name.replace(match[0], " "),
            _number(match[1]) * (1000.0 if match[2].lower() == "ka" else 1.0),
            match[3],
        )
    return name, None, None


def _without_ratio(name: str) -> tuple[str, float | None]:
    match = _RATIO.search(name)
    if match is None:
        return name, None
    numbers = [_number(each) for each in match.groups() if each]
    ratio = numbers[0] if len(numbers) == 1 else numbers[0] / numbers[1] if numbers[1] else 0.0
    return name.replace(match[0], " "), ratio if ratio > 0 and ratio != 1 else None


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _in_brackets(text: str) -> list[str]:
    return [inner for found in _BRACKETED.finditer(text) if (inner := found[1].strip())]


def _unit_texts(name: str, unit_cell: str) -> list[str]:
    bracketed = _in_brackets(name)
    behind = re.findall(r"(?:/|\bin|_|,)\s*([A-Za-zµμ]+)\s*$", name)
    return [unit_cell.strip(" []()"), *bracketed, *behind, name.strip()]


def _unit(text: str) -> tuple[str, str] | None:
    return _UNIT_OF.get(text.strip().lower()) if text.strip() not in ("MV", "MA", "MS") else None
