"""How a log is to be read, recognised from its beginning and a few looks further in, as a proposal to
confirm."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import isfinite
from pathlib import Path

import numpy as np

from ..arithmetic.engineering import engineering
from .clock import seconds_of
from .columns import (
    CLOCK,
    CURRENT,
    QUANTITIES,
    TIME,
    UNITS,
    VOLTAGE,
    Column,
    assign,
    level_doubts,
    read_heading,
    role_doubts,
)
from .headings import Heading
from .problems import LogError, LogProblem, refuse
from .shape import NUMBERS, Shape, cells_of, shape_of
from .text import Writing, look, writing_of

HEAD, LOOK, LOOKS = 1 << 16, 1 << 14, 5
SERIAL_DAYS = (20_000.0, 80_000.0)
"""Days since 1900 as spreadsheets count them, from 1954 to 2119."""
_RATE = re.compile(r"sampl\w*[ _-]*(?:rate|freq\w*)|abtastrate|\brate\b", re.IGNORECASE)
_STEP = re.compile(
    r"sampl\w*[ _-]*(?:interval|period|time|step)|horizontal.*interval|\bdelta\s*t\b|\bdt\b", re.IGNORECASE
)
_LENGTH = re.compile(
    r"record\s*length|(?:number|no\.?) of (?:samples|points)|\bsamples\b|\bpoints\b", re.IGNORECASE
)
_VALUE = re.compile(r"([-+]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?)\s*\W{0,3}\s*([A-Za-zµμ/]*)")
_RATES = {"hz": 1.0, "khz": 1e3, "mhz": 1e6, "s/s": 1.0, "sa/s": 1.0, "ks/s": 1e3, "": 1.0}
_STEPS = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6, "ns": 1e-9, "": 1.0}


@dataclass(frozen=True)
class Layout:
    """Everything needed to read the file. What was taken rather than told stands in `doubts`."""

    delimiter: str
    decimal: str
    offset: int
    """Bytes before the first line of numbers."""
    first_line: int
    """Number of that line, counted from 1."""
    width: int
    """Cells in a line of numbers."""
    columns: tuple[Column, ...]
    rate: float | None
    """Readings per second; from the time column when there is one, else from the preamble or a person."""
    rate_from: str
    """`time column`, `preamble`, `stated`, or empty where it is not known."""
    announced: int | None
    """Number of readings the preamble promises."""
    preview: tuple[tuple[str, ...], ...]
    doubts: tuple[LogProblem, ...]
    writing: Writing = Writing()
    headings: tuple[str, ...] = ()
    """What the file calls its columns; empty where it does not."""

    def column(self, quantity: str) -> Column | None:
        return next((c for c in self.columns if c.quantity == quantity), None)

    @property
    def clock(self) -> bool:
        """Times are written as hours, minutes and seconds."""
        return any(c.unit == CLOCK for c in self.columns)

    @property
    def blocking(self) -> tuple[LogProblem, ...]:
        return tuple(doubt for doubt in self.doubts if doubt.blocks)


def recognise(path: Path) -> Layout:
    """Propose how `path` is to be read. Raises LogError where it is not text, holds no numbers, or cannot
    be told apart into columns."""
    writing = writing_of(path)
    looks = _looks(path, writing)
    head = looks[0]
    lines = _lines(head, whole=path.stat().st_size <= HEAD)
    shape = shape_of(lines)
    delimiter, decimal, first, width = shape.delimiter, shape.decimal, shape.first, shape.width
    above = [cells_of(line, delimiter) for line in lines[:first]]
    sample = _sample(looks, shape, _bytes_before(head, first))
    names, units = ([], []) if first == 0 else _heading_rows(above, width)
    if not shape.beside and len(names) not in (0, width):
        raise _two_sorts_of_comma(
            f"The heading names {len(names)} columns, the lines below hold {width} numbers"
        )
    if not names and delimiter == "," and not shape.beside and _fractions_apart(lines[first:], width):
        raise _two_sorts_of_comma(f"The lines hold {width} whole numbers, some of them with noughts in front")
    names = names if len(names) == width else []
    headings = [read_heading(names[i] if names else "", units[i] if units else "") for i in range(width)]
    usable = [i in shape.clocks or bool(np.isfinite(sample[:, i]).any()) for i in range(width)]
    empty = [_no_numbers(i, h) for i, (h, ok) in enumerate(zip(headings, usable, strict=True)) if not ok]
    headings = [h if ok else read_heading("") for h, ok in zip(headings, usable, strict=True)]
    headings = [_as_clock(h) if i in shape.clocks else h for i, h in enumerate(headings)]
    columns, doubts = assign(headings, sample)
    doubts += [doubt for each in empty for doubt in each]
    proposal = Layout(
        delimiter,
        decimal,
        _bytes_before(head, first),
        first + 1,
        width,
        columns,
        None,
        "",
        _announced(lines[:first] if not shape.beside else lines[: first + 40]),
        tuple(tuple(cells_of(line, delimiter)) for line in lines[first : first + 5]),
        tuple(doubts),
        writing,
        tuple(h.text for h in headings),
    )
    preamble = lines[: first + 40] if shape.beside else lines[:first]
    proposal, doubts = _in_days(proposal, sample, doubts)
    return _checked(_with_rate(proposal, preamble, sample), sample, doubts)


def _as_clock(heading: Heading) -> Heading:
    """A column of times of day is the time, whatever it is called."""
    return replace(heading, quantity=TIME, unit=CLOCK, unit_quantity=TIME, per_unit=None, ratio=None)


def _no_numbers(index: int, heading: Heading) -> list[LogProblem]:
    if heading.quantity not in (VOLTAGE, CURRENT):
        return []
    return [
        LogProblem(
            "not_numeric",
            f"Column {index + 1}, “{heading.text}”, should hold the {heading.quantity} and holds no numbers. "
            "Export the log again, or choose another column.",
            blocks=True,
        )
    ]


def _in_days(layout: Layout, sample: np.ndarray, doubts: list[LogProblem]) -> tuple[Layout, list[LogProblem]]:
    """Times that only make sense as days, as a spreadsheet counts them, or as the time of a computer's
    clock."""
    time = layout.column(TIME)
    if time is None or time.unit == CLOCK or len(sample) < 3:
        return layout, doubts
    times = sample[:400, time.index]
    steps = np.abs(np.diff(times))
    step = float(np.median(steps[steps > 0])) if np.any(steps > 0) else 0.0
    begin = abs(float(times[np.isfinite(times)][0])) if np.isfinite(times).any() else 0.0
    unit = None
    if (
        SERIAL_DAYS[0] < begin < SERIAL_DAYS[1]
        and 0 < step < 1e-4
        or step
        and step * time.factor < 1e-7
        and 10 < 1 / (step * 86400) < 2e6
        and begin < SERIAL_DAYS[1]
    ):
        unit = "d"
    elif begin > 1e11:
        unit = "ms" if begin < 1e14 else "µs" if begin < 1e17 else "ns"
    if unit is None or unit == time.unit:
        return layout, doubts
    said = "days" if unit == "d" else unit
    found = [d for d in doubts if not (d.kind == "units" and f"Column {time.index + 1}" in d.sentence)]
    found.append(
        LogProblem(
            "units",
            f"The time column begins at {times[0]:.10g} and moves by {step:.3g}: it is taken in {said}. "
            "Confirm it.",
        )
    )
    changed_time = replace(time, unit=unit, factor=UNITS[TIME][unit])
    columns = tuple(changed_time if c is time else c for c in layout.columns)
    return replace(layout, columns=columns, doubts=tuple(found)), found


def _two_sorts_of_comma(what: str) -> LogError:
    return refuse(
        "decimal_comma",
        f"{what}: commas stand both in the numbers and between them. Export the log again with semicolons or "
        "tabs between columns, or with decimal points.",
    )


def _fractions_apart(lines: list[str], width: int) -> bool:
    """True where numbers look cut in two at their decimal commas: an even number of cells, all whole, and
    noughts in front as only fractions have them."""
    rows = [cells for line in lines if len(cells := cells_of(line, ",")) == width]
    whole = all(re.fullmatch(r"[-+]?\d+(?:[eE][-+]?\d+)?", cell) for cells in rows for cell in cells)
    return width >= 4 and width % 2 == 0 and whole and any(re.match(r"0\d", c) for r in rows for c in r)


def changed(
    layout: Layout,
    path: Path,
    *,
    columns: dict[str, tuple[int, str, float]] | None = None,
    rate: float | None = None,
) -> Layout:
    """The proposal as a person corrected it: `columns` by quantity as (index from 0, unit, further scale),
    `rate` in Hz where there is no time column. The file is looked at again, so doubts are those of the new
    reading.

    Raises LogError for a column or unit that does not exist.
    """
    chosen = {c.quantity: c for c in layout.columns}
    doubts: list[LogProblem] = []
    for quantity, (index, unit, scale) in (columns or {}).items():
        known = UNITS.get(quantity, {})
        if index not in range(layout.width) or scale <= 0 or (unit not in known and quantity != CURRENT):
            raise refuse(
                "columns", f"Column {index + 1} in {unit} is not something this log can give as {quantity}."
            )
        factor = known.get(unit, 1.0) * scale
        name = layout.headings[index] if index < len(layout.headings) else ""
        chosen[quantity] = Column(index, name, quantity, unit, factor)
        doubts += role_doubts(quantity, index, read_heading(name))
    for quantity in (VOLTAGE, CURRENT):
        if quantity not in chosen:
            # Columns that compete for it do so until one is chosen.
            doubts += [
                d for d in layout.doubts if d.kind == "columns" and d.blocks and _speaks_of(d, quantity)
            ]
    doubts = list(dict.fromkeys(doubts))
    made = replace(layout, columns=tuple(chosen[q] for q in QUANTITIES if q in chosen), doubts=())
    if rate is not None:
        made = replace(made, rate=rate, rate_from="stated")
    shape = Shape(layout.delimiter, layout.decimal, 0, layout.width, _clocks(made))
    sample = _sample(_looks(path, layout.writing), shape, layout.offset)
    if made.column(TIME) is not None:
        made = _with_rate(made, [], sample)
    return _checked(made, sample, doubts)


def _speaks_of(doubt: LogProblem, quantity: str) -> bool:
    return f"the {quantity}" in doubt.sentence


def _clocks(layout: Layout) -> frozenset[int]:
    return frozenset(c.index for c in layout.columns if c.unit == CLOCK)


def _looks(path: Path, writing: Writing) -> list[bytes]:
    """The beginning of the file and a few looks further in, each from the beginning of a line."""
    size = path.stat().st_size
    found = [look(path, writing, 0, HEAD)]
    return found + [look(path, writing, size * part // LOOKS, LOOK) for part in range(1, LOOKS)]


def _lines(head: bytes, whole: bool) -> list[str]:
    text = head.decode("utf-8-sig" if head[:3] == b"\xef\xbb\xbf" else "utf-8", errors="replace")
    text = text.removeprefix("\ufeff")
    lines = text.replace("\r\n", "\n").split("\n")
    return lines if whole else lines[:-1]


def _bytes_before(head: bytes, line: int) -> int:
    at = 0
    for _ in range(line):
        at = head.index(b"\n", at) + 1
    return at


def _heading_rows(above: list[list[str]], width: int) -> tuple[list[str], list[str]]:
    """The row of names right above the numbers, and a row of units under it where there is one."""
    rows = [cells for cells in above if any(cells)]
    if not rows:
        return [], []
    last = rows[-1]
    units_only = len(last) == width and all(
        not cell or cell.strip("[]()").lower() in _KNOWN_UNITS for cell in last
    )
    if units_only and len(rows) > 1 and len(rows[-2]) == width:
        return rows[-2], last
    if len(last) == width:
        return last, []
    named = [read_heading(cell).quantity for cell in last]
    # A preamble line is no heading; one that names quantities and has another width is a riddle to be told.
    return (last, []) if len(last) > 1 and sum(q is not None for q in named) >= 2 else ([], [])


_KNOWN_UNITS = {unit.lower() for units in UNITS.values() for unit in units} | {"us", "sec", "volt", "ampere"}


def _sample(looks: Iterable[bytes], shape: Shape, offset: int) -> np.ndarray:
    """Rows of numbers; not a number where a cell holds none."""
    number, decimal = NUMBERS[shape.decimal], shape.decimal
    rows: list[list[float]] = []

    def value(index: int, cell: str) -> float:
        if index in shape.clocks:
            return seconds_of(cell)
        return float(cell.replace(decimal, ".")) if number.fullmatch(cell) else float("nan")

    for count, each in enumerate(looks):
        for line in each[offset if count == 0 else 0 :].decode("utf-8", errors="replace").split("\n")[:400]:
            cells = cells_of(line, shape.delimiter)
            cells += [""] * (shape.width - len(cells) if len(cells) == shape.width - 1 else 0)
            if len(cells) == shape.width:
                row = [value(i, cell) for i, cell in enumerate(cells)]
                if sum(map(isfinite, row)) >= 2:
                    rows.append(row)
    return np.asarray(rows) if rows else np.full((0, shape.width), np.nan)


def _announced(preamble: list[str]) -> int | None:
    for line in preamble:
        match = _LENGTH.search(line)
        value = _VALUE.search(line, match.end()) if match else None
        if value and value[1].isdecimal():
            return int(value[1])
    return None


def _with_rate(layout: Layout, preamble: list[str], sample: np.ndarray) -> Layout:
    time = layout.column(TIME)
    if time is not None and len(sample) > 2:
        times = sample[:300, time.index] * time.factor
        steps = np.diff(times[np.isfinite(times)])
        # A file written last reading first has a rate all the same; reading it turns it round.
        steps = steps if float(np.sum(steps)) >= 0 else -steps
        span, positive = float(np.sum(steps)), steps[steps > 0]
        # Times rounded to a few digits repeat themselves: then only the whole span tells the step.
        step = 0.0
        if len(steps):
            step = float(np.median(steps)) if np.all(steps > 0) else span / len(steps)
        if len(positive) and step > 0:
            return replace(layout, rate=1 / step, rate_from="time column")
    for line in preamble:
        for pattern, units, turn in ((_STEP, _STEPS, True), (_RATE, _RATES, False)):
            match = pattern.search(line)
            value = _VALUE.search(line, match.end()) if match else None
            if value and value[2].lower() in units:
                number = float(value[1].replace(",", ".")) * units[value[2].lower()]
                if number > 0:
                    return replace(layout, rate=1 / number if turn else number, rate_from="preamble")
    return layout


def _checked(layout: Layout, sample: np.ndarray, doubts: list[LogProblem]) -> Layout:
    found = list(doubts)
    volts, amps = layout.column(VOLTAGE), layout.column(CURRENT)
    for quantity, column in ((VOLTAGE, volts), (CURRENT, amps)):
        if column is None and not any(d.blocks and _speaks_of(d, quantity) for d in found):
            found.append(
                LogProblem("columns", f"No column was found for the {quantity}. Choose one.", blocks=True)
            )
    if layout.rate is None:
        found.append(
            LogProblem(
                "rate",
                "The log has no time column and names no sample rate. State the readings per second.",
                blocks=True,
            )
        )
    elif layout.rate < 0.99 * engineering().threshold("rate_least"):
        found.append(
            LogProblem(
                "coarse_rate",
                f"{layout.rate:.4g} readings per second; a waveform-controlled arc needs about "
                f"{engineering().threshold('rate_least'):.0f}. Means may hold, pulses and short circuits "
                "may not.",
            )
        )
    if volts and amps and len(sample) and not any(d.blocks for d in found):
        v, a = np.abs(sample[:, volts.index]) * volts.factor, np.abs(sample[:, amps.index]) * amps.factor
        most = engineering().threshold("over_range")
        good = np.isfinite(v) & np.isfinite(a) & (v < 1e3 * most) & (a < 1e3 * most)
        v, a = v[good], a[good]
        # Where the arc is out there is nothing to judge a column by.
        burning = a > (np.percentile(a, 98) if len(a) else 0.0) * 0.1
        if np.any(burning):
            found += level_doubts(float(np.mean(v[burning])), float(np.mean(a[burning])))
    return replace(layout, doubts=tuple(found))
