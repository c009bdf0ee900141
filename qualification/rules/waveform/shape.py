"""How the lines of a log fall into columns: delimiter, decimal sign, where the numbers begin, which columns
hold numbers."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from .clock import is_clock
from .problems import refuse

DELIMITERS = (";", "\t", ",", "|", " ")
NUMBERS = {
    ".": re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"),
    ",": re.compile(r"[-+]?(?:\d+,?\d*|,\d+)(?:[eE][-+]?\d+)?"),
}
MOSTLY = 0.9
"""Share of the lines in which a column has to hold a number."""


@dataclass(frozen=True)
class Shape:
    delimiter: str
    decimal: str
    first: int
    """Index of the first line of readings."""
    width: int
    clocks: frozenset[int]
    """Columns of times of day."""
    beside: bool = False
    """Other text stands beside the numbers, as with scopes that write their settings there."""


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line of a log, without quotation marks and without the empty one that a delimiter at
    its end leaves."""
    parts = line.split() if delimiter == " " else line.split(delimiter)
    cells = [part.strip().strip('"') for part in parts]
    return cells[:-1] if len(cells) > 2 and cells[-1] == "" and delimiter != " " else cells


def shape_of(lines: list[str]) -> Shape:
    """By what reads the most lines. Raises LogError where no two columns of numbers are found."""
    best: tuple[int, int, Shape] | None = None
    for delimiter in DELIMITERS:
        for decimal in (".", ","):
            if delimiter != decimal:
                rows, found = _numbers_only(lines, delimiter, decimal)
                if found.width >= 2 and (best is None or (rows, found.width) > best[:2]):
                    best = (rows, found.width, found)
    if best is not None and best[0] >= 3 and best[0] >= 0.3 * len([line for line in lines if line.strip()]):
        return best[2]
    mixed = [
        beside
        for delimiter in DELIMITERS
        for decimal in (".", ",")
        if delimiter != decimal and (beside := _beside(lines, delimiter, decimal)) is not None
    ]
    if mixed:
        return max(mixed, key=lambda each: each[0])[1]
    if best is not None and best[0] >= 3:
        return best[2]
    raise refuse(
        "no_numbers",
        "No lines with two or more columns of numbers were found at the beginning of the file. "
        "Export voltage and current as CSV, one reading to a line.",
    )


def _numbers_only(lines: list[str], delimiter: str, decimal: str) -> tuple[int, Shape]:
    """Count, start and width of the lines that hold numbers alone, odd lines in between allowed."""
    number = NUMBERS[decimal]
    counts: dict[int, tuple[int, int]] = {}
    for at, line in enumerate(lines):
        if not line.strip():
            continue
        cells = cells_of(line, delimiter)
        if len(cells) >= 2 and all(number.fullmatch(cell) for cell in cells):
            start, seen = counts.get(len(cells), (at, 0))
            counts[len(cells)] = (start, seen + 1)
    if not counts:
        return 0, Shape(delimiter, decimal, 0, 0, frozenset())
    width, (start, seen) = max(counts.items(), key=lambda item: (item[1][1], item[0]))
    return seen, Shape(delimiter, decimal, start, width, frozenset())


def _beside(lines: list[str], delimiter: str, decimal: str) -> tuple[tuple[int, int], Shape] | None:
    """Lines of one width of which some columns hold numbers or times and others text, or nothing."""
    rows = [(at, _all_cells(line, delimiter)) for at, line in enumerate(lines) if line.strip()]
    widths = Counter(len(cells) for _, cells in rows if len(cells) >= 2)
    if not widths:
        return None
    width = max(widths, key=lambda each: (widths[each], each))
    same = [(at, cells) for at, cells in rows if len(cells) == width]
    if len(same) < 3:
        return None
    number = NUMBERS[decimal]
    # The heading, and what stands above the numbers, counts for nothing: judge by the later half.
    later = same[len(same) // 2 :]
    clocks = [i for i in range(width) if _mostly(is_clock(cells[i]) for _, cells in later)]
    numeric = [
        i
        for i in range(width)
        if i not in clocks and _mostly(number.fullmatch(c[i]) is not None for _, c in later)
    ]
    if len(numeric) < 2:
        return None

    def reads(cells: list[str]) -> bool:
        return all(number.fullmatch(cells[i]) for i in numeric) and all(is_clock(cells[i]) for i in clocks)

    good = [at for at, cells in same if reads(cells)]
    if len(good) < 3:
        return None
    kept = len(numeric) + len(clocks)
    return (len(good), kept), Shape(
        delimiter, decimal, good[0], width, frozenset(clocks), kept < width or bool(clocks)
    )


def _all_cells(line: str, delimiter: str) -> list[str]:
    parts = line.split() if delimiter == " " else line.split(delimiter)
    return [part.strip().strip('"') for part in parts]


def _mostly(found: object) -> bool:
    hits = list(found)  # type: ignore[call-overload]
    return bool(hits) and sum(hits) >= MOSTLY * len(hits)
