"""Logs as loggers write them are recognised and read; spoilt ones get an answer that says what to do."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from qualification.rules.waveform import reading
from qualification.rules.waveform.analysis import analyse, frequency_check
from qualification.rules.waveform.layout import Layout, changed, recognise
from qualification.rules.waveform.log import Log, LogGap
from qualification.rules.waveform.problems import LogError
from qualification.rules.waveform.readings_cache import keep, kept
from tests.rules.waveform.synthetic import Wave, double_pulsed, pulsed, steady, with_pauses, write_csv

WAVE = pulsed(1.0, 10_000, 100, 0.3, (28, 350), (18, 60))


def read(path: Path) -> tuple[Layout, Log]:
    layout = recognise(path)
    return layout, reading.read_log(path, layout)


def kinds(problems: tuple) -> list[str]:
    return [problem.kind for problem in problems]


@pytest.mark.parametrize(
    ("how", "heading", "factors"),
    [
        ({}, "Time (s),Voltage (V),Current (A)", (1, 1, 1)),
        ({"delimiter": ";", "decimal": ","}, "Zeit [s],Spannung [V],Strom [A]", (1, 1, 1)),
        ({"delimiter": "\t", "decimal": ","}, "t/ms,U/V,I/A", (1e3, 1, 1)),
        ({"delimiter": " "}, "time_us,volts,amps", (1e6, 1, 1)),
        ({"end": "\r\n"}, "Time (µs),Arc voltage (mV),Arc current (kA)", (1e6, 1e3, 1e-3)),
        ({"delimiter": "|"}, "Time (ms),Voltage (V),Current (mA)", (1e3, 1, 1e3)),
    ],
)
def test_logs_of_many_makes(
    tmp_path: Path, how: dict, heading: str, factors: tuple[float, float, float]
) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE, heading=heading, factors=factors, **how)
    layout, log = read(path)
    assert layout.blocking == ()
    assert layout.delimiter == how.get("delimiter", ",")
    assert layout.rate == pytest.approx(10_000, rel=1e-6)
    assert log.readings == 10_000
    assert log.step == pytest.approx(1e-4, rel=1e-6)
    np.testing.assert_allclose(log.volts, WAVE.volts, rtol=1e-5)
    np.testing.assert_allclose(log.amps, WAVE.amps, rtol=1e-5)
    assert log.problems == ()


def test_a_units_row_a_preamble_and_a_byte_order_mark(tmp_path: Path) -> None:
    preamble = "\ufeffLogger 3, shop floor\nSample interval,100,us\nRecord length,10000\n\n"
    path = write_csv(tmp_path / "log.csv", WAVE, heading="Voltage,Current", preamble=preamble)
    text = path.read_text("utf-8")
    body = [",".join(line.split(",")[1:]) for line in text.split("Current\n")[1].splitlines()]
    path.write_text(text.split("Current\n")[0] + "Current\n[V],[A]\n" + "\n".join(body) + "\n", "utf-8")
    layout, log = read(path)
    assert (layout.rate, layout.rate_from, layout.announced) == (pytest.approx(10_000), "preamble", 10_000)
    assert [(c.quantity, c.unit) for c in layout.columns] == [("voltage", "V"), ("current", "A")]
    assert (log.readings, log.problems) == (10_000, ())


def test_without_headings_columns_are_guessed_and_said_to_be(tmp_path: Path) -> None:
    layout, log = read(write_csv(tmp_path / "log.csv", WAVE, heading=""))
    assert {c.quantity: c.index for c in layout.columns} == {"time": 0, "voltage": 1, "current": 2}
    assert kinds(layout.doubts) == ["columns"] * 3
    assert log.readings == 10_000


def test_no_time_and_no_rate_asks_for_the_rate(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        "Voltage (V);Current (A)\n" + "".join(f"{24 + i % 2},5;{180 + i % 3},5\n" for i in range(20_000))
    )
    layout = recognise(path)
    assert (layout.decimal, kinds(layout.blocking)) == (",", ["rate"])
    with pytest.raises(LogError, match="State the readings per second"):
        reading.read_log(path, layout)
    stated = changed(layout, path, rate=20_000)
    assert stated.rate_from == "stated"
    assert reading.read_log(path, stated).seconds == pytest.approx(1.0)


def test_swapped_columns(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE, heading="Time (s),Current (A),Voltage (V)")
    layout = recognise(path)
    (doubt,) = layout.doubts
    assert doubt.kind == "swapped"
    assert "Exchange the columns" in doubt.sentence
    mended = changed(layout, path, columns={"voltage": (1, "V", 1.0), "current": (2, "A", 1.0)})
    assert mended.doubts == ()
    np.testing.assert_allclose(reading.read_log(path, mended).amps, WAVE.amps)


@pytest.mark.parametrize(
    ("factors", "says"),
    [
        ((1, 1000, 1), "Set its unit to mV"),
        ((1, 1, 1000), "Set its unit to mA"),
        ((1, 1, 1 / 1000), "Set its unit to kA"),
    ],
)
def test_thousandfold_units(tmp_path: Path, factors: tuple[float, float, float], says: str) -> None:
    (doubt,) = recognise(write_csv(tmp_path / "log.csv", WAVE, factors=factors)).doubts
    assert doubt.kind == "units"
    assert says in doubt.sentence


def test_a_clamp_in_millivolts_needs_its_scale(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE, heading="Time (s),Voltage (V),Current (mV)")
    layout = recognise(path)
    (doubt,) = layout.blocking
    assert "how many amperes stand for one mV" in doubt.sentence
    path = write_csv(tmp_path / "two.csv", WAVE, heading="Time (s),CH1 (V),CH2 (V)", factors=(1, 1, 0.01))
    layout = recognise(path)
    assert kinds(layout.blocking) == ["units"]
    scaled = changed(layout, path, columns={"current": (2, "V", 100.0)})
    assert scaled.doubts == ()
    np.testing.assert_allclose(reading.read_log(path, scaled).amps, WAVE.amps, rtol=1e-5)


@pytest.mark.parametrize("heading", ["Time (s),Voltage (V),Current (A)", ""])
def test_commas_between_and_within_numbers_are_told(heading: str, tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE, heading="")
    rows = path.read_text().splitlines()
    mixed = [",".join(f"{float(cell):.6f}".replace(".", ",") for cell in row.split(",")) for row in rows]
    path.write_text("\n".join([*([heading] if heading else []), *mixed]) + "\n")
    with pytest.raises(LogError, match="semicolons or tabs") as error:
        recognise(path)
    assert error.value.problem.kind == "decimal_comma"


def test_whole_numbers_in_four_columns_are_no_cut_decimals(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("".join(f"{100 * i},{24 + i % 2},{180 + i % 3},{i % 7}\n" for i in range(5000)))
    assert recognise(path).width == 4


def test_lines_without_numbers_are_left_out_and_counted(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE)
    lines = path.read_text().splitlines()
    lines[2000] = "*** trigger lost ***"
    lines[3000] = lines[3000].rsplit(",", 1)[0] + ",OVL"
    lines[4000] = lines[4000].rsplit(",", 1)[0] + ","
    path.write_text("\n".join(lines) + "\n")
    _, log = read(path)
    assert (log.readings, log.left_out, log.missing) == (9_999, 3, 2)
    assert kinds(log.problems) == ["gaps", "not_numeric"]
    assert "“*** trigger lost ***”" in log.problems[1].sentence
    assert [gap.at for gap in log.gaps] == [1999]
    whole, bridged = np.insert(log.amps, 1999, WAVE.amps[1999]), [2999, 3999]
    np.testing.assert_allclose(np.delete(whole, bridged), np.delete(WAVE.amps, bridged), rtol=1e-5)
    for at in bridged:  # a lost reading lies between its neighbors, here on the edge of a pulse
        beside = sorted((WAVE.amps[at - 1], WAVE.amps[at + 1]))
        assert beside[0] <= whole[at] <= beside[1]


def test_too_many_lines_without_numbers_are_refused(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE)
    lines = path.read_text().splitlines()
    lines[5000:] = [line.rsplit(",", 1)[0] + ",---" for line in lines[5000:]]
    path.write_text("\n".join(lines) + "\n")
    with pytest.raises(LogError, match="5001 of 10000 lines hold no reading") as error:
        read(path)
    assert error.value.problem.kind == "not_numeric"


def test_a_log_that_was_cut_off(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE)
    whole = path.read_bytes()
    path.write_bytes(whole[: whole.rindex(b",", 0, len(whole) - 20)])
    _, log = read(path)
    assert kinds(log.problems) == ["truncated"]
    assert log.readings >= 9_990
    path = write_csv(tmp_path / "short.csv", WAVE, preamble="Record Length,20000\n")
    _, log = read(path)
    assert "announces 20000 readings and holds 10000" in log.problems[0].sentence


def test_gaps_in_time(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE)
    lines = path.read_text().splitlines()
    path.write_text("\n".join([*lines[:3001], *lines[3501:]]) + "\n")
    _, log = read(path)
    assert kinds(log.problems) == ["gaps"]
    (gap,) = log.gaps
    assert (gap.at, gap.seconds) == (3000, pytest.approx(0.05))
    assert log.step == pytest.approx(1e-4, rel=1e-6)
    assert (log.time_of(2999), log.time_of(3000)) == (pytest.approx(0.2999), pytest.approx(0.35))
    assert log.seconds == pytest.approx(0.95)


def test_time_that_runs_backwards(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE)
    lines = path.read_text().splitlines()
    path.write_text("\n".join([*lines, *lines[1:]]) + "\n")
    with pytest.raises(LogError, match="Two recordings in one file") as error:
        read(path)
    assert error.value.problem.kind == "backwards"


def test_times_written_too_coarsely(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = [f"{i // 10 / 1000:.3f},{24 + i % 2},{180 + i % 3}" for i in range(20_000)]
    path.write_text("Time (s),Voltage (V),Current (A)\n" + "\n".join(rows) + "\n")
    _, log = read(path)
    assert kinds(log.problems) == ["coarse_time"]
    assert log.step == pytest.approx(1e-4, rel=1e-3)
    assert log.gaps == ()


def test_a_wrong_sample_rate_shows_in_the_pulses(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE, factors=(4, 1, 1))
    _, log = read(path)
    doubt = frequency_check(analyse(log), 100.0)
    assert doubt is not None
    assert "25 times a second by the log" in doubt.sentence
    assert "factor of 4" in doubt.sentence
    assert frequency_check(analyse(log), 25.0) is None


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"", "no_numbers"),
        (b"hello\nworld\n", "no_numbers"),
        (bytes(range(256)) * 40, "not_text"),
        ("t;u;i\n1;2;3\n".encode("utf-16"), "no_numbers"),
        (
            b"Time (s),Voltage (V),Current (A)\n" + b"".join(b"%d.0,24.0,180.0\n" % i for i in range(100)),
            "too_short",
        ),
    ],
)
def test_what_is_no_log(tmp_path: Path, content: bytes, kind: str) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(content)
    with pytest.raises(LogError) as error:
        read(path)
    assert error.value.problem.kind == kind


def test_a_log_without_an_arc_and_one_too_slow(tmp_path: Path) -> None:
    idle = Wave(np.full(5000, 65.0), np.full(5000, 0.1), 5000.0, {})
    layout, log = read(write_csv(tmp_path / "log.csv", idle))
    assert "coarse_rate" in kinds(layout.doubts)
    with pytest.raises(LogError, match="No arc was found"):
        analyse(log)


def test_a_current_of_nought_throughout_is_no_arc_and_no_warning(
    tmp_path: Path, recwarn: pytest.WarningsRecorder
) -> None:
    idle = Wave(np.full(5000, 65.0), np.zeros(5000), 10_000.0, {})
    layout, log = read(write_csv(tmp_path / "log.csv", idle))
    assert layout.doubts == ()
    with pytest.raises(LogError, match="No arc was found"):
        analyse(log)
    assert not recwarn.list


def test_a_log_that_begins_long_before_the_arc_raises_no_doubt_once_confirmed(tmp_path: Path) -> None:
    late = with_pauses(WAVE, 1.0, 0.0)
    late.amps[:10_000] = 0.05
    path = write_csv(tmp_path / "log.csv", late)
    layout = recognise(path)
    assert layout.doubts == ()
    assert changed(layout, path).doubts == ()


def test_readings_are_kept_in_single_precision_and_once(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", WAVE)
    _, log = read(path)
    assert (log.volts.dtype, log.amps.dtype) == (np.float32, np.float32)
    keep(tmp_path / "log.npy", log)
    again = kept(tmp_path / "log.npy", log.step, log.start, log.gaps, log.left_out)
    np.testing.assert_array_equal(again.amps, log.amps)
    np.testing.assert_array_equal(again.volts, log.volts)
    assert again.readings == log.readings == 10_000


def test_a_power_column_is_held_against_volts_times_amperes(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    for factor, said in ((1.0, []), (1.2, ["power"])):
        rows = [f"{i / 10000:.4f},24,{180 + i % 3},{24 * (180 + i % 3) * factor / 1000}" for i in range(2000)]
        path.write_text("Time (s),Voltage (V),Current (A),Power (kW)\n" + "\n".join(rows) + "\n")
        assert kinds(read(path)[1].problems) == said


def several_columns(path: Path, heading: str) -> Path:
    count = heading.count(",")
    rows = [f"{i / 2000:.4f}," + ",".join(["180.0", "181.0", "24.0", "23.0"][:count]) for i in range(2000)]
    path.write_text("\n".join([heading, *rows]) + "\n")
    return path


def no_column(layout: Layout) -> list[str]:
    return [d.sentence for d in layout.doubts if d.sentence.startswith("No column was found")]


def test_columns_that_compete_are_not_said_to_be_missing(tmp_path: Path) -> None:
    path = several_columns(tmp_path / "two.csv", "Time (s),Current 1 (A),Current 2 (A),Voltage (V)")
    layout = recognise(path)
    assert any("may each be the current" in d.sentence and d.blocks for d in layout.doubts)
    assert no_column(layout) == []
    half = changed(layout, path, columns={"voltage": (3, "V", 1.0)})
    assert any("may each be the current" in d.sentence and d.blocks for d in half.doubts)
    assert no_column(half) == []
    whole = changed(half, path, columns={"current": (1, "A", 1.0)})
    assert not any(d.blocks for d in whole.doubts)


def test_channels_in_volts_may_be_the_clamp(tmp_path: Path) -> None:
    path = several_columns(tmp_path / "three.csv", "Time (s),CH1 (V),CH2 (V),CH3 (V)")
    layout = recognise(path)
    assert any("or the current by a clamp" in d.sentence for d in layout.doubts)
    assert no_column(layout) == []


def test_a_log_without_a_current_says_so(tmp_path: Path) -> None:
    path = several_columns(tmp_path / "none.csv", "Time (s),Voltage (V)")
    assert no_column(recognise(path)) == ["No column was found for the current. Choose one."]


def test_a_column_or_unit_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "log.csv", steady(0.2, 10_000, 24, 180))
    for wrong in ((7, "V", 1.0), (1, "furlong", 1.0), (1, "V", 0.0)):
        with pytest.raises(LogError, match="not something this log can give"):
            changed(recognise(path), path, columns={"voltage": wrong})


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(200, 5000), st.sampled_from([1 << 12, 1 << 14, 1 << 16]))
def test_pieces_of_any_size_give_the_same_log(tmp_path: Path, odd_at: int, piece: int) -> None:
    """A line, a gap or an odd line at the border of two pieces is read as anywhere else."""
    wave = double_pulsed(0.6, 10_000, 100, 0.3, 2, 0.6, 0.5)
    path = write_csv(tmp_path / "log.csv", wave)
    lines = path.read_text().splitlines()
    lines[odd_at] = "odd line"
    path.write_text("\n".join(lines) + "\n")
    before = reading.PIECE
    try:
        reading.PIECE = piece
        _, log = read(path)
    finally:
        reading.PIECE = before
    assert log.gaps == (LogGap(odd_at - 1, pytest.approx(1e-4, rel=1e-3)),)
    np.testing.assert_allclose(log.amps, np.delete(wave.amps, odd_at - 1), rtol=1e-5)
