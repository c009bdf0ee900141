"""Which current programme puts less heat into the joint: energies per length of trials, held against one
another, answered in words.

A measured waveform tells the energy of any arc. What a display shows does so for a steady current without
short circuits only, and less exactly; of other trials without a waveform nothing is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations
from typing import Any

from qualification.models import LogState
from qualification.rules.catalogue import Origin
from qualification.rules.heat_comparison import Difference, Energy, difference, mean_of, times_counted
from qualification.rules.pass_readings import hull
from qualification.rules.quantities import show_both
from qualification.rules.values import Interval, Stated
from qualification.rules.variables import Level, Use, registry
from qualification.rules.variables_trial import RESULT
from qualification.rules.wording import within_sentence
from qualification.trial_content import TrialRead
from qualification.trial_reckoned import measured_energies
from qualification.waveform_logs import MeasuredEnergy

PROGRAMMES = ("double_pulsed", "pulsed", "steady")
"""In the order in which they are held against one another."""
OF_THE_PROGRAMME = frozenset(
    {
        "current_programme",
        "pulse_frequency",
        "pulse_duty",
        "slow_frequency",
        "low_level",
        "waveform_controlled",
        "transfer_mode",
    }
)
"""Settings that differ because the programme does."""
ROOT_OF_THREE = Decimal(3).sqrt()


@dataclass(frozen=True)
class Heat:
    """What one trial says of its energy per length."""

    read: TrialRead
    programme: str
    energies: tuple[MeasuredEnergy, ...]
    """Of its waveforms; empty where displays stand in."""
    energy: Energy | None
    """`None` where nothing tells it."""
    instruments_stated: bool

    @property
    def by_displays(self) -> bool:
        return self.energy is not None and not self.energies


@dataclass(frozen=True)
class HeatRow:
    """The energy of one programme, in words."""

    programme: str
    energy: str
    basis: str


@dataclass(frozen=True)
class Pair:
    """One programme against another: `less`, `more`, or `open` where the difference may be chance."""

    stand: str
    verdict: str
    sentence: str
    notes: tuple[str, ...]

    @property
    def mark(self) -> str:
        """The shape of yes, no and not shown."""
        return {"less": "covered", "more": "not_covered"}.get(self.stand, "unknown")


@dataclass(frozen=True)
class HeatAnswer:
    question: str
    pairs: tuple[Pair, ...]
    rows: tuple[HeatRow, ...]
    missing: tuple[str, ...]
    """Why there is no answer, or none from a trial."""
    times: Decimal
    """How many standard uncertainties a difference has to exceed, and where that was read."""
    origin: Origin


def heat_answer(reads: Sequence[TrialRead], system: str) -> HeatAnswer | None:
    """The answer for these trials; `None` where none states a programme, or all are steady."""
    told = [found for read in reads if (found := _heat_of(read)) is not None]
    groups = {key: [each for each in told if each.programme == key] for key in PROGRAMMES}
    groups = {key: found for key, found in groups.items() if found}
    if not set(groups) - {"steady"}:
        return None
    with_energy = {
        key: found for key, all_of in groups.items() if (found := [each for each in all_of if each.energy])
    }
    first = next(iter(groups))
    return HeatAnswer(
        f"Does the {_label(first)} programme put less heat into the joint?",
        tuple(_pair(a, b, system) for a, b in combinations(with_energy.values(), 2)),
        tuple(_row(found, system) for found in with_energy.values()),
        (*_missing(told), *_alone(groups)),
        *times_counted(),
    )


def _heat_of(read: TrialRead) -> Heat | None:
    logs = [log for log in read.trial.logs.all() if log.state == LogState.DONE and log.analysis]
    seen = {log.analysis["programme"] for log in logs if log.analysis}
    programme = next(iter(seen)) if len(seen) == 1 and None not in seen else _one(read, "current_programme")
    if programme not in PROGRAMMES:
        return None
    energies = measured_energies(read)
    if energies:
        energy: Energy | None = mean_of([Energy(each.value, each.uncertainty) for each in energies])
    else:
        energy = _by_displays(read) if programme == "steady" and _free_arc(read) else None
    stated = all(log.analysis["with_instrument"] for log in logs if log.analysis)
    return Heat(read, programme, energies, energy, stated)


def _one(read: TrialRead, key: str) -> str | None:
    value = read.line[key]
    return next(iter(value)) if isinstance(value, frozenset) and len(value) == 1 else None


def _free_arc(read: TrialRead) -> bool:
    """Without short circuits, which hide energy from a display as pulses do."""
    return _one(read, "transfer_mode") in ("spray", "globular") or _one(read, "process") == "GTAW"


def _by_displays(read: TrialRead) -> Energy | None:
    """The middle of what the readings allow; half their span is taken as the greatest error."""
    spans = [p.energy for p in read.passes if p.energy is not None]
    found = [
        Energy((span.low + span.high) / 2, (span.high - span.low) / 2 / ROOT_OF_THREE)
        for span in spans
        if span.low is not None and span.high is not None and span.high > 0
    ]
    return mean_of(found) if found else None


def _energy(found: Sequence[Heat]) -> Energy:
    return mean_of([each.energy for each in found if each.energy is not None])


def _pair(ones: Sequence[Heat], others: Sequence[Heat], system: str) -> Pair:
    one, other = _energy(ones), _energy(others)
    found = difference(one, other)
    stand = "open" if not found.counts else "less" if found.percent < 0 else "more"
    names = _label(ones[0].programme), _label(others[0].programme)
    verdict = {
        "less": f"Yes: less heat than {names[1]}",
        "more": f"No: more heat than {names[1]}",
        "open": f"Not shown: no difference to {names[1]} beyond the uncertainty",
    }[stand]
    return Pair(stand, verdict, _sentence(found, one, other, names, system), _notes(ones, others))


def _sentence(found: Difference, one: Energy, other: Energy, names: tuple[str, str], system: str) -> str:
    way = "less" if found.percent < 0 else "more"
    what = (
        f"{names[0]} put in {_say(one, system)} per length, {names[1]} {_say(other, system)}: "
        f"{abs(found.percent):.1f} ± {found.uncertainty:.1f}\u202f% {way}"
    )
    limit = f"{times_counted()[0] * found.uncertainty:.1f}\u202f%"
    if found.counts:
        end = f"Its uncertainty explains up to {limit}: for these coupons the difference is real."
    else:
        end = f"Its uncertainty explains up to {limit}: these coupons show no difference."
    text = f"{what}. {end}"
    return text[:1].upper() + text[1:]


def _notes(ones: Sequence[Heat], others: Sequence[Heat]) -> tuple[str, ...]:
    both = (*ones, *others)
    notes = []
    if all(each.energies for each in both):
        means = [
            mean_of([Energy(e.by_means, Decimal(0)) for each in side for e in each.energies])
            for side in (ones, others)
        ]
        if all(each.value > 0 for each in means):
            percent = difference(*means).percent
            notes.append(
                f"By mean volts × mean amps it would have looked like {abs(percent):.1f}\u202f% "
                f"{'less' if percent < 0 else 'more'}."
            )
    if differing := _also_differ(ones, others):
        notes.append(
            f"Not by the programme alone: {', '.join(differing)} "
            f"{'differs' if len(differing) == 1 else 'differ'} as well. Weld two coupons that differ in the "
            "programme only to know what it does by itself."
        )
    if any(each.by_displays for each in both):
        names = ", ".join(each.read.trial.number for each in both if each.by_displays)
        notes.append(f"{names}: by the displays, which do for a steady arc only. A waveform tells it closer.")
    if not all(each.instruments_stated for each in both if each.energies):
        notes.append("The instruments' own error is not stated for every waveform and not included.")
    counts = len([e for e in ones if e.energy]), len([e for e in others if e.energy])
    if min(counts) == 1:
        notes.append(
            f"Rests on {_coupons(counts[0])} against {_coupons(counts[1])}: the next may come out otherwise."
        )
    return tuple(notes)


def _also_differ(ones: Sequence[Heat], others: Sequence[Heat]) -> list[str]:
    """Labels of settings that both sides state and that differ; travel speed where the two do not meet."""
    found = []
    for key, variable in registry().items():
        if (
            variable.level is Level.LINE
            and Use.TRIAL in variable.uses
            and not variable.derived
            and variable.group != RESULT
            and key not in OF_THE_PROGRAMME
        ):
            sides = [_stated(side, key) for side in (ones, others)]
            if all(sides) and sides[0] != sides[1]:
                found.append(within_sentence(variable.label))
    speeds = [hull(p.travel for each in side for p in each.read.passes) for side in (ones, others)]
    if _apart(*speeds):
        found.append("travel speed")
    return found


def _stated(side: Sequence[Heat], key: str) -> set[Stated]:
    values = {each.read.line[key] for each in side}
    return {value for value in values if isinstance(value, Interval | frozenset | str)}


def _coupons(count: int) -> str:
    return f"{count} coupon{'s' * (count != 1)}"


def _apart(one: Interval | None, other: Interval | None) -> bool:
    if one is None or other is None:
        return False
    ends: tuple[Any, ...] = (one.low, one.high, other.low, other.high)
    return None not in ends and (ends[1] < ends[2] or ends[3] < ends[0])


def _row(found: Sequence[Heat], system: str) -> HeatRow:
    how = [
        f"{each.read.trial.number} "
        + (
            f"by {len(each.energies)} waveform{'s' * (len(each.energies) > 1)}"
            if each.energies
            else "by its displays"
        )
        for each in found
    ]
    return HeatRow(_title(found[0].programme), _say(_energy(found), system), ", ".join(how))


def _missing(told: Sequence[Heat]) -> list[str]:
    return [
        f"{each.read.trial.number} is {_label(each.programme)} and has no "
        + (
            "measured energy: a display does not tell the energy of a pulsed arc. Bring a voltage and "
            "current log of a pass that states length and arc time."
            if each.programme != "steady"
            else "energy: state transfer mode, and length, arc time, amps and volts of a pass, or bring a "
            "voltage and current log."
        )
        for each in told
        if each.energy is None
    ]


def _alone(groups: dict[str, list[Heat]]) -> list[str]:
    if len(groups) > 1:
        return []
    (only,) = groups
    others = " or ".join(_label(key) for key in PROGRAMMES if key != only)
    return [f"All of these are {_label(only)}. Tick one with a {others} current as well."]


def _say(energy: Energy, system: str) -> str:
    share = 100 * energy.uncertainty / energy.value
    return f"{show_both(Interval.point(energy.value), 'heat_input', system)} ± {share:.1f}\u202f%"


def _title(programme: str) -> str:
    return registry()["current_programme"].choice_label(programme)


def _label(programme: str) -> str:
    return within_sentence(_title(programme))
