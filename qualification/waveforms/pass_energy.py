"""Energy per length of one pass by a measured waveform, with what is doubtful about it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import hypot, sqrt

from qualification.models import LogState, TrialLog
from qualification.rules.arithmetic.heat import energy_by_length
from qualification.rules.trials.pass_readings import PassReading, read_pass
from qualification.rules.trials.practice import reading_off
from qualification.rules.waveform.coverage import Logged, missing_time, pass_energy, pass_time
from qualification.waveforms.logs import ends_of


@dataclass(frozen=True)
class MeasuredEnergy:
    """Energy per length of one pass, kJ/in, without a thermal efficiency (ASME IX QW-409.1(c))."""

    value: Decimal
    uncertainty: Decimal
    """Standard uncertainty, instruments included: as stated, else the usual ones."""
    random: Decimal
    """The part of it that another log by the same instruments would not share."""
    by_means: Decimal
    """What mean volts times mean amperes would have given."""
    basis: str
    """What it was worked out from, in words."""
    doubts: tuple[str, ...]
    """What is doubtful about the log; it stands beside the number wherever the number goes."""
    at_least: bool
    """The range of an instrument was exceeded: the arc put in more."""
    position: int
    """Number of the pass."""
    recorder: str
    """What it was recorded with, as stated; empty where it is not."""

    @property
    def rounded(self) -> Decimal:
        """The value to the place of the first digit of its uncertainty: further ones say nothing."""
        if not self.uncertainty:
            return self.value
        return self.value.quantize(Decimal(1).scaleb(self.uncertainty.adjusted()))

    @property
    def instruments(self) -> Decimal:
        """The part of the uncertainty that all logs by the same instruments share."""
        return max(Decimal(0), self.uncertainty**2 - self.random**2).sqrt()


def measured_energy(log: TrialLog) -> MeasuredEnergy | None:
    """The energy of the whole pass by its length. `None` where the file is not analyzed, or its pass does
    not state what is needed; `why_none` then says what."""
    found = _known(log)
    if found is None:
        return None
    read, length, logged = found
    time = pass_time(logged, ends_of(read.arc_time), float(reading_off("arc_time")))
    if time is None:
        return None
    assert log.analysis is not None
    assert log.weld_pass is not None
    energy, position = pass_energy(logged, time), log.weld_pass.position
    middle = (length[0] + length[1]) / 2
    off = hypot(float(reading_off("pass_length")), (length[1] - length[0]) / 2) / sqrt(3) / middle
    if energy.joules <= 0:
        return None
    random = hypot(energy.random / energy.joules, off)
    whole = hypot(random, float(log.analysis.get("instrument_share", 0.0)))
    means = log.analysis["figures"]["product_of_means"]["value"] * time.seconds
    value = _per_length(energy.joules, middle)
    if time.from_log:
        basis = f"Energy of the log, which holds the whole of pass {position}, by its length."
    else:
        basis = (
            f"Power of the log times the arc time of pass {position}, by its length; the log holds "
            f"{logged.seconds:.3g} s of about {time.seconds:.3g} s."
        )
    return MeasuredEnergy(
        value,
        value * Decimal(f"{whole:.9g}"),
        value * Decimal(f"{random:.9g}"),
        _per_length(means, middle),
        basis,
        tuple(log.analysis["problems"]),
        bool(log.analysis.get("at_least")),
        position,
        str(log.settings.get("recorder", "")),
    )


def why_none(log: TrialLog) -> str:
    """What is needed for the energy per length of a log that is analyzed; empty where nothing is."""
    if log.state != LogState.DONE or not log.analysis or measured_energy(log) is not None:
        return ""
    if log.weld_pass is None:
        return (
            "No pass is chosen for this log, so it has no energy per length. Replace it and choose its pass."
        )
    found = _known(log)
    if found is None:
        return f"Enter the length of pass {log.weld_pass.position} on the trial to get its energy per length."
    return missing_time(found[2], log.weld_pass.position)


def _known(log: TrialLog) -> tuple[PassReading, tuple[float, float], Logged] | None:
    """Readings of the pass, its length (mm), and what the log says of its arc."""
    if log.state != LogState.DONE or not log.analysis or log.weld_pass is None:
        return None
    read = read_pass(log.weld_pass.entries, log.trial.units)[0]
    length = ends_of(read.length)
    if length is None or sum(length) <= 0:
        return None
    power, analysis = log.analysis["figures"]["mean_power"], log.analysis
    logged = Logged(
        analysis["seconds"],
        bool(analysis.get("begins")),
        bool(analysis.get("ends")),
        power["value"],
        power.get("random", power["uncertainty"]),
        power.get("scatter", 0.0),
    )
    return read, length, logged


def _per_length(joules: float, millimetres: float) -> Decimal:
    return energy_by_length(Decimal(f"{joules:.9g}"), Decimal(f"{millimetres:.9g}"))
