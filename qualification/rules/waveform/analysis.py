"""Everything a log says of the weld, in one call."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from math import hypot

import numpy as np

from ..arithmetic.engineering import engineering
from .arcs import Idle, Span, arcs, idle_of
from .columns import level_doubts
from .double_pulse import SlowModulation, Swell, drift_percent, swell_of
from .ends import Clipped, clipped, cut_power_share, over_range_share, step_uncertainty
from .figures import Doubtful, Figures, Instrument, figures
from .log import Log
from .problems import LogProblem, refuse
from .pulses import Cycles, Pulses, measured, pulses
from .short_circuits import ShortCircuits, short_circuits

ZERO_SAID = 0.3
"""Amperes from which the zero of a clamp is taken off, and said."""
OUT_OF_ARC = 0.003
"""Seconds without an arc at an end of the log from which it holds that end of the arc."""
UNKNOWN_ABOVE = 0.5
"""Standard uncertainty of the power in cut-off readings, as a share of it: how far the arc went beyond is not
known."""


@dataclass(frozen=True, eq=False)
class Analysis:
    arcs: tuple[Span, ...]
    figures: Figures
    alternating: bool
    """AC: means say nothing of it, and no pulses are looked for."""
    pulses: Pulses | None
    cycles: Cycles | None
    slow: SlowModulation | None
    swell: Swell | None
    """How small a slow modulation the log would show; `None` without pulses."""
    high_pulses: Pulses | None
    """The pulses of the high phase alone; `None` without a slow modulation."""
    low_pulses: Pulses | None
    shorts: ShortCircuits
    idle: Idle
    """What the clamp reads without an arc."""
    begins: bool
    """The log holds the start of its first arc."""
    ends: bool
    """The log holds the end of its last arc."""
    clipped: tuple[Clipped, ...]
    """Where readings are cut off: the arc had more, by how much is not known."""
    drift_percent: float
    """Change of the current from the beginning to the end of the longest arc, in percent of its mean."""
    rate: float
    """Readings per second."""
    problems: tuple[LogProblem, ...]
    """Of the log, and what was found besides."""

    @property
    def programme(self) -> str | None:
        """`steady`, `pulsed` or `double_pulsed`, as the variable `current_programme` names them; `None` for
        AC, where short circuits hide it, and where the log is too short or too noisy to tell."""
        seen = self.programmes
        return next(iter(seen)) if len(seen) == 1 else None

    @property
    def programmes(self) -> frozenset[str]:
        """The programmes the log is compatible with; empty where it says nothing of them."""
        if self.alternating:
            return frozenset()
        if self.pulses is None:
            hidden = self.shorts.rate > engineering().threshold("shorts_mode")
            return frozenset() if hidden else frozenset({"steady"})
        if self.slow is not None:
            return frozenset({"double_pulsed"})
        decided = self.swell is not None and self.swell.decided
        return frozenset({"pulsed"}) if decided else frozenset({"pulsed", "double_pulsed"})


def analyse(log: Log, instrument: Instrument | None = None, part: Span | None = None) -> Analysis:
    """Reckon the log, or the `part` of it a person chose. Raises LogError where no arc is found."""
    piece = log if part is None else cut_out(log, part)
    piece, problems, alternating = _upright(piece)
    idle = idle_of(piece)
    burning = arcs(piece, idle)
    if not burning:
        raise refuse(
            "no_arc",
            f"No arc was found: the current never stays more than {engineering().threshold('arc_amps'):g} A "
            f"above what the clamp reads at rest for {engineering().threshold('arc_least'):g} s. Check the "
            "current column, its unit and the scale of the clamp.",
        )
    if abs(idle.zero) > max(ZERO_SAID, idle.uncertainty):
        piece = replace(piece, amps=piece.amps - np.float32(idle.zero))
        problems.append(_zero_doubt(idle))
    cut = () if alternating else clipped(piece, burning)
    over = over_range_share(piece, burning)
    problems += _cut_off(cut, over)
    longest = max(burning, key=len)
    found = None if alternating else pulses(piece, longest)
    made, cycles = found if found else (None, None)
    shorts = short_circuits(piece, burning) if not alternating else short_circuits(piece, ())
    if made is not None and shorts.rate > 0.5 * made.frequency:
        # The rhythm is that of the short circuits, not of the source.
        made = cycles = None
    swell = swell_of(piece, cycles, len(longest) * piece.step) if cycles is not None else None
    slow, phases = (swell.found, swell.phases) if swell else (None, None)
    problems += _coarse(made)
    shift = 0 if part is None else part.start
    volts_step, amps_step = step_uncertainty(piece, burning)
    doubtful = Doubtful(
        volts_step,
        hypot(amps_step, idle.uncertainty),
        UNKNOWN_ABOVE * cut_power_share(piece, burning, cut),
    )
    made_figures = figures(piece, burning, instrument, doubtful)
    if not alternating:
        problems += level_doubts(made_figures.mean_volts.value, made_figures.mean_amps.value)
    rest = OUT_OF_ARC / piece.step
    return Analysis(
        arcs=tuple(Span(a.start + shift, a.stop + shift) for a in burning),
        figures=made_figures,
        alternating=alternating,
        pulses=made,
        cycles=None if cycles is None else Cycles(cycles.begins + shift, cycles.ends + shift),
        slow=slow,
        swell=swell,
        high_pulses=measured(piece, cycles, phases.high) if cycles and phases else None,
        low_pulses=measured(piece, cycles, phases.low) if cycles and phases else None,
        shorts=shorts,
        idle=idle,
        begins=burning[0].start >= rest,
        ends=piece.readings - burning[-1].stop >= rest,
        clipped=cut,
        drift_percent=_drift(piece, longest) if cycles is None else drift_percent(piece, cycles, phases),
        rate=1 / log.step,
        problems=(*log.problems, *problems),
    )


def _coarse(made: Pulses | None) -> list[LogProblem]:
    if made is None or made.samples_per_pulse >= engineering().threshold("samples_per_pulse"):
        return []
    return [
        LogProblem(
            "coarse_rate",
            f"{made.samples_per_pulse:.1f} readings to a pulse: peak, background and their times are blurred."
            " Record faster.",
        )
    ]


def _zero_doubt(idle: Idle) -> LogProblem:
    return LogProblem(
        "zero",
        f"The current reads {idle.zero:.3g} A while no arc burns; that was taken off every reading, "
        f"± {idle.uncertainty:.2g} A.",
    )


def _cut_off(cut: tuple[Clipped, ...], over: float) -> list[LogProblem]:
    found = [
        LogProblem(
            "clipped",
            f"The {each.quantity} stands at {each.level:.4g} {'V' if each.quantity == 'voltage' else 'A'}, "
            f"the end of its range, for {100 * each.share:.2g} % of the arc time: the arc had more. "
            "Energy is at least what is given. Record again with a wider range.",
        )
        for each in cut
    ]
    if over and not found:
        found.append(
            LogProblem(
                "clipped",
                f"The range of an instrument was exceeded for {100 * over:.2g} % of the arc time. Energy is "
                "at least what is given. Record again with a wider range.",
            )
        )
    return found


def cut_out(log: Log, part: Span) -> Log:
    """A part of a log, as views of its arrays; gaps before it are in its start."""
    inside = tuple(
        replace(gap, at=gap.at - part.start) for gap in log.gaps if part.start < gap.at < part.stop
    )
    return Log(
        log.volts[part.start : part.stop],
        log.amps[part.start : part.stop],
        log.step,
        log.time_of(part.start),
        inside,
        log.problems,
        log.left_out,
        log.missing,
        log.over[(log.over >= part.start) & (log.over < part.stop)] - part.start,
    )


def _upright(log: Log) -> tuple[Log, list[LogProblem], bool]:
    """Volts and amperes counted upwards: a reversed probe or electrode negative changes the sign only."""
    looks = np.linspace(0, log.readings - 1, min(log.readings, 50_000)).astype(int)
    amps, volts = log.amps[looks], log.volts[looks]
    # A few spikes say nothing of the size.
    size = float(np.percentile(np.abs(amps), 99.5))
    positive, negative = float(np.mean(amps > 0.05 * size)), float(np.mean(amps < -0.05 * size))
    if min(positive, negative) > 0.05:
        return (
            log,
            [
                LogProblem(
                    "polarity",
                    "The current changes sign: AC. Mean volts and mean amperes say nothing of it; take "
                    "the power.",
                )
            ],
            True,
        )
    problems = []
    if negative > positive:
        log = replace(log, amps=-log.amps)
        problems.append(LogProblem("polarity", "The current is negative throughout; its sign was turned."))
    if float(np.mean(volts)) < 0:
        log = replace(log, volts=-log.volts)
        problems.append(LogProblem("polarity", "The voltage is negative throughout; its sign was turned."))
    return log, problems, False


def _drift(log: Log, span: Span) -> float:
    """From straight-line means of fifty equal parts."""
    parts = 50
    size = len(span) // parts
    if size == 0:
        return 0.0
    means = log.amps[span.start : span.start + size * parts].reshape(parts, size).mean(axis=1)
    slope = float(np.polynomial.Polynomial.fit(np.arange(parts), means, 1).convert().coef[1])
    return 100 * slope * parts / float(means.mean()) if means.mean() else 0.0


def _exact(value: float) -> Decimal:
    """Nine figures, far below the uncertainty of any measurement, so that Decimals do not trail noise."""
    return Decimal(f"{value:.9g}")


def frequency_check(result: Analysis, stated: float) -> LogProblem | None:
    """A doubt about the sample rate where measured and stated pulse frequency (Hz) differ."""
    if result.pulses is None:
        return None
    ratio = stated / result.pulses.frequency
    if abs(ratio - 1) <= engineering().threshold("frequency_off"):
        return None
    return LogProblem(
        "rate",
        f"Pulses come {result.pulses.frequency:.4g} times a second by the log, {stated:.4g} times by the "
        "setting. Either the "
        f"sample rate or unit of time of the log is off by a factor of {ratio:.3g}, or the setting was "
        "another.",
    )
