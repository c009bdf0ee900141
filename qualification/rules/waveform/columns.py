"""Which column of a log holds what, and in which unit, from its heading and its numbers.

Nothing is chosen in silence: where two columns compete, where only a set value is there, or where a heading
names a factor that can be meant both ways, a doubt says so, and blocks where a guess could be wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..arithmetic.engineering import engineering
from .headings import CLOCK, CURRENT, POWER, QUANTITIES, TIME, UNITS, VOLTAGE, Heading, Role, read_heading
from .problems import LogProblem

__all__ = [
    "CLOCK",
    "CURRENT",
    "POWER",
    "QUANTITIES",
    "TIME",
    "UNITS",
    "VOLTAGE",
    "Column",
    "assign",
    "level_doubts",
    "read_heading",
    "role_doubts",
]


MOSTLY = 0.8
"""Share of the lines in which a column without a heading has to hold a number to be taken for one."""


@dataclass(frozen=True)
class Column:
    index: int
    heading: str
    quantity: str
    """One of QUANTITIES."""
    unit: str
    factor: float
    """What a number in the file is multiplied by; holds the scale of a clamp or shunt too."""

    @property
    def scale(self) -> float:
        """The factor beyond that of the unit: of a clamp, a shunt or a probe."""
        return self.factor / UNITS[self.quantity].get(self.unit, 1.0)


def assign(headings: Sequence[Heading], sample: np.ndarray) -> tuple[tuple[Column, ...], list[LogProblem]]:
    """Columns by heading, and by their numbers where headings do not tell. `sample` holds rows of the file,
    not-a-number where a cell holds none."""
    found: dict[str, Column] = {}
    doubts: list[LogProblem] = []
    open_choices: set[str] = set()
    for quantity in QUANTITIES:
        _choose(quantity, headings, found, doubts, open_choices)
    _second_voltage_is_current(headings, found, doubts, open_choices)
    _guess_the_rest(headings, sample, found, doubts, open_choices)
    for quantity in (VOLTAGE, CURRENT):
        if quantity in found and found[quantity].index < len(headings):
            found[quantity] = _by_ratio(found, quantity, headings, sample, doubts)
    return tuple(found[q] for q in QUANTITIES if q in found), doubts


_RANK = {Role.MEASURED: 2, Role.PLAIN: 1, Role.SET: 0, Role.OTHER: 0}


def _choose(
    quantity: str,
    headings: Sequence[Heading],
    found: dict[str, Column],
    doubts: list[LogProblem],
    open_choices: set[str],
) -> None:
    """The one column of a quantity that measures the arc; none where two compete."""
    named = [(i, h) for i, h in enumerate(headings) if h.quantity == quantity]
    if not named:
        return
    best = max(_RANK[h.role] for _, h in named)
    first = [(i, h) for i, h in named if _RANK[h.role] == best]
    if len(first) > 1 and quantity in (VOLTAGE, CURRENT):
        if quantity == VOLTAGE and len(first) == 2 and not any(h.quantity == CURRENT for h in headings):
            found[quantity] = _column(*first[0], quantity, doubts)
            return
        open_choices.add(quantity)
        choose = f"may each be the {quantity}. Choose the one that measures the arc."
        if quantity == VOLTAGE and not any(h.quantity == CURRENT for h in headings):
            # A clamp gives volts, so that one of them may well hold the current.
            open_choices.add(CURRENT)
            choose = "may each be the voltage, or the current by a clamp. Choose one for each."
        doubts.append(LogProblem("columns", f"{_list(first)} {choose}", blocks=True))
        return
    index, heading = first[0]
    found[quantity] = _column(index, heading, quantity, doubts)
    doubts += role_doubts(quantity, index, heading, blocks=True)
    others = [(i, h) for i, h in named if i != index]
    if others and quantity in (VOLTAGE, CURRENT):
        doubts.append(
            LogProblem(
                "columns",
                f"{_call(heading, index).rstrip(',')} is taken for the {quantity}; {_list(others)} "
                f"{'is' if len(others) == 1 else 'are'} left out.",
            )
        )


def role_doubts(quantity: str, index: int, heading: Heading, blocks: bool = False) -> list[LogProblem]:
    """A doubt about a column that, by its heading, does not hold what was measured at the arc."""
    if quantity not in (VOLTAGE, CURRENT) or heading.role in (Role.MEASURED, Role.PLAIN):
        return []
    if heading.role is Role.SET:
        what = "a value that was set, not one that was measured"
    else:
        what = "by its name not that of the arc"
    return [
        LogProblem(
            "columns",
            f"{_call(heading, index)} is {what}. "
            + (
                "Choose the column that measures the arc, or confirm this one."
                if blocks
                else "Every figure here rests on it."
            ),
            blocks=blocks,
        )
    ]


def _list(columns: Sequence[tuple[int, Heading]]) -> str:
    names = [f"column {i + 1}, “{h.text}”" if h.text else f"column {i + 1}" for i, h in columns]
    text = "; ".join(names)
    return text[:1].upper() + text[1:]


def _column(index: int, heading: Heading, quantity: str, doubts: list[LogProblem]) -> Column:
    base = next(iter(UNITS[quantity]))
    if heading.per_unit is not None and quantity == CURRENT and heading.unit is not None:
        doubts.append(
            LogProblem(
                "units",
                f"{_call(heading, index)} states its scale: {heading.per_unit:g} A for one {heading.unit}. "
                "Confirm it.",
            )
        )
        return Column(index, heading.text, quantity, heading.unit, heading.per_unit)
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
                f"many amperes stand for one {heading.unit}.",
                blocks=True,
            )
        )
        return Column(index, heading.text, quantity, heading.unit, 1.0)
    return Column(index, heading.text, quantity, heading.unit, UNITS[quantity][heading.unit])


def _second_voltage_is_current(
    headings: Sequence[Heading],
    found: dict[str, Column],
    doubts: list[LogProblem],
    open_choices: set[str],
) -> None:
    if CURRENT in found or VOLTAGE not in found or CURRENT in open_choices:
        return
    for index, heading in enumerate(headings):
        if (
            heading.quantity == VOLTAGE
            and index != found[VOLTAGE].index
            and heading.role in (Role.MEASURED, Role.PLAIN)
        ):
            found[CURRENT] = _column(index, heading, CURRENT, doubts)
            return


def _guess_the_rest(
    headings: Sequence[Heading],
    sample: np.ndarray,
    found: dict[str, Column],
    doubts: list[LogProblem],
    open_choices: set[str],
) -> None:
    named = {i for i, h in enumerate(headings) if h.quantity is not None}
    filled = np.isfinite(sample).mean(axis=0) if len(sample) else np.zeros(sample.shape[1])
    numeric = [i for i in range(sample.shape[1]) if filled[i] >= MOSTLY]
    free = [i for i in numeric if all(c.index != i for c in found.values()) and i not in named]
    if TIME not in found:
        steps = np.diff(sample, axis=0)
        moving = [
            i
            for i in free
            if len(steps) and np.any(steps[:, i] != 0) and (_one_way(steps[:, i]) or _one_way(-steps[:, i]))
        ]
        if moving:
            found[TIME] = _guessed(moving[0], headings, TIME, doubts)
            free.remove(moving[0])
    for quantity in (VOLTAGE, CURRENT):
        if quantity not in found and free and quantity not in open_choices:
            # Of two unnamed columns the smaller numbers are volts.
            levels = sorted(free, key=lambda i: float(np.nanmean(np.abs(sample[:, i]))))
            chosen = levels[0] if quantity == VOLTAGE else levels[-1]
            found[quantity] = _guessed(chosen, headings, quantity, doubts)
            free.remove(chosen)


def _one_way(steps: np.ndarray) -> bool:
    return bool(np.all(steps[np.isfinite(steps)] >= 0))


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


def _by_ratio(
    found: dict[str, Column],
    quantity: str,
    headings: Sequence[Heading],
    sample: np.ndarray,
    doubts: list[LogProblem],
) -> Column:
    """The column with the bare factor of its heading, such as `x10`: the one way round that an arc can have,
    or a question where both can be meant."""
    column = found[quantity]
    heading = headings[column.index]
    if heading.ratio is None:
        return column
    level = _burning_level(found, column, sample) * column.factor
    limit = engineering().threshold
    name = "volts" if quantity == VOLTAGE else "amps"
    span = limit(f"usual_{name}_least"), limit(f"usual_{name}_most")
    fitting = [f for f in (1.0, heading.ratio, 1 / heading.ratio) if _inside(level * f, span)]
    base = next(iter(UNITS[quantity]))
    if len(fitting) != 1:
        doubts.append(
            LogProblem(
                "factor",
                f"{_call(heading, column.index)} names a factor of {heading.ratio:g}; its numbers are "
                f"{level:.3g} {base} in the mean as they stand. State what one unit of the column stands "
                "for.",
                blocks=True,
            )
        )
        return column
    (factor,) = fitting
    done = "are taken as they stand" if factor == 1 else f"are multiplied by {factor:g}"
    doubts.append(
        LogProblem(
            "factor",
            f"{_call(heading, column.index)} names a factor of {heading.ratio:g}; its numbers {done}, which "
            f"gives {level * factor:.3g} {base} in the mean. Confirm it.",
        )
    )
    return replace(column, factor=column.factor * factor)


def _burning_level(found: dict[str, Column], column: Column, sample: np.ndarray) -> float:
    """Mean size of a column's numbers while the arc burns, by the sample."""
    values = np.abs(sample[:, column.index])
    if CURRENT in found:
        amps = np.abs(sample[:, found[CURRENT].index])
        strong = amps > 0.1 * np.nanpercentile(amps, 95) if np.isfinite(amps).any() else np.zeros(0, bool)
        if strong.any():
            values = values[strong]
    values = values[np.isfinite(values)]
    return float(values.mean()) if len(values) else 0.0


def _call(heading: Heading, index: int) -> str:
    return f"Column {index + 1}, “{heading.text}”," if heading.text else f"Column {index + 1}"


def level_doubts(volts: float, amps: float) -> list[LogProblem]:
    """Doubts from mean levels while the arc burns, in V and A as the columns are understood."""
    limit = engineering().threshold
    volt_span = limit("mean_volts_least"), limit("mean_volts_most")
    amp_span = limit("mean_amps_least"), limit("mean_amps_most")
    if _inside(volts, volt_span) and _inside(amps, amp_span):
        return []
    # Ten volts are the least of an arc in practice; less with a high voltage is a clamp at rest.
    if volts > volt_span[1] and _inside(amps, (10.0, volt_span[1])) and _inside(volts, amp_span):
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
