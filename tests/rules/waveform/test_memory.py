"""How much a log takes in memory against its file, guarded on short lines, where readings weigh most.

`tests.benchmarks.waveform` measures the whole process on ten million readings.
"""

import tracemalloc
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import csv

from qualification.rules.waveform import reading
from qualification.rules.waveform.analysis import analyse
from qualification.rules.waveform.layout import changed, recognise
from tests.rules.waveform.synthetic import double_pulsed


def test_readings_and_analysis_hold_little_more_than_the_readings(tmp_path: Path) -> None:
    rate, path = 100_000.0, tmp_path / "log.csv"
    wave = double_pulsed(15, rate, 120, 0.3, 2, 0.6, 0.5)
    columns = {"Voltage (V)": wave.volts, "Current (A)": wave.amps}
    csv.write_csv(pa.table({key: np.rint(each).astype(np.int16) for key, each in columns.items()}), path)
    layout = changed(recognise(path), path, rate=rate)
    tracemalloc.start()
    try:
        log = reading.read_log(path, layout)
        result = analyse(log)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert result.programme == "double_pulsed"
    # The arrays are as long as the file can give readings; what is never filled takes no memory.
    unfilled = sum(each.base.nbytes - each.nbytes for each in (log.volts, log.amps))
    assert log.volts.nbytes + log.amps.nbytes == 8 * log.readings
    assert (peak - unfilled) / path.stat().st_size < 2.6
