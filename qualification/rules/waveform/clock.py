"""Times written as hours, minutes and seconds, alone or behind a date, as seconds since midnight."""

from __future__ import annotations

import re

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

DAY = 86_400.0
_PARTS = (
    r"(?:^|[ T])(?:(?P<hours>\d{1,2}):)?(?P<minutes>\d{1,2}):(?P<seconds>\d{2}(?:[.,]\d+)?)"
    r"\s*(?:(?P<half>[AaPp][Mm])\s*)?(?:Z|[+-]\d{2}:?\d{2})?$"
)
_ONE = re.compile(_PARTS)


def is_clock(cell: str) -> bool:
    """True for `08:15:00.5`, `15:00.5`, `2026-03-02T08:15:00,5Z`, `3/2/2026 8:15:00 PM`."""
    return _ONE.search(cell.strip().strip('"')) is not None


def seconds_of(cell: str) -> float:
    """Seconds since midnight, or since the hour where none is written; not a number for anything else."""
    match = _ONE.search(cell.strip().strip('"'))
    if match is None:
        return float("nan")
    hours = float(match["hours"] or 0)
    if match["half"]:
        hours = hours % 12 + (12 if match["half"].lower() == "pm" else 0)
    return hours * 3600 + float(match["minutes"]) * 60 + float(match["seconds"].replace(",", "."))


def seconds_of_column(cells: pa.ChunkedArray) -> np.ndarray:
    """The same for a whole column; not a number where a cell holds no time."""
    parts = pc.extract_regex(pc.utf8_trim(cells, characters=' "'), _PARTS).combine_chunks()

    def numbers(name: str) -> np.ndarray:
        text = pc.replace_substring(parts.field(name), ",", ".")
        blank = pc.equal(text, "")
        return pc.cast(pc.if_else(blank, "0", text), pa.float64()).to_numpy(zero_copy_only=False)

    valid = pc.is_valid(parts).to_numpy(zero_copy_only=False)
    hours = numbers("hours")
    half = pc.utf8_lower(parts.field("half"))
    late = pc.fill_null(pc.equal(half, "pm"), False).to_numpy(zero_copy_only=False)
    early = pc.fill_null(pc.equal(half, "am"), False).to_numpy(zero_copy_only=False)
    hours = np.where(late | early, hours % 12 + 12 * late, hours)
    found = hours * 3600 + numbers("minutes") * 60 + numbers("seconds")
    return np.where(valid, found, np.nan)


def over_midnight(times: np.ndarray) -> np.ndarray:
    """Times of day that go on after midnight instead of beginning again."""
    turns = np.diff(times, prepend=times[:1]) < -DAY / 2
    return times + DAY * np.cumsum(turns) if turns.any() else times
