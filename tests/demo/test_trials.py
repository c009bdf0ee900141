"""The demo shop's trials: a way of dialling in that reads, measures and leads to its first procedure test."""

from __future__ import annotations

import pytest

from qualification.evidence.trial_reading import TrialRead
from qualification.models import LogState, ProcedureTest, Trial, TrialLog
from qualification.trials.compare import TrialComparison
from qualification.trials.content import before, say_changed
from qualification.trials.window import window_of
from qualification.waveforms.pass_energy import measured_energy
from tests.demo.conftest import DemoShop


def test_every_demo_trial_reads_and_fits_together(demo_shop: DemoShop) -> None:
    trials = list(Trial.objects.all())
    assert len(trials) >= 8
    for trial in trials:
        read = TrialRead(trial)
        assert [problem.message for problem in read.read.problems] == []
        assert [remark.sentence for remark in read.remarks] == []
        assert all(row.travel and row.energy for row in read.rows)


def test_cold_toes_were_answered_with_more_low_level_current(demo_shop: DemoShop) -> None:
    trial = Trial.objects.get(number="T-005")
    earlier = before(trial)
    assert earlier is not None
    assert earlier.line["seen_wetting"] == "cold"
    assert say_changed(earlier, trial) == ("One thing changed. Low-level percentage raised from 45% to 50%.")


def test_the_waveform_shows_what_the_display_did_not(demo_shop: DemoShop) -> None:
    log = TrialLog.objects.get(trial__number="T-007")
    assert (log.state, log.message) == (LogState.DONE, "")
    assert log.analysis is not None
    assert (log.analysis["programme"], log.analysis["modes"]) == ("double_pulsed", ["pulsed_spray"])
    assert log.analysis["slow"]["low_level_percent"] == pytest.approx(55, abs=3)
    energy = measured_energy(log)
    assert energy is not None
    assert energy.value > energy.by_means + 3 * energy.uncertainty


def test_a_log_of_another_make_shows_the_pulsed_arc_before_it(demo_shop: DemoShop) -> None:
    """Semicolons, decimal commas, German headings, and a rate from the preamble."""
    log = TrialLog.objects.get(trial__number="T-003")
    assert (log.state, log.message) == (LogState.DONE, "")
    assert log.analysis is not None
    # Too short to say whether its pulses swell.
    assert (log.analysis["programme"], log.analysis["problems"]) == (None, [])
    assert log.analysis["pulses"]["frequency"] == pytest.approx(125, rel=0.01)


def test_the_shops_guess_about_double_pulsed_is_answered(demo_shop: DemoShop) -> None:
    """Pulsed against double-pulsed: worked by us, 12.0 against 12.5 kJ/in, on passes of other places."""
    answer = TrialComparison(list(Trial.objects.filter(number__in=("T-003", "T-007")).order_by("pk"))).heat
    assert answer is not None
    (pair,) = answer.pairs
    assert (pair.stand, answer.missing) == ("not_comparable", ())
    assert "no pass of the same place in the weld was measured on both sides" in pair.verdict


def test_the_window_around_the_accepted_trials_lies_within_the_first_test(demo_shop: DemoShop) -> None:
    test = ProcedureTest.objects.get(number="PT-001")
    window = window_of(Trial.objects.get(number="T-007"), test)
    assert [str(each) for each in window.used] == ["T-007", "T-008"]
    assert window.refusals == ()
    assert all(each.proposed is not None for each in window.windows)
