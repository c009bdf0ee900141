"""How much of a pass a log holds, and the energy of the whole."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.waveform.coverage import (
    Logged,
    display_doubts,
    missing_time,
    other_time,
    pass_energy,
    pass_time,
)

OFF = 0.5


def logged(seconds: float, begins: bool = False, ends: bool = False) -> Logged:
    """Of the pass of 27,705 J in 8 s."""
    return Logged(seconds, begins, ends, 27_705 / 8, 20.0, 15.0)


def test_both_ends_of_the_arc_make_the_log_the_measure() -> None:
    time = pass_time(logged(8.02, True, True), (8, 8), OFF)
    assert time is not None
    assert (time.seconds, time.uncertainty, time.from_log, time.other) == (8.02, 0.0, True, False)
    assert pass_time(logged(8, True, True), None, OFF) is not None


@pytest.mark.parametrize(("begins", "ends"), [(True, False), (False, True), (False, False)])
def test_without_an_arc_time_a_part_tells_nothing(begins: bool, ends: bool) -> None:
    assert pass_time(logged(3, begins, ends), None, OFF) is None
    assert "Enter the arc time of pass 2" in missing_time(logged(3, begins, ends), 2)


@pytest.mark.parametrize("seconds", [3.0, 7.68, 8.0])
def test_a_part_gives_the_energy_of_the_whole_and_what_is_not_known(seconds: float) -> None:
    """Three of eight seconds gave 1.73 kJ/in in place of 4.62 once."""
    time = pass_time(logged(seconds), (8, 8), OFF)
    assert time is not None
    energy = pass_energy(logged(seconds), time)
    assert energy.joules == pytest.approx(27_705)
    # Half a second either way, evenly spread.
    assert energy.random >= 27_705 / 8 * 0.2
    assert energy.random / energy.joules < 0.06


@pytest.mark.parametrize(("seconds", "other"), [(8.6, False), (8.67, False), (8.68, True), (12.0, True)])
def test_more_arc_than_the_pass_lasted_is_another_matter(seconds: float, other: bool) -> None:
    """Eight and a half seconds are the most, and two percent of them."""
    time = pass_time(logged(seconds), (8, 8), OFF)
    assert time is not None
    assert time.other is other
    assert (time.seconds == 8) is other


def test_a_whole_arc_of_another_length_is_doubted() -> None:
    time = pass_time(logged(3, True, True), (8, 8), OFF)
    assert time is not None
    assert (time.other, time.seconds, time.from_log) == (True, 8, False)
    assert "the log of another arc" in other_time(logged(3, True, True), 8, 1)
    assert "off by a factor of 1.5" in other_time(logged(12), 8, 1)


@given(st.floats(0.5, 9), st.floats(6, 9))
def test_a_pass_lasts_as_long_as_its_log_at_least(seconds: float, stated: float) -> None:
    time = pass_time(logged(seconds), (stated, stated), OFF)
    assert time is not None
    assert time.other or time.seconds >= min(seconds, stated)
    assert 0 < time.recorded <= 1
    assert time.uncertainty <= OFF


@pytest.mark.parametrize("factor", [2.0, 0.5, 10.0, 1.3])
def test_factors_between_log_and_display_are_named(factor: float) -> None:
    (said,) = display_doubts({"amps": 136 * factor, "volts": 22}, {"amps": (136, 136), "volts": (22, 22)}, 1)
    assert f"a factor of {factor:.2g}" in said


@pytest.mark.parametrize(("value", "doubted"), [(156.3, False), (156.5, True), (115.7, False), (115.5, True)])
def test_displays_may_differ_by_fifteen_percent(value: float, doubted: bool) -> None:
    assert bool(display_doubts({"amps": value}, {"amps": (136, 136)}, 1)) is doubted
