"""How a log is to be read, recognised from its beginning and a few looks further in, as a proposal to
confirm."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..arithmetic.engineering import engineering
from .columns import CURRENT, QUANTITIES, TIME, UNITS, VOLTAGE, Column, assign, level_doubts, read_heading
from .problems import LogError, LogProblem, refuse

HEAD, LOOK, LOOKS = 1 << 16, 1 << 14, 5
_DELIMITERS = (";", "\t", ",", "|", " ")
_NUMBERS = {
    ".": re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"),
    ",": re.compile(r"[-+]?(?:\d+,?\d*|,\d+)(?:[eE][-+]?\d+)?"),
}
_RATE = re.compile(r"sampl\w*[ _-]*(?:rate|freq\w*)|abtastrate|\brate\b", re.IGNORECASE)
_STEP = re.compile(
    r"sampl\w*[ _-]*(?:interval|period|time|step)|horizontal.*interval|\bdelta\s*t\b|\bdt\b", re.IGNORECASE
)
_LENGTH = re.compile(
    r"record\s*length|(?:number|no\.?) of (?:samples|points)|\bsamples\b|\bpoints\b", re.IGNORECASE
)
_VALUE = re.compile(r"([-+]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?)\s*\W{0,3}\s*([A-Za-zµμ/]*)")
_CLOCK = re.compile(r"^[^A-Za-z]*\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?\W")
"""A line of readings that begins with the time of day."""
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

    def column(self, quantity: str) -> Column | None:
        return next((c for c in self.columns if c.quantity == quantity), None)

    @property
    def blocking(self) -> tuple[LogProblem, ...]:
        return tuple(doubt for doubt in self.doubts if doubt.blocks)


def recognise(path: Path) -> Layout:
    """Propose how `path` is to be read. Raises LogError where it is not text, holds no numbers, or cannot
    be told apart into columns."""
    looks = _looks(path)
    head = looks[0]
    lines = _lines(head, whole=path.stat().st_size <= HEAD)
    delimiter, decimal, first, width = _shape(lines)
    above = [_cells(line, delimiter) for line in lines[:first]]
    sample = _sample(looks, delimiter, decimal, width, _bytes_before(head, first))
    names, units = _heading_rows(above, width)
    if len(names) not in (0, width):
        raise _two_sorts_of_comma(
            f"The heading names {len(names)} columns, the lines below hold {width} numbers"
        )
    if not names and delimiter == "," and _fractions_apart(lines[first:], width):
        raise _two_sorts_of_comma(f"The lines hold {width} whole numbers, some of them with noughts in front")
    headings = [read_heading(names[i] if names else "", units[i] if units else "") for i in range(width)]
    columns, doubts = assign(headings, sample)
    proposal = Layout(
        delimiter,
        decimal,
        _bytes_before(head, first),
        first + 1,
        width,
        columns,
        None,
        "",
        _announced(lines[:first]),
        tuple(tuple(_cells(line, delimiter)) for line in lines[first : first + 5]),
        tuple(doubts),
    )
    return _checked(_with_rate(proposal, lines[:first], sample), sample, doubts)


def _two_sorts_of_comma(what: str) -> LogError:
    return refuse(
        "decimal_comma",
        f"{what}: commas stand both in the numbers and between them. Export the log again with semicolons or "
        "tabs between columns, or with decimal points.",
    )


def _fractions_apart(lines: list[str], width: int) -> bool:
    """True where numbers look cut in two at their decimal commas: an even number of cells, all whole, and
    noughts in front as only fractions have them."""
    rows = [cells for line in lines if len(cells := _cells(line, ",")) == width]
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
    for quantity, (index, unit, scale) in (columns or {}).items():
        known = UNITS.get(quantity, {})
        if index not in range(layout.width) or scale <= 0 or (unit not in known and quantity != CURRENT):
            raise refuse(
                "columns", f"Column {index + 1} in {unit} is not something this log can give as {quantity}."
            )
        factor = known.get(unit, 1.0) * scale
        chosen[quantity] = Column(index, "", quantity, unit, factor)
    made = replace(layout, columns=tuple(chosen[q] for q in QUANTITIES if q in chosen), doubts=())
    if rate is not None:
        made = replace(made, rate=rate, rate_from="stated")
    sample = _sample(_looks(path), layout.delimiter, layout.decimal, layout.width, layout.offset)
    if made.column(TIME) is not None:
        made = _with_rate(made, [], sample)
    return _checked(made, sample, [])


def _looks(path: Path) -> list[bytes]:
    """The beginning of the file and a few looks further in, each from the beginning of a line."""
    with path.open("rb") as file:
        looks = [file.read(HEAD)]
        for part in range(1, LOOKS):
            file.seek(path.stat().st_size * part // LOOKS)
            file.readline()
            looks.append(file.read(LOOK))
    return looks


def _lines(head: bytes, whole: bool) -> list[str]:
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\x00" in head[:200]:
        raise refuse("not_text", "The file is not plain text (or is UTF-16). Export the log as CSV in UTF-8.")
    text = head.decode("utf-8-sig" if head[:3] == b"\xef\xbb\xbf" else "utf-8", errors="replace")
    lines = text.replace("\r\n", "\n").split("\n")
    return lines if whole else lines[:-1]


def _bytes_before(head: bytes, line: int) -> int:
    at = 0
    for _ in range(line):
        at = head.index(b"\n", at) + 1
    return at


def _cells(line: str, delimiter: str) -> list[str]:
    cells = line.split() if delimiter == " " else line.rstrip("\r\n").split(delimiter)
    cells = [cell.strip().strip('"').strip() for cell in cells]
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return cells


def _shape(lines: list[str]) -> tuple[str, str, int, int]:
    """Delimiter, decimal sign, first line of numbers and their count, by what reads the most lines."""
    best: tuple[int, int, str, str, int] | None = None
    for delimiter in _DELIMITERS:
        for decimal in (".", ","):
            if delimiter == decimal:
                continue
            first, rows, width = _longest_run(lines, delimiter, decimal)
            if width >= 2 and (best is None or (rows, width) > best[:2]):
                best = (rows, width, delimiter, decimal, first)
    if best is None or best[0] < 3:
        if any(_CLOCK.search(line) for line in lines):
            raise refuse(
                "no_numbers",
                "Times stand as hours, minutes and seconds. Export the log again with the time in seconds, "
                "or without a time column and state the readings per second.",
            )
        raise refuse(
            "no_numbers",
            "No lines with two or more columns of numbers were found at the beginning of the file. "
            "Export voltage and "
            "current as CSV, one reading to a line.",
        )
    rows, width, delimiter, decimal, first = best
    return delimiter, decimal, first, width


def _longest_run(lines: list[str], delimiter: str, decimal: str) -> tuple[int, int, int]:
    """Start, length and width of the longest run of lines of numbers of one width, odd lines in between
    allowed."""
    number = _NUMBERS[decimal]
    counts: dict[int, tuple[int, int]] = {}
    for at, line in enumerate(lines):
        if not line.strip():
            continue
        cells = _cells(line, delimiter)
        if len(cells) >= 2 and all(number.fullmatch(cell) for cell in cells):
            start, seen = counts.get(len(cells), (at, 0))
            counts[len(cells)] = (start, seen + 1)
    if not counts:
        return 0, 0, 0
    width, (start, seen) = max(counts.items(), key=lambda item: (item[1][1], item[0]))
    return start, seen, width


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


def _sample(looks: Iterable[bytes], delimiter: str, decimal: str, width: int, offset: int) -> np.ndarray:
    rows: list[list[float]] = []
    for number, look in enumerate(looks):
        for line in look[offset if number == 0 else 0 :].decode("utf-8", errors="replace").split("\n")[:400]:
            cells = _cells(line, delimiter)
            if len(cells) == width and all(_NUMBERS[decimal].fullmatch(cell) for cell in cells):
                rows.append([float(cell.replace(decimal, ".")) for cell in cells])
    return np.asarray(rows)


def _announced(preamble: list[str]) -> int | None:
    for line in preamble:
        match = _LENGTH.search(line)
        value = _VALUE.search(line, match.end()) if match else None
        if value and value[1].isdigit():
            return int(value[1])
    return None


def _with_rate(layout: Layout, preamble: list[str], sample: np.ndarray) -> Layout:
    time = layout.column(TIME)
    if time is not None and len(sample) > 2:
        steps = np.diff(sample[:300, time.index]) * time.factor
        span, positive = float(np.sum(steps)), steps[steps > 0]
        # Times rounded to a few digits repeat themselves: then only the whole span tells the step.
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
        if column is None:
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
    elif layout.rate < engineering().threshold("rate_least"):
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
        # Where the arc is out there is nothing to judge a column by.
        burning = a > np.max(a) * 0.02
        if np.any(burning):
            found += level_doubts(float(np.mean(v[burning])), float(np.mean(a[burning])))
    return replace(layout, doubts=tuple(found))
