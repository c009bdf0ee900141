"""What is stated of pulses and swells against what the log shows, and what it cannot tell."""

import numpy as np
import pytest

from qualification.rules.waveform.analysis import Analysis, analyse
from qualification.rules.waveform.evidence import Rhythm, Stand, compare
from tests.rules.waveform.synthetic import Wave, double_pulsed, noisy, pulsed

RATE = 10_000.0


def of(seconds: float, slow: float, low_level: float, seed: int = 1, amps: float = 4.0) -> Analysis:
    wave = double_pulsed(seconds, RATE, 120, 0.3, slow, low_level, 0.5)
    return analyse(noisy(wave, np.random.default_rng(seed), 0.4, amps).log())


@pytest.mark.parametrize("low_level", [0.89, 0.92, 0.95])
@pytest.mark.parametrize("slow", [1.0, 2.5, 5.0])
def test_a_shallow_swell_is_told_from_none(low_level: float, slow: float) -> None:
    result = of(8, slow, low_level)
    assert result.programme == "double_pulsed"
    assert result.slow is not None
    assert result.slow.frequency == pytest.approx(slow, rel=0.04)
    assert result.slow.low_level_percent == pytest.approx(100 * low_level, abs=1.0)
    assert result.high_pulses is not None
    assert result.low_pulses is not None
    assert result.high_pulses.peak_amps == pytest.approx(320, rel=0.02)
    assert result.low_pulses.peak_amps == pytest.approx(320 * low_level, rel=0.02)
    assert result.low_pulses.background_amps == pytest.approx(60 * low_level, abs=2)
    assert result.low_pulses.duty == pytest.approx(0.3, abs=0.02)


@pytest.mark.parametrize(("seconds", "told"), [(1.3, False), (1.4, False), (1.6, True), (2.5, True)])
def test_three_swells_make_a_rhythm(seconds: float, told: bool) -> None:
    """At 2 Hz: 2.6, 2.8, 3.2 and 5 swells."""
    result = of(seconds, 2, 0.6)
    assert result.programme == ("double_pulsed" if told else None)
    (programme,) = compare(result, programme="double_pulsed", rhythm=Rhythm())
    assert programme.stand is (Stand.FOR if told else Stand.OPEN)


@pytest.mark.parametrize("seed", range(12))
def test_a_hand_that_wanders_is_no_swell(seed: int) -> None:
    """The current strays by 6 % from tenth to tenth of a second, without any rhythm."""
    rng = np.random.default_rng(seed)
    wave = pulsed(8, RATE, 120, 0.3, (28, 320), (18, 60))
    stray = np.convolve(rng.normal(0, 0.06, 80), [0.6, 0.3, 0.1], "same")
    amps = wave.amps * (1 + np.repeat(stray, len(wave.amps) // 80))
    assert analyse(noisy(Wave(wave.volts, amps, RATE, {}), rng, 0.4, 4).log()).programme != "double_pulsed"


def test_no_swell_in_a_log_too_short_for_one_does_not_speak_against_it() -> None:
    result = analyse(pulsed(2, RATE, 120, 0.3, (28, 320), (18, 60)).log())
    (double,) = compare(result, programme="double_pulsed")
    (single,) = compare(result, programme="pulsed")
    (plain,) = compare(result, programme="steady")
    assert (double.stand, single.stand, plain.stand) == (Stand.OPEN, Stand.OPEN, Stand.AGAINST)
    assert "it holds 2 s of arc, and three swells of 1 Hz take 3 s" in double.sentence


def test_a_stated_slow_frequency_says_how_long_is_long_enough() -> None:
    result = analyse(pulsed(4, RATE, 120, 0.3, (28, 320), (18, 60)).log())
    for stated, stand in ((0.5, Stand.OPEN), (1.0, Stand.AGAINST)):
        (found,) = [
            each
            for each in compare(result, programme="double_pulsed", rhythm=Rhythm(slow_frequency=stated))
            if each.variable == "current_programme"
        ]
        assert found.stand is stand


def test_a_low_level_that_the_log_could_not_show_is_left_open() -> None:
    result = analyse(pulsed(8, RATE, 120, 0.3, (28, 320), (18, 60)).log())
    for level, stand in ((99.0, Stand.OPEN), (90.0, Stand.AGAINST)):
        (found, _) = compare(result, programme="double_pulsed", rhythm=Rhythm(low_level=level))
        assert found.stand is stand


def test_numbers_stated_of_the_rhythm_are_held_against_the_log() -> None:
    result = of(8, 2, 0.6)
    right = compare(result, rhythm=Rhythm(120, 30, 2, 60))
    wrong = compare(result, rhythm=Rhythm(150, 40, 3, 75))
    assert [each.stand for each in right] == [Stand.FOR] * 4
    assert [each.stand for each in wrong] == [Stand.AGAINST] * 4
    assert [each.variable for each in right] == [
        "pulse_frequency",
        "pulse_duty",
        "slow_frequency",
        "low_level",
    ]
    assert wrong[2].sentence == "The log shows 2 Hz, 3 Hz is stated."


def test_a_level_on_the_limit_still_agrees_and_beyond_it_does_not() -> None:
    result = of(8, 2, 0.6)
    assert result.slow is not None
    seen = result.slow.low_level_percent
    stands = [compare(result, rhythm=Rhythm(low_level=seen + off))[0].stand for off in (4.9, 5.0, 5.1)]
    assert stands == [Stand.FOR, Stand.FOR, Stand.AGAINST]


def test_what_the_log_does_not_show_is_left_open() -> None:
    result = analyse(pulsed(8, RATE, 120, 0.3, (28, 320), (18, 60)).log())
    (level,) = compare(result, rhythm=Rhythm(low_level=70))
    assert level.stand is Stand.OPEN


def test_readings_too_slow_for_pulses_do_not_speak_against_them() -> None:
    wave = Wave(np.full(2000, 22.0), 150 + np.random.default_rng(2).normal(0, 3, 2000), 250, {})
    result = analyse(wave.log())
    (found,) = [e for e in compare(result, programme="pulsed") if e.variable == "current_programme"]
    assert result.programme == "steady"
    assert found.stand is Stand.OPEN
    assert "250 readings a second would not show pulses" in found.sentence
