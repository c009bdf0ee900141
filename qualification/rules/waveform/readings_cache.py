"""The readings of a log beside its file, as plain numbers, so that a closer look needs no second reading of
the text. Written and read without holding them in memory."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from .log import Log, LogGap
from .reading import KEPT


def keep(path: Path, log: Log) -> None:
    """Two rows of numbers, volts and amperes, in the form that `numpy.load` reads."""
    head = {"descr": np.lib.format.dtype_to_descr(np.dtype(KEPT)), "fortran_order": False}
    with path.open("wb") as file:
        np.lib.format.write_array_header_1_0(file, {**head, "shape": (2, log.readings)})
        for row in (log.volts, log.amps):
            row.astype(KEPT, copy=False).tofile(file)


def kept(path: Path, step: float, start: float, gaps: Sequence[LogGap], left_out: int) -> Log:
    """The log again, its readings left on disk until they are looked at."""
    rows = np.load(path, mmap_mode="r")
    return Log(rows[0], rows[1], step, start, tuple(gaps), (), left_out)
