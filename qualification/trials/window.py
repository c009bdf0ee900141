"""The settings window around a trial: ranges proposed from accepted trials and production readings of one
set-up, held within what a test qualifies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from qualification.evidence.coverage import edition_of, range_of
from qualification.evidence.trial_reading import TrialRead
from qualification.models import ProcedureTest, Purpose, State, Trial, TrialVerdict
from qualification.rules.core.facts import Facts
from qualification.rules.core.printed_limits import limit_in_both
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import MISSING, Interval, Stated
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.derive import derive
from qualification.rules.entries.wording import say_value
from qualification.rules.materials.grouping import group
from qualification.rules.trials.settings_window import (
    SettingReading,
    SettingWindow,
    corner_remark,
    energy_of_corners,
    settings_window,
)
from qualification.rules.variables.definition import Level, RecordKind, ValueKind
from qualification.rules.variables.limits import Limit
from qualification.rules.variables.registry import registry
from qualification.trials.entries import Taken, entry_of, taken_for
from qualification.waveforms.pass_energy import measured_energy

SET_UP = (
    "process",
    "weld_type",
    "base_metal_a",
    "base_metal_b",
    "thickness_a",
    "filler_classification",
    "filler_diameter",
    "shielding_gas",
    "current_programme",
    "gun",
)
"""What has to be the same for two trials to be of one set-up."""
READ_WHILE_WELDING = ("amps", "volts", "travel_speed")


@dataclass(frozen=True)
class WindowRow:
    """One setting for a page."""

    window: SettingWindow
    label: str
    observed: str
    scatter: str
    proposed: str
    clauses: str


@dataclass(frozen=True)
class TrialWindow:
    """The window, what it rests on and what it is held within."""

    trial: Trial
    test: ProcedureTest | None
    set_up: list[tuple[str, str]]
    used: list[Trial]
    left_out: list[tuple[Trial, str]]
    """Accepted trials of another set-up, and what is different about them."""
    windows: tuple[SettingWindow, ...]
    remark: str
    energy: str
    refusals: tuple[str, ...]
    """Why the chosen test qualifies nothing, so that nothing is proposed within it."""
    rejected: list[Trial]
    """Trials of the set-up that were not accepted: they bound the window."""
    readings: tuple[SettingReading, ...]
    """Of accepted trials."""
    bad_readings: tuple[SettingReading, ...]
    """Of rejected ones."""
    limits: tuple[Limit, ...]

    @property
    def rows(self) -> list[WindowRow]:
        return [self._row(window) for window in self.windows]

    def _row(self, window: SettingWindow) -> WindowRow:
        definition, system = registry()[window.variable], self.trial.units
        dimension = str(definition.dimension)
        scatter = "" if window.scatter is None or window.constant else _spread(window, dimension, system)
        proposed = limit_in_both(window.proposed, dimension, system) if window.proposed else "Nothing"
        clauses = ", ".join(
            dict.fromkeys(limit.citation.clause for limit in (*window.cut_by, *window.open_limits))
        )
        return WindowRow(
            window,
            definition.label,
            show_both(window.observed, dimension, system),
            scatter,
            proposed,
            clauses,
        )


def _spread(window: SettingWindow, dimension: str, system: str) -> str:
    assert window.scatter is not None
    mean = show_both(Interval.point(window.mean), dimension, system)
    return f"mean {mean}, standard deviation {_difference(window, dimension, system)}"


def _difference(window: SettingWindow, dimension: str, system: str) -> str:
    shown = "temperature_difference" if dimension == "temperature" else dimension
    assert window.scatter is not None
    return show_both(Interval.point(window.scatter), shown, system)


def tests_to_choose() -> list[ProcedureTest]:
    """Approved procedure tests, whose ranges a window can be held within."""
    return list(ProcedureTest.objects.filter(state=State.APPROVED).order_by("number"))


def window_of(trial: Trial, test: ProcedureTest | None) -> TrialWindow:
    """The settings window around a trial, whether it is accepted itself or not."""
    own = _set_up(trial)
    used: list[Trial] = []
    rejected: list[Trial] = []
    left_out = []
    for other in (
        Trial.objects.filter(verdict__in=(TrialVerdict.ACCEPTED, TrialVerdict.REJECTED))
        .prefetch_related("passes", "logs__weld_pass")
        .order_by("pk")
    ):
        differs = [
            within_sentence(registry()[key].label)
            for key, value in _set_up(other).items()
            if value != own[key]
        ]
        if differs and other.verdict == TrialVerdict.ACCEPTED:
            left_out.append((other, f"differs in {', '.join(differs)}"))
        elif not differs:
            (used if other.verdict == TrialVerdict.ACCEPTED else rejected).append(other)
    limits, facts, refusals = _limits(trial, test)
    readings = tuple(r for each in used for r in _readings(each))
    bad = tuple(r for each in rejected for r in _readings(each))
    windows = settings_window(readings, limits, facts, trial.units, bad)
    if refusals:
        # A test that qualifies nothing leaves nothing to propose.
        windows = tuple(replace(each, proposed=None) for each in windows)
    corners = energy_of_corners(windows)
    return TrialWindow(
        trial,
        test,
        [(registry()[key].label, say_value(key, value, trial.units)) for key, value in own.items()],
        used,
        left_out,
        windows,
        corner_remark(windows, limits, facts, trial.units) or "",
        show_both(corners, "heat_input", trial.units) if corners else "",
        refusals,
        rejected,
        readings,
        bad,
        limits,
    )


def _set_up(trial: Trial) -> Mapping[str, Stated]:
    facts = TrialRead(trial).read.weld.line_facts(0)
    return {key: facts[key] for key in SET_UP}


def _readings(trial: Trial) -> list[SettingReading]:
    """What a trial gives: numbers as set, and what was read on each pass in the place of what was set."""
    read = TrialRead(trial)
    found = [
        SettingReading(key, value, trial.number)
        for key, value in read.line.items()
        if key not in READ_WHILE_WELDING and _is_setting(key) and isinstance(value, Interval)
    ]
    for each in read.passes:
        speed = None if each.plain_travel is None else Interval.point(each.plain_travel)
        for key, span in (("amps", each.amps), ("volts", each.volts), ("travel_speed", speed)):
            if span is not None:
                found.append(SettingReading(key, span, trial.number))
    for log in trial.logs.all():
        if (energy := measured_energy(log)) is not None and not energy.at_least:
            found.append(SettingReading("heat_input", Interval.point(energy.rounded), trial.number))
    return found


def _is_setting(key: str) -> bool:
    """True for what a procedure can claim a range of, line by line."""
    definition = registry()[key]
    return (
        key not in SET_UP
        and definition.level is Level.LINE
        and definition.kind is ValueKind.NUMBER
        and RecordKind.SPEC in definition.uses & definition.many
    )


def _limits(trial: Trial, test: ProcedureTest | None) -> tuple[tuple[Limit, ...], Facts, tuple[str, ...]]:
    if test is None:
        return (), Facts(), ()
    facts = derive(group(TrialRead(trial).read.weld, edition_of(test.edition))).line_facts(0)
    tested = range_of(test)
    process = facts["process"]
    limits = tuple(
        limit
        for line in tested.lines
        if isinstance(process, frozenset) and process <= line.stands_for
        for limit in line.limits
    )
    if tested.refusals or limits:
        return limits, facts, tested.refusals
    return (), facts, (f"{test} qualifies nothing for the process of {trial}.",)


def taken_from(window: TrialWindow) -> list[Taken]:
    """The entries of a procedure draft: the trial's own where nothing was proposed, else the range
    proposed."""
    found = {taken.variable: taken for taken in taken_for(window.trial, RecordKind.SPEC)}
    for each in window.windows:
        if each.proposed is None:
            found.pop(each.variable, None)
        else:
            within = f", within what {window.test.reference} qualifies" if window.test else ""
            count, trials = each.readings, len(each.records)
            reading = f"{count} reading{'s' if count > 1 else ''} of {trials} accepted trial"
            found[each.variable] = Taken(
                each.variable,
                entry_of(each.proposed, each.variable, window.trial.units, inward=True),
                f"{reading}{'s' if len(each.records) > 1 else ''}{within}",
                tuple(t for t in window.used if t.number in each.records),
            )
    order = list(registry())
    return sorted(found.values(), key=lambda taken: order.index(taken.variable))


def stated_alike(window: TrialWindow) -> int:
    """How many parts of the set-up the trial leaves open: each makes trials count as alike that may not
    be."""
    return sum(1 for value in _set_up(window.trial).values() if value is MISSING)


def production_of(window: TrialWindow) -> int:
    """How many of the trials used were read in production."""
    return sum(1 for trial in window.used if trial.purpose == Purpose.PRODUCTION)
