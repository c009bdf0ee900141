"""Energy per length, uncertainty, polarity, evidence and thinning out."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.waveform.analysis import analyse
from qualification.rules.waveform.arcs import Span
from qualification.rules.waveform.envelope import envelope, part_between, thinned
from qualification.rules.waveform.evidence import Stand, compare
from qualification.rules.waveform.figures import Instrument
from qualification.rules.waveform.log import Log, LogGap
from tests.rules.waveform.synthetic import (
    Wave,
    double_pulsed,
    noisy,
    pulsed,
    short_circuiting,
    steady,
    with_pauses,
)

RATE = 10_000.0
RNG = np.random.default_rng(11)
STEADY = analyse(noisy(steady(4, RATE, 24, 210), RNG, 0.4, 4).log())
PULSED = analyse(pulsed(4, RATE, 120, 0.3, (28, 350), (18, 60)).log())
DOUBLE = analyse(double_pulsed(6, RATE, 120, 0.3, 2, 0.6, 0.5).log())
SHORT = analyse(short_circuiting(4, RATE, 80, RNG).log())


def test_the_instruments_error_is_part_of_the_uncertainty_only_when_stated() -> None:
    wave = steady(3, RATE, 24, 200)
    assert analyse(wave.log()).figures.mean_power.instrument is None
    stated = analyse(wave.log(), Instrument(1.0, 2.0)).figures
    # Worked by us: root of (1² + 2²) / 3 percent of 4800 W
    assert stated.mean_power.instrument == pytest.approx(4800 * (5 / 3) ** 0.5 / 100)
    assert stated.mean_power.uncertainty >= stated.mean_power.instrument
    assert stated.energy.instrument == pytest.approx(3 * stated.mean_power.instrument)


def test_scatter_shrinks_with_the_root_of_the_time() -> None:
    rng = np.random.default_rng(3)
    short, long = (
        analyse(noisy(steady(s, RATE, 24, 200), rng, 1, 10).log()).figures.mean_amps.scatter for s in (2, 18)
    )
    assert short / long == pytest.approx(3, rel=0.3)


def test_sums_over_millions_of_readings_lose_no_digits() -> None:
    """Readings are kept in single precision; a sum of a million in it would be off in the fourth figure."""
    volts, amps = np.full(1_000_000, 24.1, np.float32), np.full(1_000_000, 187.3, np.float32)
    found = analyse(Log(volts, amps, 1e-4, 0.0, (), (), 0)).figures
    assert found.mean_volts.value == pytest.approx(float(volts[0]), rel=1e-12)
    assert found.mean_power.value == pytest.approx(float(volts[0]) * float(amps[0]), rel=1e-12)


def test_too_few_readings_show_in_the_sampling() -> None:
    fast = pulsed(2, 100_000, 117.3, 0.3, (28, 350), (18, 60))
    slow = pulsed(2, 1_000, 117.3, 0.3, (28, 350), (18, 60))
    assert (
        analyse(slow.log()).figures.mean_power.sampling > 5 * analyse(fast.log()).figures.mean_power.sampling
    )
    assert "coarse_rate" in [p.kind for p in analyse(slow.log()).problems]


@pytest.mark.parametrize(("volts", "amps"), [(1, -1), (-1, 1), (-1, -1)])
def test_a_reversed_probe_changes_no_figure_but_is_told(volts: int, amps: int) -> None:
    wave = pulsed(2, RATE, 100, 0.3, (28, 350), (18, 60))
    turned = analyse(Wave(wave.volts * volts, wave.amps * amps, RATE, {}).log())
    assert turned.figures.mean_power.value == pytest.approx(3696, rel=1e-3)
    assert [p.kind for p in turned.problems] == ["polarity"] * ((volts < 0) + (amps < 0))


def test_alternating_current_keeps_its_power_and_loses_its_means() -> None:
    time = (np.arange(30_000) + 0.5) / RATE
    sign = np.where((time * 60) % 1 < 0.5, 1.0, -1.0)
    result = analyse(Wave(15 * sign, 150 * sign, RATE, {}).log())
    assert result.alternating
    assert result.programme is None
    assert result.figures.mean_power.value == pytest.approx(2250)
    assert result.figures.rms_amps.value == pytest.approx(150)
    assert abs(result.figures.mean_amps.value) < 1
    assert [e.stand for e in compare(result, programme="steady")] == [Stand.OPEN]


def test_several_welds_in_one_log_are_reckoned_together() -> None:
    wave = with_pauses(steady(2, RATE, 24, 200), 1, 1)
    twice = Wave(np.tile(wave.volts, 2), np.tile(wave.amps, 2), RATE, {})
    result = analyse(twice.log())
    assert [len(span) for span in result.arcs] == [20_000, 20_000]
    assert result.figures.seconds == pytest.approx(4)
    assert result.figures.energy.value == pytest.approx(4 * 4800)


def test_a_part_is_reckoned_by_itself() -> None:
    wave = with_pauses(steady(2, RATE, 24, 200), 1, 1)
    result = analyse(wave.log(), part=Span(15_000, 25_000))
    assert result.arcs == (Span(15_000, 25_000),)
    assert result.figures.energy.value == pytest.approx(4800)


@pytest.mark.parametrize(
    ("result", "mode", "programme", "stands"),
    [
        (SHORT, "short_circuit", "steady", ("for", "open")),
        (SHORT, "spray", "pulsed", ("against", "open")),
        (PULSED, "pulsed_spray", "pulsed", ("for", "for")),
        (PULSED, "short_circuit", "double_pulsed", ("against", "against")),
        (DOUBLE, "pulsed_spray", "double_pulsed", ("for", "for")),
        (DOUBLE, "spray", "pulsed", ("against", "against")),
        (STEADY, "spray", "steady", ("open", "for")),
        (STEADY, "globular", "pulsed", ("open", "against")),
        (STEADY, "pulsed_spray", "steady", ("against", "for")),
    ],
)
def test_what_was_declared_is_held_against_what_is_seen(
    result: object, mode: str, programme: str, stands: tuple[str, str]
) -> None:
    found = compare(result, mode, programme)  # type: ignore[arg-type]
    assert tuple(e.stand.value for e in found) == stands
    assert [e.variable for e in found] == ["transfer_mode", "current_programme"]


def test_the_transition_current_tells_spray_from_globular() -> None:
    (spray,) = compare(STEADY, "spray", transition=135)
    assert (spray.stand, spray.sentence) == (
        Stand.FOR,
        "The log shows no short circuit at a mean of 210 A, above the 135 A from which this wire sprays.",
    )
    (globular,) = compare(STEADY, "spray", transition=280)
    assert globular.stand is Stand.AGAINST


def test_the_sentences_name_what_was_seen() -> None:
    (_, programme) = compare(DOUBLE, "pulsed_spray", "pulsed")
    assert "120 pulses a second that swell 2 times a second" in programme.sentence
    assert "at 60 % of the high one" in programme.sentence


def test_no_spike_is_lost_in_a_plot() -> None:
    amps = np.full(1_000_000, 180.0)
    amps[123_456] = 900.0
    thin = envelope(Log(np.full(1_000_000, 24.0), amps, 1e-5, 0.0, (), (), 0), points=1000)
    assert len(thin.seconds) == 1000
    assert thin.amps_high.max() == 900
    assert thin.seconds[int(np.argmax(thin.amps_high))] == pytest.approx(1.23456, abs=0.001)


@given(st.integers(1, 5000), st.integers(0, 5000), st.integers(1, 400))
def test_the_envelope_holds_every_reading(count: int, start: int, points: int) -> None:
    rng = np.random.default_rng(count)
    log = Log(rng.normal(24, 3, count), rng.normal(180, 30, count), 1e-4, 0.0, (), (), 0)
    start = min(start, count - 1)
    thin = envelope(log, Span(start, count), points)
    assert len(thin.seconds) == min(points, count - start)
    assert thin.volts_low.min() == log.volts[start:].min()
    assert thin.amps_high.max() == log.amps[start:].max()
    assert np.all(np.diff(thin.seconds) > 0)
    assert np.all(thin.volts_low <= thin.volts_high)


@given(st.integers(1, 3000), st.integers(1, 700))
def test_thinned_once_more_it_still_holds_every_extreme(count: int, points: int) -> None:
    rng = np.random.default_rng(count)
    log = Log(rng.normal(24, 3, count), rng.normal(180, 30, count), 1e-4, 0.0, (), (), 0)
    first = envelope(log)
    thin = thinned(first, points)
    assert len(thin.seconds) == min(points, len(first.seconds))
    assert (thin.amps_high.max(), thin.volts_low.min()) == (log.amps.max(), log.volts.min())
    assert np.all(np.diff(thin.seconds) > 0)
    assert thin.per_point * len(thin.seconds) == pytest.approx(count)


def test_a_zoom_is_found_by_the_logs_own_clock() -> None:
    log = Log(np.full(1000, 24.0), np.full(1000, 180.0), 0.001, 5.0, (LogGap(400, 2.0),), (), 0)
    assert part_between(log, 5.1, 5.2) == Span(100, 200)
    assert part_between(log, 7.5, 7.6) == Span(500, 600)
    assert part_between(log, 5.3, 7.5) == Span(300, 500)
    with pytest.raises(ValueError, match="no reading"):
        part_between(log, 6.0, 6.5)
    assert envelope(replace(log), part_between(log, 7.5, 7.6)).seconds[0] == pytest.approx(log.time_of(500))
