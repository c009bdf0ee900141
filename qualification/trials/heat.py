"""Which current program puts less heat into the joint: energies per length of trials, held against one
another, answered in words.

A measured waveform tells the energy of any arc. What a display shows does so for a steady current without
short circuits only, and less exactly; of other trials without a waveform nothing is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations
from math import floor, log10
from typing import Any

from qualification.evidence.trial_reading import TrialRead
from qualification.models import LogState
from qualification.rules.arithmetic.engineering import engineering
from qualification.rules.arithmetic.heat_comparison import (
    Coupon,
    Energy,
    HeatComparison,
    HeatContrast,
    PassHeat,
    compare,
    difference,
    mean_of,
    threshold_row,
)
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval, Stated
from qualification.rules.core.words import within_sentence
from qualification.rules.materials.catalogue import Origin
from qualification.rules.trials.pass_readings import hull
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import RESULT
from qualification.trials.derived_figures import mean_energy, measured_energies
from qualification.waveforms.pass_energy import MeasuredEnergy

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
    coupon: Coupon
    """Its passes with an energy; none where nothing tells it."""
    instruments_stated: bool

    @property
    def by_displays(self) -> bool:
        return bool(self.coupon.passes) and not self.energies


@dataclass(frozen=True)
class HeatRow:
    """The energy of one programme, in words."""

    programme: str
    energy: str
    basis: str


@dataclass(frozen=True)
class Pair:
    """One programme against another."""

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
    scatter: str
    """The usual scatter from coupon to coupon, and where it was read."""
    origin: Origin


def heat_answer(reads: Sequence[TrialRead], system: str) -> HeatAnswer | None:
    """The answer for these trials; `None` where none states a programme, or all are steady."""
    told = [found for read in reads if (found := _heat_of(read)) is not None]
    by_programme = {key: [each for each in told if each.programme == key] for key in PROGRAMMES}
    groups = {key: all_of for key, all_of in by_programme.items() if all_of}
    if not set(groups) - {"steady"}:
        return None
    with_energy = {
        key: measured
        for key, all_of in groups.items()
        if (measured := [each for each in all_of if each.coupon.passes])
    }
    row = threshold_row("coupon_scatter")
    first = next(iter(groups))
    return HeatAnswer(
        f"Does the {_label(first)} program put less heat into the joint?",
        tuple(_pair(a, b, system) for a, b in combinations(with_energy.values(), 2)),
        tuple(_row(found, system) for found in with_energy.values()),
        (*_missing(told), *_alone(groups)),
        f"{100 * Decimal(row['value']):.0f}\u202f%",
        row.origin,
    )


def _heat_of(read: TrialRead) -> Heat | None:
    logs = [log for log in read.trial.logs.all() if log.state == LogState.DONE and log.analysis]
    seen = {log.analysis["programme"] for log in logs if log.analysis}
    programme = (
        next(iter(seen)) if len(seen) == 1 and None not in seen else read.line.choice("current_programme")
    )
    if programme not in PROGRAMMES:
        return None
    energies = measured_energies(read)
    if energies:
        passes = tuple(
            PassHeat(e.position, e.value, e.random, e.instruments, e.recorder, e.at_least) for e in energies
        )
    else:
        passes = _by_displays(read) if programme == "steady" and _free_arc(read) else ()
    stated = all(log.analysis["with_instrument"] for log in logs if log.analysis)
    return Heat(read, programme, energies, Coupon(read.trial.number, passes), stated)


def _free_arc(read: TrialRead) -> bool:
    """Without short circuits, which hide energy from a display as pulses do."""
    line = read.line
    return line.choice("transfer_mode") in ("spray", "globular") or line.choice("process") == "GTAW"


def _by_displays(read: TrialRead) -> tuple[PassHeat, ...]:
    """The middle of what the readings allow; half their span is taken as the greatest error, and displays
    are taken to be as far off as other instruments."""
    off = Decimal(str(engineering().threshold("instrument_off"))) * Decimal(2).sqrt() / ROOT_OF_THREE
    found = []
    for position, each in enumerate(read.passes, start=1):
        span = each.energy
        if span is not None and span.low is not None and span.high is not None and span.high > 0:
            middle = (span.low + span.high) / 2
            random = (span.high - span.low) / 2 / ROOT_OF_THREE
            found.append(PassHeat(position, middle, random, middle * off))
    return tuple(found)


def _pair(ones: Sequence[Heat], others: Sequence[Heat], system: str) -> Pair:
    found = compare([each.coupon for each in ones], [each.coupon for each in others])
    names = _label(ones[0].programme), _label(others[0].programme)
    stand = {HeatContrast.LESS: "less", HeatContrast.MORE: "more", HeatContrast.NO_DIFFERENCE: "open"}.get(
        found.answer, "not_comparable"
    )
    verdict = {
        "less": f"Yes: less heat than {names[1]}",
        "more": f"No: more heat than {names[1]}",
        "open": (
            f"No difference from {names[1]} seen; one of {to_digits(found.counts_from)}\u202f% would "
            "have been"
        ),
        "not_comparable": f"Cannot be compared with {names[1]}: {found.because}",
    }[stand]
    sentence = "" if found.because else _sentence(found, names, system)
    return Pair(stand, verdict, sentence, _notes(ones, others, found))


def to_digits(uncertainty: float) -> str:
    """An uncertainty with two digits where it begins with a one, else with one; a tenth at the finest."""
    if uncertainty <= 0:
        return "0"
    place = floor(log10(uncertainty))
    digits = 1 if uncertainty / 10**place < 1.95 else 0
    return f"{uncertainty:.{min(1, max(0, digits - place))}f}"


def _sentence(found: HeatComparison, names: tuple[str, str], system: str) -> str:
    way, margin = ("less" if found.percent < 0 else "more"), to_digits(found.margin)
    places = len(margin.partition(".")[2])
    first, second = (
        show_both(Interval.point(Decimal(f"{value:.6g}")), "heat_input", system) for value in found.means
    )
    what = (
        f"{names[0]} put in {first} per length, {names[1]} {second}: "
        f"{abs(found.percent):.{places}f} ± {margin}\u202f% {way}"
    )
    end = (
        f"The difference is real: chance and measuring explain up to {to_digits(found.counts_from)}\u202f%"
        if found.answer in (HeatContrast.LESS, HeatContrast.MORE)
        else "Chance and measuring explain as much"
    )
    text = f"{what}. {end}."
    return text[:1].upper() + text[1:]


def _notes(ones: Sequence[Heat], others: Sequence[Heat], found: HeatComparison) -> tuple[str, ...]:
    both = (*ones, *others)
    notes = [] if found.because else _how(ones, others, found)
    if all(each.energies for each in both) and not found.because:
        means = [
            mean_of([Energy(e.by_means, Decimal(0)) for each in side for e in each.energies])
            for side in (ones, others)
        ]
        if all(each.value > 0 for each in means):
            percent = difference(*means).percent
            notes.append(
                f"By mean volts × mean amps it would have looked like {abs(percent):.0f}\u202f% "
                f"{'less' if percent < 0 else 'more'}."
            )
    if differing := _also_differ(ones, others):
        notes.append(
            f"Not by the program alone: {'; '.join(differing)} "
            f"{'differs' if len(differing) == 1 else 'differ'} as well. Weld two coupons that differ in the "
            "program only to know what it does by itself."
        )
    if any(each.by_displays for each in both):
        names = ", ".join(each.read.trial.number for each in both if each.by_displays)
        notes.append(f"{names}: by the displays, which do for a steady arc only. A waveform tells it closer.")
    for each in both:
        for doubt in dict.fromkeys(doubt for energy in each.energies for doubt in energy.doubts):
            notes.append(f"Doubt about {each.read.trial.number}: {doubt}")
    return tuple(notes)


def _how(ones: Sequence[Heat], others: Sequence[Heat], found: HeatComparison) -> list[str]:
    """What the margin rests on."""
    both = (*ones, *others)
    passes = ", ".join(str(position) for position in found.positions)
    counts = len(ones), len(others)
    notes = [
        f"Compared: pass {passes} of {_coupons(counts[0])} with the same of {_coupons(counts[1])}."
        + (f" Without that pass, left out: {', '.join(found.left_out)}." if found.left_out else "")
    ]
    if found.usual_scatter:
        notes.append(
            f"Rests on {_coupons(counts[0])} against {_coupons(counts[1])}, which do not tell how far "
            f"coupons differ among themselves; {to_digits(found.between_coupons)}\u202f% is taken. By "
            f"measuring alone these coupons' difference is known to ± {to_digits(found.of_these)}\u202f%. "
            "Weld two of each or more to know better."
        )
    else:
        notes.append(
            f"Coupons of one kind differ among themselves by {to_digits(found.between_coupons)}\u202f% "
            "(standard deviation)."
        )
    measured = [each for each in both if each.energies]
    if measured and found.shared_instruments:
        notes.append("All were recorded with one instrument, whose error cancels in the difference.")
    elif measured:
        usual = 100 * engineering().threshold("instrument_off")
        notes.append(
            (
                ""
                if all(each.instruments_stated for each in measured)
                else f"Errors of instruments that are not stated are taken as {usual:g}\u202f%. "
            )
            + "State on each log what it was recorded with: the error of one instrument cancels."
        )
    return notes


def _also_differ(ones: Sequence[Heat], others: Sequence[Heat]) -> list[str]:
    """Labels of settings that both sides state and that differ; travel speed where the two do not meet."""
    found = []
    for key, variable in registry().items():
        if (
            variable.level is Level.LINE
            and RecordKind.TRIAL in variable.uses
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
    energies = [
        mean_energy(each.energies)
        if each.energies
        else mean_of([Energy(p.value, p.random) for p in each.coupon.passes])
        for each in found
    ]
    bound = "At least " if any(e.at_least for each in found for e in each.energies) else ""
    return HeatRow(_title(found[0].programme), bound + _say(mean_of(energies), system), ", ".join(how))


def _missing(told: Sequence[Heat]) -> list[str]:
    return [
        f"{each.read.trial.number} is {_label(each.programme)} and has no "
        + (
            "measured energy: a display does not tell the energy of a pulsed arc. Upload a voltage and "
            "current log of a pass that states length and arc time."
            if each.programme != "steady"
            else "energy: state transfer mode, and length, arc time, amps and volts of a pass, or bring a "
            "voltage and current log."
        )
        for each in told
        if not each.coupon.passes
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
