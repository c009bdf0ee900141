"""Import and analysis of ten million readings against a bare columnar read of the same file, in one run.

    .venv/bin/python -m tests.benchmarks.waveform [readings]

The bare read is `pyarrow.csv.read_csv`, the reader the program itself uses. Each side runs in a process of
its own, in turn, so that neither warms the other up; the least of three times counts. Memory is the
greatest resident size of the process less what it held before it opened the file. Goals: time at most 2,
memory at most 3.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import csv

from tests.rules.waveform.synthetic import double_pulsed, noisy

ROUNDS = 3


def make(path: Path, readings: int) -> None:
    """A double-pulsed weld at 100,000 readings a second, as a logger writes it."""
    rate = 100_000.0
    wave = noisy(
        double_pulsed(readings / rate, rate, 120, 0.3, 2, 0.6, 0.5, 0.05), np.random.default_rng(7), 0.4, 4
    )
    table = pa.table(
        {
            "Time (s)": np.round(np.arange(len(wave.volts)) / rate, 6),
            "Voltage (V)": np.round(wave.volts, 3),
            "Current (A)": np.round(wave.amps, 2),
        }
    )
    csv.write_csv(table, path)


def memory(field: str) -> int:
    """`VmRSS` (now) or `VmHWM` (greatest) of this process, in bytes."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith(field):
            return int(line.split()[1]) * 1024
    raise RuntimeError("this system does not tell a process's memory")


def bare(path: Path) -> None:
    assert csv.read_csv(path).num_columns == 3


def whole(path: Path) -> None:
    from qualification.rules.waveform.analysis import analyse
    from qualification.rules.waveform.layout import recognise
    from qualification.rules.waveform.reading import read_log

    result = analyse(read_log(path, recognise(path)))
    assert result.programme == "double_pulsed"


def one(which: str, path: Path) -> None:
    """Run one side once and print seconds and bytes. Modules and tables are read before the clock starts."""
    from qualification.rules.arithmetic.engineering import engineering
    from qualification.rules.waveform import analysis, layout, reading

    for module in (analysis, layout, reading):
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
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        make(path, readings)
        size = path.stat().st_size
        results = {"bare": [], "whole": []}  # type: dict[str, list[tuple[float, int]]]
        for _ in range(ROUNDS):
            for which, listed in results.items():
                listed.append(run(which, path))
        times = {which: min(seconds for seconds, _ in listed) for which, listed in results.items()}
        peak = max(bytes_used for _, bytes_used in results["whole"])
        print(f"{readings:,} readings, {size / 1e6:.0f} MB")
        print(f"bare read {times['bare']:.2f} s, import and analysis {times['whole']:.2f} s")
        print(f"time ratio {times['whole'] / times['bare']:.2f} (goal: at most 2)")
        print(f"memory ratio {peak / size:.2f} (goal: at most 3), {peak / 1e6:.0f} MB")


if __name__ == "__main__":
    if sys.argv[1:2] in (["bare"], ["whole"]):
        one(sys.argv[1], Path(sys.argv[2]))
    else:
        main(int(sys.argv[1]) if sys.argv[1:] else 10_000_000)
