"""Which column of a log holds what, and in which unit, from its heading and its numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..arithmetic.engineering import engineering
from .problems import LogProblem

TIME, VOLTAGE, CURRENT, POWER = "time", "voltage", "current", "power"
QUANTITIES = (TIME, VOLTAGE, CURRENT, POWER)
UNITS: dict[str, dict[str, float]] = {
    TIME: {"s": 1.0, "ms": 1e-3, "µs": 1e-6, "ns": 1e-9, "min": 60.0},
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
_UNIT_OF = {unit.lower(): (quantity, unit) for quantity, units in UNITS.items() for unit in units}
_UNIT_OF |= {
    spelling: _UNIT_OF[unit]
    for spelling, unit in (
        ("us", "µs"),
        ("μs", "µs"),
        ("sec", "s"),
        ("second", "s"),
        ("seconds", "s"),
        ("msec", "ms"),
        ("usec", "µs"),
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


@dataclass(frozen=True)
class Column:
    index: int
    heading: str
    quantity: str
    """One of QUANTITIES."""
    unit: str
    factor: float
    """What a number in the file is multiplied by; holds the scale of a clamp or shunt too."""


@dataclass(frozen=True)
class Heading:
    """What a heading says by itself."""

    text: str
    quantity: str | None
    unit: str | None
    unit_quantity: str | None
    """What the unit measures; differs from `quantity` where a clamp's output stands in millivolts."""


def read_heading(name: str, unit_cell: str = "") -> Heading:
    """The quantity and unit a heading names, such as `Current (A)`, `U/V`, `t [ms]`, `I_arc`."""
    text = " ".join(f"{name} {f'({unit_cell})' if unit_cell else ''}".split())
    unit = next((found for found in map(_unit, _unit_texts(name, unit_cell)) if found), None)
    plain = re.sub(r"[\[(][^\])]*[\])]", " ", name).replace("_", " ").replace("/", " ").lower()
    quantity = next((q for q, pattern in _NAMES if re.search(pattern, plain)), None)
    if quantity is None and unit is not None:
        quantity = unit[0]
    return Heading(text, quantity, unit[1] if unit else None, unit[0] if unit else None)


def _unit_texts(name: str, unit_cell: str) -> list[str]:
    bracketed = re.findall(r"[\[(]\s*([^\])]+?)\s*[\])]", name)
    behind = re.findall(r"(?:/|\bin|_|,)\s*([A-Za-zµμ]+)\s*$", name)
    return [unit_cell.strip(" []()"), *bracketed, *behind, name.strip()]


def _unit(text: str) -> tuple[str, str] | None:
    return _UNIT_OF.get(text.strip().lower()) if text.strip() not in ("MV", "MA", "MS") else None


def assign(headings: Sequence[Heading], sample: np.ndarray) -> tuple[tuple[Column, ...], list[LogProblem]]:
    """Columns by heading, and by their numbers where headings do not tell. `sample` holds rows of the
    file."""
    found: dict[str, Column] = {}
    doubts: list[LogProblem] = []
    for index, heading in enumerate(headings):
        if heading.quantity is not None and heading.quantity not in found:
            found[heading.quantity] = _column(index, heading, heading.quantity, doubts)
    _second_voltage_is_current(headings, found, doubts)
    _guess_the_rest(headings, sample, found, doubts)
    return tuple(found[q] for q in QUANTITIES if q in found), doubts


def _column(index: int, heading: Heading, quantity: str, doubts: list[LogProblem]) -> Column:
    base = next(iter(UNITS[quantity]))
    if heading.unit is None:
        doubts.append(
            LogProblem("units", f"{_call(heading, index)} names no unit; {base} is taken. Confirm it.")
        )
        return Column(index, heading.text, quantity, base, 1.0)
    if heading.unit_quantity != quantity:
        doubts.append(
            LogProblem(
                "units",
                f"{_call(heading, index)} is in {heading.unit}: the output of a clamp or shunt. State how "
                "many amperes "
                f"stand for one {heading.unit}.",
                blocks=True,
            )
        )
        return Column(index, heading.text, quantity, heading.unit, 1.0)
    return Column(index, heading.text, quantity, heading.unit, UNITS[quantity][heading.unit])


