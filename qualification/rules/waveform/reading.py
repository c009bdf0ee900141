"""Reading a confirmed log, in pieces, by the CSV reader of pyarrow (on all cores, with decimal commas).

The file is never held whole, and each reading is kept once: the arrays are made at the greatest length the
file can give and filled piece by piece, and what is never filled takes no memory. They are of single
precision, which has seven figures where the converters of loggers give five; sums are taken in double
precision (`figures.py`). A piece that holds lines without numbers is read a second time as text, so only such
pieces pay for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

from ..arithmetic.engineering import engineering
from .columns import CURRENT, POWER, TIME, VOLTAGE
from .layout import Layout
from .log import Log
from .problems import LogProblem, refuse
from .time_axis import TimeAxis

PIECE, BLOCK = 1 << 22, 1 << 20
"""Bytes read at once, and bytes that a core takes of them."""
KEPT = np.float32
_TYPES = {VOLTAGE: pa.float32(), CURRENT: pa.float32(), TIME: pa.float64(), POWER: pa.float64()}
_NUMBER = {
    ".": r"^\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?\s*$",
    ",": r"^\s*[-+]?(\d+,?\d*|,\d+)([eE][-+]?\d+)?\s*$",
}


@dataclass
class _Gathered:
    volts: np.ndarray
    amps: np.ndarray
    """Filled up to `readings`."""
    readings: int = 0
    left_out: int = 0
    first_odd: str = ""
    energy: list[tuple[float, float]] = field(default_factory=list)
    """Sum of the power column and of volts times amperes, by piece."""


def read_log(path: Path, layout: Layout) -> Log:
    """Read the whole log as `layout` says. Raises LogError where it cannot give figures: doubts that block,
    time that runs backwards, too many lines without numbers, too few readings."""
    if layout.blocking:
        raise refuse(layout.blocking[0].kind, layout.blocking[0].sentence)
    most = _most_readings(path, layout)
    gathered = _Gathered(np.empty(most, KEPT), np.empty(most, KEPT))
    axis = TimeAxis(layout.column(TIME) is not None, layout.rate)
    cut = _is_cut(path, layout)
    with path.open("rb") as file:
        file.seek(layout.offset)
        for piece in _pieces(file):
            _take(piece, layout, gathered, axis)
    _enough(gathered)
    step, start, gaps, problems = axis.finish(gathered.readings)
    problems = [*problems, *_odd_lines(gathered), *_truncated(cut, layout, gathered), *_power(gathered)]
    volts, amps = gathered.volts[: gathered.readings], gathered.amps[: gathered.readings]
    return Log(volts, amps, step, start, gaps, tuple(problems), gathered.left_out)


def _most_readings(path: Path, layout: Layout) -> int:
    """As many as the file can hold: each cell takes a figure and a separator or line end at least."""
    return max(0, path.stat().st_size - layout.offset) // (2 * layout.width)


def _pieces(file: BinaryIO) -> Iterator[bytes]:
    rest = b""
    while True:
        data = file.read(PIECE)
        if not data:
            # What follows the last line end may be half a number, so it is not a reading.
            return
        end = data.rfind(b"\n") + 1
        if end:
            yield rest + data[:end]
            rest = data[end:]
        else:
            rest += data


def _is_cut(path: Path, layout: Layout) -> bool:
    """True where the last line lacks cells: recording or copying stopped in the middle of it."""
    with path.open("rb") as file:
        file.seek(max(layout.offset, path.stat().st_size - 4096))
        tail = file.read()
    last = tail.rsplit(b"\n", 1)[-1]
    return bool(last.strip()) and len(last.decode("utf-8", "replace").split(_splitter(layout))) < layout.width


def _splitter(layout: Layout) -> str | None:
    return None if layout.delimiter == " " else layout.delimiter


def _take(piece: bytes, layout: Layout, gathered: _Gathered, axis: TimeAxis) -> None:
    if layout.delimiter == " ":
        piece = b"\n".join(b" ".join(line.split()) for line in piece.split(b"\n"))
    wanted = {c.quantity: c for c in layout.columns}
    try:
        table, odd = _read(piece, layout, _TYPES)
    except pa.ArrowInvalid:
        table, odd = _read(piece, layout, dict.fromkeys(_TYPES, pa.string()))
        table = _numbers_of(table, layout.decimal)
    complete = _complete(table)
    if odd or complete is not None:
        if not gathered.first_odd:
            gathered.first_odd = _first_odd(piece, layout)
        if complete is not None:
            odd += int(len(complete) - np.count_nonzero(complete))
    arrays = {}
    for quantity, column in wanted.items():
        values = table.column(f"c{column.index}").to_numpy()
        values = values if complete is None else values[complete]
        arrays[quantity] = values if column.factor == 1.0 else values * column.factor
    gathered.left_out += odd
    if odd:
        axis.lines_missing()
    axis.take(arrays.get(TIME), gathered.readings)
    if POWER in arrays:
        watts = np.multiply(arrays[VOLTAGE], arrays[CURRENT], dtype=np.float64)
        gathered.energy.append((float(arrays[POWER].sum()), float(watts.sum())))
    begin, end = gathered.readings, gathered.readings + len(arrays[VOLTAGE])
    gathered.volts[begin:end], gathered.amps[begin:end] = arrays[VOLTAGE], arrays[CURRENT]
    gathered.readings = end


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


def _numbers_of(table: pa.Table, decimal: str) -> pa.Table:
    """Text columns as numbers, null where a cell holds none."""
    made = {}
    for name in table.column_names:
        column = table.column(name)
        good = pc.match_substring_regex(column, _NUMBER[decimal])
        text = pc.utf8_trim_whitespace(pc.if_else(good, column, pa.scalar(None, pa.string())))
        made[name] = pc.cast(pc.replace_substring(text, decimal, "."), pa.float64())
    return pa.table(made)


def _complete(table: pa.Table) -> np.ndarray | None:
    """Which rows hold a number in every column; `None` when all do."""
    if all(table.column(name).null_count == 0 for name in table.column_names):
        return None
    masks = [pc.is_valid(table.column(name)).to_numpy() for name in table.column_names]
    return np.logical_and.reduce(masks)


def _first_odd(piece: bytes, layout: Layout) -> str:
    indices = [c.index for c in layout.columns]
    for line in piece.decode("utf-8", "replace").split("\n"):
        cells = line.rstrip("\r").split(_splitter(layout))
        if line.strip() and (
            len(cells) <= max(indices) or not all(_is_number(cells[i], layout) for i in indices)
        ):
            return line.strip()[:60]
    return ""


def _is_number(cell: str, layout: Layout) -> bool:
    try:
        float(cell.strip().strip('"').replace(layout.decimal, "."))
    except ValueError:
        return False
    return True


def _enough(gathered: _Gathered) -> None:
    least = int(engineering().threshold("samples_least"))
    share = gathered.left_out / max(1, gathered.left_out + gathered.readings)
    if share > engineering().threshold("unread_most"):
        raise refuse(
            "not_numeric",
            f"{gathered.left_out} of {gathered.left_out + gathered.readings} lines hold no reading, the "
            "first "
            f"“{gathered.first_odd}”. Export the log again with numbers only, one reading to a line.",
        )
    if gathered.readings < least:
        raise refuse(
            "too_short",
            f"The log holds {gathered.readings} readings; {least} are the least that show a waveform. "
            "Record longer.",
        )


def _odd_lines(gathered: _Gathered) -> list[LogProblem]:
    if not gathered.left_out:
        return []
    return [
        LogProblem(
            "not_numeric",
            f"{gathered.left_out} lines hold no reading and were left out, the first “{gathered.first_odd}”.",
        )
    ]


def _truncated(cut: bool, layout: Layout, gathered: _Gathered) -> list[LogProblem]:
    found = gathered.readings + gathered.left_out
    if layout.announced is not None and found < layout.announced:
        return [
            LogProblem(
                "truncated",
                f"The log announces {layout.announced} readings and holds {found}: it was cut off. Copy "
                "the whole file, or go on "
                "with the part there is.",
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
