"""What follows from a trial's settings and readings: figures with sources, and its heat by each code."""

from __future__ import annotations

from qualification.models import LogState
from qualification.rules.arithmetic.reckoned import HeatByCode, Reckoned, heat_by_code, reckon
from qualification.rules.heat_comparison import Energy, mean_of
from qualification.trial_content import TrialRead
from qualification.waveform_logs import MeasuredEnergy, measured_energy


def measured_energies(read: TrialRead) -> tuple[MeasuredEnergy, ...]:
    """Energy per length of each waveform that tells one."""
    logs = [log for log in read.trial.logs.all() if log.state == LogState.DONE and log.analysis]
    return tuple(each for log in logs if (each := measured_energy(log)) is not None and each.value > 0)


def reckoned_of(read: TrialRead) -> tuple[Reckoned, ...]:
    """Wire, deposit, groove."""
    return reckon(read.facts_shown, read.trial.units)


def heat_of(read: TrialRead) -> tuple[HeatByCode, ...]:
    """Arc energy and heat input under each convention; empty where neither displays nor a waveform tell
    one."""
    found = measured_energies(read)
    measured = mean_of([Energy(each.value, each.uncertainty) for each in found]) if found else None
    if measured is None and read.spans["heat_input"] is None:
        return ()
    basis = found[0].basis if len(found) == 1 else f"Mean of {len(found)} waveforms."
    return heat_by_code(
        read.facts_shown, read.trial.units, read.spans["heat_input"], measured, basis if found else ""
    )
