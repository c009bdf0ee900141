"""A stored trial, read: its weld, its passes in words, and the spans of what was read while welding."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from qualification.codes.quiet_checks import with_quiet
from qualification.evidence.coverage import edition_of
from qualification.models import Trial
from qualification.rules.arithmetic.plausibility import Remark, plausibility
from qualification.rules.core.facts import Facts
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval, Stated
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.entries.showing import EnteredGroup, entered_groups
from qualification.rules.entries.wording import say_value
from qualification.rules.trials.combinations import CombinationCheck, checks_of
from qualification.rules.trials.pass_readings import PassReading, hull, read_pass
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import RESULT


@dataclass(frozen=True)
class PassRow:
    """One pass in words; empty where nothing is stated."""

    number: int
    length: str
    arc_time: str
    amps: str
    volts: str
    travel: str
    energy: str


class TrialRead:
    """A stored trial, read: its weld, its passes, and the spans of what was read while welding."""

    def __init__(self, trial: Trial) -> None:
        self.trial = trial

    @cached_property
    def read(self) -> ReadWeld:
        return read_weld(
            self.trial.joint,
            self.trial.lines,
            RecordKind.TRIAL,
            self.trial.units,
            self.trial.number,
            edition_of(self.trial.edition).speaks,
        )

    @property
    def line(self) -> Facts:
        return self.read.weld.lines[0]

    @cached_property
    def passes(self) -> list[PassReading]:
        return [read_pass(each.entries, self.trial.units)[0] for each in self.trial.passes.all()]

    @cached_property
    def spans(self) -> dict[str, Interval | None]:
        """From lowest to highest over all passes: `amps`, `volts`, `travel_speed`, `heat_input` (by the
        displays)."""
        speeds = [Interval.point(p.plain_travel) for p in self.passes if p.plain_travel is not None]
        return {
            "amps": hull(p.amps for p in self.passes),
            "volts": hull(p.volts for p in self.passes),
            "travel_speed": hull(speeds),
            "heat_input": hull(p.energy for p in self.passes),
        }

    @cached_property
    def rows(self) -> list[PassRow]:
        system = self.trial.units
        return [
            PassRow(
                number,
                _both(p.length, "length", system),
                _both(p.arc_time, "duration", system),
                _both(p.amps, "current", system),
                _both(p.volts, "voltage", system),
                _both(
                    None if p.plain_travel is None else Interval.point(p.plain_travel), "travel_speed", system
                ),
                _both(p.energy, "heat_input", system),
            )
            for number, p in enumerate(self.passes, start=1)
        ]

    @cached_property
    def groups(self) -> tuple[EnteredGroup, ...]:
        return entered_groups(
            self.trial.joint,
            self.trial.lines,
            RecordKind.TRIAL,
            self.trial.units,
            speaks=edition_of(self.trial.edition).speaks,
        )

    @property
    def results(self) -> list[tuple[str, str]]:
        """Label and words of each result stated."""
        return [
            (registry()[key].label, say_value(key, value, self.trial.units))
            for key, value in self.line.items()
            if registry()[key].group == RESULT
        ]

    @property
    def facts_shown(self) -> Facts:
        """What was set; what the passes showed counts where the line states nothing itself."""
        values: dict[str, Stated] = dict(self.read.weld.line_facts(0))
        for key, span in self.spans.items():
            if span is not None and key != "heat_input":
                values.setdefault(key, span)
        return Facts(values)

    @property
    def checks(self) -> tuple[CombinationCheck, ...]:
        """Entries to check by common sense, beside `remarks`."""
        weld = replace(self.read.weld, lines=(self.facts_shown,))
        return with_quiet(
            checks_of(replace(self.read, weld=weld), RecordKind.TRIAL, self.trial.units, with_settings=False)
        )

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """Entries that stand oddly together."""
        return plausibility(self.facts_shown, self.trial.units)


def _both(span: Interval | None, dimension: str, system: str) -> str:
    return "" if span is None else show_both(span, dimension, system)
