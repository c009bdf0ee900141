"""Reading a confirmed log, in pieces, by the CSV reader of pyarrow (on all cores, with decimal commas).

The file is never held whole, and each reading is kept once: the arrays are made at the greatest length the
file can give and filled piece by piece, and what is never filled takes no memory. They are of single
precision, which has seven figures where the converters of loggers give five; sums are taken in double
precision (`figures.py`). A piece that holds lines without numbers is read a second time as text, so only such
pieces pay for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

from ..arithmetic.engineering import engineering
from .clock import over_midnight, seconds_of_column
from .columns import CLOCK, CURRENT, POWER, TIME, VOLTAGE
from .layout import Layout
from .log import NOTHING, Log
from .missing import whole
from .problems import LogProblem, refuse
from .text import Text, look
from .time_axis import TimeAxis, UnevenError
from .uneven import evened

PIECE, BLOCK = 1 << 22, 1 << 20
"""Bytes read at once, and bytes that a core takes of them."""
KEPT = np.float32
_TYPES = {VOLTAGE: pa.float32(), CURRENT: pa.float32(), TIME: pa.float64(), POWER: pa.float64()}
_CODES = r"(?i)^\s*[-+]?(?:inf(?:inity)?|ovl|o\.?l\.?|over(?:range|load|flow)?|\++|\*+|>+)\s*$"
"""What loggers write where the range was exceeded."""
_NUMBER = {
    ".": r"^\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?\s*$",
    ",": r"^\s*[-+]?(\d+,?\d*|,\d+)([eE][-+]?\d+)?\s*$",
}


@dataclass
class _Gathered:
    volts: np.ndarray
    amps: np.ndarray
    """Filled up to `readings`; not a number where a line held none, infinite where the range was exceeded."""
    readings: int = 0
    lines_lost: int = 0
    """Lines that hold no reading and whose place is not known."""
    first_odd: str = ""
    energy: list[tuple[float, float]] = field(default_factory=list)
    """Sum of the power column and of volts times amperes, by piece."""
    times: list[np.ndarray] = field(default_factory=list)
    """Kept only where readings come at uneven times."""
    spoilt: bool = False
    """Some reading is not a number, or infinite."""


def read_log(path: Path, layout: Layout) -> Log:
    """Read the whole log as `layout` says. Raises LogError where it cannot give figures: doubts that block,
    time that runs backwards, too many lines without numbers, too few readings."""
    if layout.blocking:
        raise refuse(layout.blocking[0].kind, layout.blocking[0].sentence)
    axis: TimeAxis | None = TimeAxis(layout.column(TIME) is not None, layout.rate)
    try:
        gathered = _gather(path, layout, axis)
    except UnevenError:
        axis = None
        gathered = _gather(path, layout, None)
    cut = _is_cut(path, layout)
    lost = gathered.lines_lost
    log = _even(gathered, axis)
    left_out = lost + log.left_out
    _enough(gathered, left_out, log.readings)
    problems = [
        *log.problems,
        *_odd_lines(gathered, left_out),
        *_truncated(cut, layout, gathered.readings + lost),
        *_power(gathered),
    ]
    return replace(log, problems=tuple(problems), left_out=left_out)


def _gather(path: Path, layout: Layout, axis: TimeAxis | None) -> _Gathered:
    most = _most_readings(path, layout)
    gathered = _Gathered(np.empty(most, KEPT), np.empty(most, KEPT))
    with Text(path, layout.writing) as text:
        for piece in _pieces(text, text.skip(layout.offset)):
            _take(piece, layout, gathered, axis)
    return gathered


def _even(gathered: _Gathered, axis: TimeAxis | None) -> Log:
    """The readings at an even step, with what was not recorded bridged or cut out."""
    volts, amps = gathered.volts[: gathered.readings], gathered.amps[: gathered.readings]
    if not len(volts):
        return Log(volts, amps, 1.0, 0.0, (), (), 0)
    over = _over_range(volts, amps) if gathered.spoilt else NOTHING
    if axis is not None:
        step, start, gaps, problems = axis.finish(gathered.readings)
        log = Log(volts, amps, step, start, gaps, tuple(problems), 0, over=over)
        return whole(log) if gathered.spoilt else log
    times = over_midnight(np.concatenate(gathered.times))
    good = np.isfinite(volts) & np.isfinite(amps)
    beyond = np.zeros(len(volts), KEPT)
    beyond[over] = 1
    if np.count_nonzero(good) < 4:
        return Log(volts[:0], amps[:0], 1.0, 0.0, (), (), int(len(volts)))
    made = evened(times[good], (volts[good], amps[good], beyond[good]))
    return Log(
        made.rows[0],
        made.rows[1],
        made.step,
        made.start,
        made.gaps,
        made.problems,
        int(len(good) - np.count_nonzero(good)),
        over=np.flatnonzero(made.rows[2] > 0.5),
    )


def _over_range(volts: np.ndarray, amps: np.ndarray) -> np.ndarray:
    """Where the range of an instrument was exceeded: that reading becomes the greatest that was recorded,
    which is the least it can have been. A single one far from others is a slip of the logger and becomes not
    a number."""
    places = []
    for row in (volts, amps):
        beyond = np.isinf(row)
        if not beyond.any():
            continue
        at = np.flatnonzero(beyond)
        runs = np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)
        slips = len(at) < 1e-3 * len(row) and max(map(len, runs)) <= 2
        if slips:
            row[at] = np.nan
            continue
        fine = row[np.isfinite(row)]
        most = float(np.abs(fine).max()) if len(fine) else 0.0
        row[at] = np.sign(row[at]) * most
        places.append(at)
    return np.unique(np.concatenate(places)) if places else NOTHING


def _most_readings(path: Path, layout: Layout) -> int:
    """As many as the file can hold: each cell takes a figure and a separator or line end at least."""
    return max(0, path.stat().st_size - layout.offset) // (2 * layout.width)


def _pieces(text: Text, first: bytes) -> Iterator[bytes]:
    rest = first
    while True:
        data = text.read(PIECE)
        if not data:
            # What follows the last line end may be half a number, so it is not a reading.
            end = rest.rfind(b"\n") + 1
            if end:
                yield rest[:end]
            return
        end = data.rfind(b"\n") + 1
        if end:
            yield rest + data[:end]
            rest = data[end:]
        else:
            rest += data


def _is_cut(path: Path, layout: Layout) -> bool:
    """True where the last line lacks cells: recording or copying stopped in the middle of it."""
    tail = look(path, layout.writing, max(layout.offset, path.stat().st_size - 4096), 4098)
    last = tail.rsplit(b"\n", 1)[-1]
    return bool(last.strip()) and len(last.decode("utf-8", "replace").split(_splitter(layout))) < layout.width


def _splitter(layout: Layout) -> str | None:
    return None if layout.delimiter == " " else layout.delimiter


def _take(piece: bytes, layout: Layout, gathered: _Gathered, axis: TimeAxis | None) -> None:
    if layout.delimiter == " ":
        piece = b"\n".join(b" ".join(line.split()) for line in piece.split(b"\n"))
    if not piece.isascii():  # a byte that is no letter spoils its own cell, and not the file
        piece = piece.decode("utf-8", "replace").encode("utf-8")
    wanted = {c.quantity: c for c in layout.columns}
    types = {**_TYPES, TIME: pa.string()} if layout.clock else _TYPES
    try:
        table, odd = _read(piece, layout, types)
    except pa.ArrowInvalid:
        table, odd = _read(piece, layout, dict.fromkeys(_TYPES, pa.string()))
        table = _numbers_of(table, layout)
    columns = {q: table.column(f"c{c.index}") for q, c in wanted.items()}
    spoilt = any(column.null_count for column in columns.values())
    arrays = {}
    for quantity, column in wanted.items():
        if quantity == TIME and layout.clock:
            values = seconds_of_column(columns[quantity])
        else:
            values = columns[quantity].to_numpy()
        arrays[quantity] = values if column.factor == 1.0 else values * column.factor
    if TIME in arrays and not np.isfinite(arrays[TIME]).all():
        # Without its time nothing says where a reading belongs.
        dated = np.isfinite(arrays[TIME])
        odd += int(len(dated) - np.count_nonzero(dated))
        arrays = {quantity: values[dated] for quantity, values in arrays.items()}
    spoilt = _codes(arrays) or spoilt
    if (odd or spoilt) and not gathered.first_odd:
        gathered.first_odd = _first_odd(piece, layout)
    gathered.lines_lost += odd
    gathered.spoilt = gathered.spoilt or spoilt
    if axis is not None:
        if odd:
            axis.lines_missing()
        axis.take(arrays.get(TIME), gathered.readings)
    else:
        gathered.times.append(np.asarray(arrays[TIME], np.float64))
    if POWER in arrays:
        watts = np.multiply(arrays[VOLTAGE], arrays[CURRENT], dtype=np.float64)
        both = np.isfinite(watts) & np.isfinite(arrays[POWER])
        gathered.energy.append((float(arrays[POWER][both].sum()), float(watts[both].sum())))
    begin, end = gathered.readings, gathered.readings + len(arrays[VOLTAGE])
    gathered.volts[begin:end], gathered.amps[begin:end] = arrays[VOLTAGE], arrays[CURRENT]
    gathered.readings = end


def _codes(arrays: dict[str, np.ndarray]) -> bool:
    """Readings no arc can have are the code of an exceeded range and become infinite; true where some
    reading is not a number, or infinite."""
    most, found = engineering().threshold("over_range"), False
    for quantity in (VOLTAGE, CURRENT):
        values = arrays[quantity]
        if not len(values):
            continue
        low, high = float(values.min()), float(values.max())
        if -most < low and high < most:
            continue
        found = True
        with np.errstate(invalid="ignore"):
            beyond = np.abs(values) >= most
        if beyond.any():
            values = values.copy()
            values[beyond] = np.where(values[beyond] < 0, -np.inf, np.inf)
            arrays[quantity] = values
    return found


def _read(piece: bytes, layout: Layout, types: Mapping[str, pa.DataType]) -> tuple[pa.Table, int]:
    odd: list[int] = []

    def skip(row: csv.InvalidRow) -> str:
        odd.append(row.actual_columns)
        return "skip"

    trailing = _trailing(piece, layout)
    names = [f"c{i}" for i in range(layout.width + trailing)]
    wanted = {f"c{c.index}": types[c.quantity] for c in layout.columns}
    table = csv.read_csv(
        pa.BufferReader(piece),
        read_options=csv.ReadOptions(column_names=names, block_size=BLOCK),
        parse_options=csv.ParseOptions(delimiter=layout.delimiter, invalid_row_handler=skip),
        convert_options=csv.ConvertOptions(
            column_types=wanted,
            include_columns=list(wanted),
            decimal_point=layout.decimal,
            strings_can_be_null=True,
        ),
    )
    return table, len(odd)


def _trailing(piece: bytes, layout: Layout) -> int:
    """One more, empty cell where lines end with a delimiter."""
    line = piece[: piece.find(b"\n")].rstrip(b"\r")
    return int(layout.delimiter != " " and line.endswith(layout.delimiter.encode()))


def _numbers_of(table: pa.Table, layout: Layout) -> pa.Table:
    """Text columns as numbers: null where a cell holds none, infinite where it says that the range was
    exceeded. Times of day stay text."""
    made = {}
    clocks = {f"c{c.index}" for c in layout.columns if c.unit == CLOCK}
    for name in table.column_names:
        column = table.column(name)
        if name in clocks:
            made[name] = column
            continue
        text = pc.utf8_trim_whitespace(column)
        good = pc.match_substring_regex(text, _NUMBER[layout.decimal])
        plain = pc.replace_substring(
            pc.if_else(good, text, pa.scalar(None, pa.string())), layout.decimal, "."
        )
        over = pc.fill_null(pc.match_substring_regex(text, _CODES), False)
        numbers = pc.cast(plain, pa.float64())
        made[name] = pc.if_else(over, pa.scalar(float("inf"), pa.float64()), numbers)
    return pa.table(made)


def _first_odd(piece: bytes, layout: Layout) -> str:
    indices = [c.index for c in layout.columns if c.unit != CLOCK]
    for line in piece.decode("utf-8", "replace").split("\n"):
        cells = line.rstrip("\r").split(_splitter(layout))
        if line.strip() and (
            len(cells) <= max(indices) or not all(_is_number(cells[i], layout) for i in indices)
        ):
            return line.strip()[:60]
    return ""


def _is_number(cell: str, layout: Layout) -> bool:
    try:
        number = float(cell.strip().strip('"').replace(layout.decimal, "."))
    except ValueError:
        return False
    return abs(number) < engineering().threshold("over_range")


def _enough(gathered: _Gathered, left_out: int, readings: int) -> None:
    least = int(engineering().threshold("samples_least"))
    lines = gathered.readings + gathered.lines_lost
    if left_out / max(1, lines) > engineering().threshold("unread_most"):
        raise refuse(
            "not_numeric",
            f"{left_out} of {lines} lines hold no reading, the first "
            f"“{gathered.first_odd}”. Export the log again with numbers only, one reading to a line.",
        )
    if readings < least:
        raise refuse(
            "too_short",
            f"The log holds {readings} readings; {least} are the least that show a waveform. Record longer.",
        )


def _odd_lines(gathered: _Gathered, left_out: int) -> list[LogProblem]:
    if not left_out:
        return []
    return [
        LogProblem(
            "not_numeric",
            f"{left_out} {'line holds' if left_out == 1 else 'lines hold'} no reading, the first "
            f"“{gathered.first_odd}”. What is missing is taken to be like the rest, and widens the "
            "uncertainty.",
        )
    ]


def _truncated(cut: bool, layout: Layout, found: int) -> list[LogProblem]:
    if layout.announced is not None and found < layout.announced:
        return [
            LogProblem(
                "truncated",
                f"The log announces {layout.announced} readings and holds {found}: it was cut off. Copy the "
                "whole file, or go on with the part there is.",
            )
        ]
    if cut:
        return [
            LogProblem(
                "truncated",
                "The last line breaks off in the middle: the log was cut off. Copy the whole file, or go "
                "on with the part there is.",
            )
        ]
    return []


def _power(gathered: _Gathered) -> list[LogProblem]:
    if not gathered.energy:
        return []
    stated, reckoned = (sum(values) for values in zip(*gathered.energy, strict=True))
    if reckoned and abs(stated / reckoned - 1) > engineering().threshold("power_off"):
        return [
            LogProblem(
                "power",
                f"The power column is {100 * (stated / reckoned - 1):+.1f} % off volts times amperes. "
                "Figures are reckoned from "
                "volts and amperes; check units and scales.",
            )
        ]
    return []
