"""What follows from a trial's settings and readings: figures with sources, and its heat by each code."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qualification.evidence.trial_reading import TrialRead
from qualification.models import LogState
from qualification.rules.arithmetic.derived_figures import HeatByCode, Reckoned, heat_by_code, reckon
from qualification.rules.arithmetic.heat_comparison import Energy, mean_of
from qualification.waveforms.pass_energy import MeasuredEnergy, measured_energy


def measured_energies(read: TrialRead) -> tuple[MeasuredEnergy, ...]:
    """Energy per length of each waveform that tells one."""
    logs = [log for log in read.trial.logs.all() if log.state == LogState.DONE and log.analysis]
    return tuple(each for log in logs if (each := measured_energy(log)) is not None and each.value > 0)


def mean_energy(found: Sequence[MeasuredEnergy]) -> Energy:
    """Mean of several waveforms of one trial. What one pass differs from another evens out; the error of the
    instruments, which all of them share, does not."""
    mean = mean_of([Energy(each.value, each.random) for each in found])
    shared = sum((each.instruments for each in found), Decimal(0)) / len(found)
    return Energy(mean.value, (mean.uncertainty**2 + shared**2).sqrt())


def reckoned_of(read: TrialRead) -> tuple[Reckoned, ...]:
    """Wire, deposit, groove."""
    return reckon(read.facts_shown, read.trial.units)


def heat_of(read: TrialRead) -> tuple[HeatByCode, ...]:
    """Arc energy and heat input under each convention; empty where neither displays nor a waveform tell
    one."""
    found = measured_energies(read)
    measured = mean_energy(found) if found else None
    if measured is None and read.spans["heat_input"] is None:
        return ()
    basis = found[0].basis if len(found) == 1 else f"Mean of {len(found)} waveforms."
    if any(each.at_least for each in found):
        basis = f"At least: the range of an instrument was exceeded. {basis}"
    doubts = list(dict.fromkeys(doubt for each in found for doubt in each.doubts))
    if doubts:
        basis = f"{basis} Doubts: {' '.join(doubts)}"
    return heat_by_code(
        read.facts_shown, read.trial.units, read.spans["heat_input"], measured, basis if found else ""
    )
