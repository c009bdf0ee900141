"""Whatever a file holds, it is read or refused in words."""

from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from qualification.rules.waveform.analysis import analyse
from qualification.rules.waveform.layout import recognise
from qualification.rules.waveform.problems import LogError
from qualification.rules.waveform.reading import read_log

cells = st.sampled_from(
    ["0", "1", "-5", "24.1", "180", "9.9E+37", "Inf", "NaN", "", "OVL", "12:30:01.5", "2026-03-02T08:15:00Z"]
    + [
        "62,5",
        "x10",
        "A",
        "Time (s)",
        "Current x10 (A)",
        "Set current",
        "10 mV/A",
        "/10",
        "10:1",
        "1:0",
        "\x00",
    ]
)
lines = st.lists(cells, min_size=1, max_size=5)


def taken(path: Path, content: bytes) -> None:
    """Only LogError may be raised; anything else fails the test."""
    path.write_bytes(content)
    with suppress(LogError):
        assert analyse(read_log(path, recognise(path))).figures.seconds > 0


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    st.lists(lines, max_size=30),
    st.sampled_from(",;\t| "),
    st.integers(1, 60),
    st.sampled_from(["\n", "\r", "\r\n"]),
)
def test_lines_of_odd_cells(
    tmp_path: Path, rows: list[list[str]], delimiter: str, times: int, end: str
) -> None:
    text = end.join([delimiter.join(row) for row in rows] * times) + end
    taken(tmp_path / "log.csv", text.encode())


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.binary(max_size=4000))
def test_any_bytes(tmp_path: Path, content: bytes) -> None:
    taken(tmp_path / "log.csv", content)


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    st.sampled_from(["Time (s),Voltage (V),Current (A)", "", "Voltage,Current,Time", "t/ms,U/V,I/A"]),
    st.lists(st.tuples(st.integers(0, 2999), st.integers(1, 1500), st.integers(0, 2), cells), max_size=4),
    st.integers(0, 3),
)
def test_a_log_with_odd_stretches(
    tmp_path: Path, heading: str, odd: list[tuple[int, int, int, str]], level: int
) -> None:
    """Three seconds at a thousand readings a second, with stretches in which a column says something else."""
    rows = [
        [f"{at / 1000:.3f}", f"{20 + at % 7 / 7:.2f}", f"{60 * level + at % 5:.1f}"] for at in range(3000)
    ]
    for first, count, column, cell in odd:
        for row in rows[first : first + count]:
            row[column] = cell
    taken(tmp_path / "log.csv", "\n".join([heading, *map(",".join, rows), ""]).encode())


@pytest.mark.parametrize(
    "content", [b"", b"\n", b",\n,\n,\n", b"1,2\n" * 2, b"\xff\xfe", b"\r\r\r", b"0,0,0\n" * 2000]
)
def test_next_to_nothing(tmp_path: Path, content: bytes) -> None:
    taken(tmp_path / "log.csv", content)