def _second_voltage_is_current(
    headings: Sequence[Heading], found: dict[str, Column], doubts: list[LogProblem]
) -> None:
    if CURRENT in found or VOLTAGE not in found:
        return
    for index, heading in enumerate(headings):
        if heading.quantity == VOLTAGE and index != found[VOLTAGE].index:
            found[CURRENT] = _column(index, heading, CURRENT, doubts)
            return


def _guess_the_rest(
    headings: Sequence[Heading], sample: np.ndarray, found: dict[str, Column], doubts: list[LogProblem]
) -> None:
    free = [i for i in range(sample.shape[1]) if all(c.index != i for c in found.values())]
    if TIME not in found:
        steps = np.diff(sample, axis=0)
        rising = [i for i in free if len(steps) and np.all(steps[:, i] >= 0) and np.any(steps[:, i] > 0)]
        if rising:
            found[TIME] = _guessed(rising[0], headings, TIME, doubts)
            free.remove(rising[0])
    for quantity in (VOLTAGE, CURRENT):
        if quantity not in found and free:
            # Of two unnamed columns the smaller numbers are volts.
            levels = sorted(free, key=lambda i: float(np.mean(np.abs(sample[:, i]))))
            chosen = levels[0] if quantity == VOLTAGE else levels[-1]
            found[quantity] = _guessed(chosen, headings, quantity, doubts)
            free.remove(chosen)


def _guessed(index: int, headings: Sequence[Heading], quantity: str, doubts: list[LogProblem]) -> Column:
    unit = next(iter(UNITS[quantity]))
    text = headings[index].text if index < len(headings) else ""
    doubts.append(
        LogProblem(
            "columns",
            f"Column {index + 1} is taken as {quantity} in {unit} from its numbers alone. Confirm it.",
        )
    )
    return Column(index, text, quantity, unit, 1.0)


def _call(heading: Heading, index: int) -> str:
    return f"Column {index + 1}, “{heading.text}”," if heading.text else f"Column {index + 1}"


def level_doubts(volts: float, amps: float) -> list[LogProblem]:
    """Doubts from mean levels while the arc burns, in V and A as the columns are understood."""
    limit = engineering().threshold
    volt_span = limit("mean_volts_least"), limit("mean_volts_most")
    amp_span = limit("mean_amps_least"), limit("mean_amps_most")
    if _inside(volts, volt_span) and _inside(amps, amp_span):
        return []
    if volts > volt_span[1] and _inside(amps, volt_span) and _inside(volts, amp_span):
        return [
            LogProblem(
                "swapped",
                f"The voltage column holds {volts:.3g} V in the mean and the current column {amps:.3g} A: "
                "that looks like "
                "the two swapped. Exchange the columns, or confirm them as they are.",
            )
        ]
    found = []
    for name, unit, value, span in (("voltage", "V", volts, volt_span), ("current", "A", amps, amp_span)):
        found += _unit_doubt(name, unit, value, span)
    return found


def _unit_doubt(name: str, unit: str, value: float, span: tuple[float, float]) -> list[LogProblem]:
    if _inside(value, span):
        return []
    for prefix, factor in (("m", 1e-3), ("k", 1e3)):
        if _inside(value * factor, span):
            return [
                LogProblem(
                    "units",
                    f"The {name} column holds {value:.4g} {unit} in the mean, which no arc has; as "
                    f"{prefix}{unit} it would be "
                    f"{value * factor:.4g} {unit}. Set its unit to {prefix}{unit}, or state the scale of "
                    "the clamp or probe.",
                )
            ]
    return [
        LogProblem(
            "units",
            f"The {name} column holds {value:.4g} {unit} in the mean; an arc has {span[0]:g} to "
            f"{span[1]:g} {unit}. "
            "Check column, unit and scale.",
        )
    ]


def _inside(value: float, span: tuple[float, float]) -> bool:
    return span[0] <= value <= span[1]
