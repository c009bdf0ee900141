"""Import and analysis of ten million readings against a bare columnar read of the same file, in one run: once
for a log with a time column and many digits, once for one of short lines, where readings weigh most against
the file.

    .venv/bin/python -m tests.benchmarks.waveform [readings]

The bare read is `pyarrow.csv.read_csv`, the reader the program itself uses; the whole is what a page has
done: recognise, read, reckon, thin out for the plot, keep the readings. Each side runs in a process of its
own, in turn, so that neither warms the other up; the least of five times counts. Memory is the greatest
resident size of the process less what it held before it opened the file. Goals: time at most 2, memory at
most 3.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import csv

from tests.rules.waveform.synthetic import Wave, double_pulsed, noisy

ROUNDS, RATE = 5, 100_000.0


def thick(wave: Wave) -> pa.Table:
    """As a scope writes it: time, and more digits than it measures."""
    return pa.table(
        {
            "Time (s)": np.round(np.arange(len(wave.volts)) / wave.rate, 6),
            "Voltage (V)": np.round(wave.volts, 3),
            "Current (A)": np.round(wave.amps, 2),
        }
    )


def thin(wave: Wave) -> pa.Table:
    """As a plain logger writes it: whole volts and amperes."""
    return pa.table(
        {
            "Voltage (V)": np.rint(wave.volts).astype(np.int16),
            "Current (A)": np.rint(wave.amps).astype(np.int16),
        }
    )


FILES = {"thick": thick, "thin": thin}


def make(path: Path, readings: int, table: Callable[[Wave], pa.Table]) -> None:
    """A double-pulsed weld at 100,000 readings a second."""
    made = double_pulsed(readings / RATE, RATE, 120, 0.3, 2, 0.6, 0.5, 0.05)
    csv.write_csv(table(noisy(made, np.random.default_rng(7), 0.4, 4)), path)


def memory(field: str) -> int:
    """`VmRSS` (now) or `VmHWM` (greatest) of this process, in bytes."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith(field):
            return int(line.split()[1]) * 1024
    raise RuntimeError("this system does not tell a process's memory")


def bare(path: Path) -> None:
    assert csv.read_csv(path).num_columns >= 2


def whole(path: Path) -> None:
    from qualification.rules.waveform.analysis import analyse
    from qualification.rules.waveform.columns import TIME
    from qualification.rules.waveform.envelope import POINTS, envelope
    from qualification.rules.waveform.layout import changed, recognise
    from qualification.rules.waveform.reading import read_log
    from qualification.rules.waveform.readings_cache import keep

    layout = recognise(path)
    log = read_log(path, layout if layout.column(TIME) else changed(layout, path, rate=RATE))
    assert analyse(log).programme == "double_pulsed"
    assert len(envelope(log).seconds) == POINTS
    keep(path.with_suffix(".npy"), log)


def one(which: str, path: Path) -> None:
    """Run one side once and print seconds and bytes. Modules and tables are read before the clock starts."""
    from qualification.rules.arithmetic.engineering import engineering
    from qualification.rules.waveform import analysis, layout, readings_cache

    for module in (analysis, readings_cache, layout):
        assert module.__doc__
    assert engineering().sources
    before = memory("VmRSS")
    began = time.perf_counter()
    {"bare": bare, "whole": whole}[which](path)
    print(time.perf_counter() - began, memory("VmHWM") - before)


def run(which: str, path: Path) -> tuple[float, int]:
    command = [sys.executable, "-m", "tests.benchmarks.waveform", which, str(path)]
    seconds, size = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(seconds), int(size)


def main(readings: int) -> None:
    for name, table in FILES.items():
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "log.csv"
            make(path, readings, table)
            compare(name, path, readings)


def compare(name: str, path: Path, readings: int) -> None:
    """Print both sides of one file."""
    size = path.stat().st_size
    results = {"bare": [], "whole": []}  # type: dict[str, list[tuple[float, int]]]
    for _ in range(ROUNDS):
        for which, listed in results.items():
            listed.append(run(which, path))
    times = {which: min(seconds for seconds, _ in listed) for which, listed in results.items()}
    peaks = {which: max(used for _, used in listed) for which, listed in results.items()}
    print(f"{name} lines: {readings:,} readings, {size / 1e6:.0f} MB, {size / readings:.1f} bytes a reading")
    print(f"  bare read {times['bare']:.2f} s, import and analysis {times['whole']:.2f} s")
    print(f"  time ratio {times['whole'] / times['bare']:.2f} (goal: at most 2)")
    print(
        f"  memory ratio {peaks['whole'] / size:.2f} (goal: at most 3), {peaks['whole'] / 1e6:.0f} MB; "
        f"bare read {peaks['bare'] / size:.2f}"
    )


if __name__ == "__main__":
    if sys.argv[1:2] in (["bare"], ["whole"]):
        one(sys.argv[1], Path(sys.argv[2]))
    else:
        main(int(sys.argv[1]) if sys.argv[1:] else 10_000_000)
