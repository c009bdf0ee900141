"""Trials side by side: settings that differ, readings, measured energies, results; and any two quantities
for a chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from qualification.evidence.trial_reading import TrialRead
from qualification.models import LogState, Trial
from qualification.rules.core.quantities import DIMENSIONS, from_canonical, show_both
from qualification.rules.core.values import MISSING, Interval, Stated
from qualification.rules.entries.wording import say_value
from qualification.rules.variables.definition import RecordKind, ValueKind
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import RESULT
from qualification.trials.heat import HeatAnswer, heat_answer
from qualification.waveforms.pass_energy import MeasuredEnergy, measured_energy
from qualification.waveforms.words import say_number, worth_saying

READ = {
    "amps": "Amps shown",
    "volts": "Volts shown",
    "travel_speed": "Travel speed",
    "heat_input": "Energy by the displays",
}
MEASURED = {
    "mean_amps": ("Mean current, measured", "A"),
    "rms_amps": ("RMS current, measured", "A"),
    "mean_volts": ("Mean voltage, measured", "V"),
    "mean_power": ("Instantaneous power, measured", "W"),
    "difference_percent": ("Measured power against mean × mean", "%"),
}
ENERGY = "Measured energy per length"


@dataclass(frozen=True)
class SettingRow:
    """One thing about each of the trials."""

    label: str
    cells: tuple[str, ...]
    differs: bool


@dataclass(frozen=True)
class Quantity:
    """Something a chart can show: numbers of a trial in one unit."""

    key: str
    label: str
    unit: str


@dataclass(frozen=True)
class Point:
    """One trial in a chart, from lowest to highest in each direction."""

    name: str
    x: tuple[float, float]
    y: tuple[float, float]


class TrialComparison:
    """Two or more trials."""

    def __init__(self, trials: Sequence[Trial]) -> None:
        self.trials = list(trials)
        self.reads = [TrialRead(trial) for trial in trials]
        self.system = trials[0].units if trials else "us"

    def _values(self, key: str) -> list[Stated]:
        return [read.read.weld.line_facts(0)[key] for read in self.reads]

    def _rows(self, result: bool) -> list[SettingRow]:
        rows = []
        for key, variable in registry().items():
            if (
                RecordKind.TRIAL not in variable.uses
                or variable.derived
                or (variable.group == RESULT) is not result
            ):
                continue
            values = self._values(key)
            if all(value is MISSING for value in values):
                continue
            cells = tuple(say_value(key, value, self.system) for value in values)
            rows.append(SettingRow(variable.label, cells, any(value != values[0] for value in values[1:])))
        return rows

    @property
    def settings(self) -> list[SettingRow]:
        """Settings that differ."""
        return [row for row in self._rows(result=False) if row.differs]

    @property
    def results(self) -> list[SettingRow]:
        """Everything noted of the results."""
        verdicts = tuple(trial.get_verdict_display() for trial in self.trials)
        return [SettingRow("Verdict", verdicts, len(set(verdicts)) > 1), *self._rows(result=True)]

    @property
    def same(self) -> int:
        """How many settings are stated alike."""
        return sum(1 for row in self._rows(result=False) if not row.differs)

    @property
    def readings(self) -> list[SettingRow]:
        """What was read and measured, energies with their spread or uncertainty."""
        rows = []
        for key, label in READ.items():
            spans = [read.spans[key] for read in self.reads]
            rows.append(
                _row(
                    label,
                    [
                        "" if s is None else show_both(s, str(registry()[key].dimension), self.system)
                        for s in spans
                    ],
                )
            )
        rows.append(_row(ENERGY, [self._energy(trial) for trial in self.trials]))
        for key, (label, unit) in MEASURED.items():
            rows.append(_row(label, [_measured_words(trial, key, unit) for trial in self.trials]))
        return [row for row in rows if any(row.cells)]

    def _energy(self, trial: Trial) -> str:
        found = [each for log in trial.logs.all() if (each := measured_energy(log)) is not None]
        return "; ".join(
            f"{show_both(Interval.point(each.value), 'heat_input', self.system)} "
            f"± {100 * each.uncertainty / each.value:.1f}\u202f%{_remark(each)}"
            for each in found
        )

    @property
    def doubts(self) -> list[str]:
        """What is doubtful about the logs that measured figures come from."""
        found = [
            f"{trial.number}: {doubt}"
            for trial in self.trials
            for log in trial.logs.all()
            if log.state == LogState.DONE and log.analysis
            for doubt in log.analysis["problems"]
        ]
        return list(dict.fromkeys(found))

    @property
    def heat(self) -> HeatAnswer | None:
        """Which program puts less heat in."""
        return heat_answer(self.reads, self.system)

    @property
    def quantities(self) -> list[Quantity]:
        """What can be charted: numbers at least one of the trials has."""
        found = [
            Quantity(key, variable.label, _unit(key, self.system))
            for key, variable in registry().items()
            if variable.kind is ValueKind.NUMBER
            and RecordKind.TRIAL in variable.uses
            and any(isinstance(v, Interval) for v in self._values(key))
        ]
        found += [
            Quantity(f"read:{key}", label, _unit(key, self.system))
            for key, label in READ.items()
            if any(read.spans[key] is not None for read in self.reads)
        ]
        if any(self._energy(trial) for trial in self.trials):
            found.append(Quantity("energy", ENERGY, _unit("heat_input", self.system)))
        return found + [
            Quantity(f"measured:{key}", label, unit)
            for key, (label, unit) in MEASURED.items()
            if any(_measured(trial, key) for trial in self.trials)
        ]

    def numbers(self, quantity: str, index: int) -> tuple[float, float] | None:
        """Lowest and highest of one trial, in the unit of the chart; `None` where it has none."""
        kind, _, key = quantity.rpartition(":")
        trial = self.trials[index]
        if kind == "measured":
            values = _measured(trial, key)
            return (min(v - off for v, off in values), max(v + off for v, off in values)) if values else None
        if key == "energy":
            found = [each for log in trial.logs.all() if (each := measured_energy(log)) is not None]
            if not found:
                return None
            return self._ends(
                Interval(
                    min(e.value - e.uncertainty for e in found), max(e.value + e.uncertainty for e in found)
                ),
                "heat_input",
            )
        span = self.reads[index].spans[key] if kind == "read" else self._values(key)[index]
        return self._ends(span, key) if isinstance(span, Interval) else None

    def differs(self, quantity: str) -> bool:
        """True where every trial has it and it is not the same on all."""
        found = [self.numbers(quantity, index) for index in range(len(self.trials))]
        return None not in found and len(set(found)) > 1

    def _ends(self, span: Interval, key: str) -> tuple[float, float] | None:
        dimension = DIMENSIONS[str(registry()[key].dimension)]
        unit = dimension.unit_for(self.system)
        if span.low is None or span.high is None:
            return None
        return float(from_canonical(span.low, unit, dimension)), float(
            from_canonical(span.high, unit, dimension)
        )

    def points(self, x: str, y: str) -> list[Point]:
        """The trials that have both quantities."""
        return [
            Point(trial.number, first, second)
            for index, trial in enumerate(self.trials)
            if (first := self.numbers(x, index)) is not None
            and (second := self.numbers(y, index)) is not None
        ]


def _remark(energy: MeasuredEnergy) -> str:
    return " at least" if energy.at_least else " (doubtful, see below)" if energy.doubts else ""


def _row(label: str, cells: Sequence[str]) -> SettingRow:
    return SettingRow(label, tuple(cells), len(set(cells)) > 1)


def _unit(key: str, system: str) -> str:
    return DIMENSIONS[str(registry()[key].dimension)].unit_for(system).symbol


def _measured(trial: Trial, key: str) -> list[tuple[float, float]]:
    """Value and uncertainty of a figure, of each log that is worked through."""
    figures = [
        log.analysis["figures"][key]
        for log in trial.logs.all()
        if log.state == LogState.DONE and log.analysis
    ]
    return [(figure["value"], worth_saying(figure)) for figure in figures]


def _measured_words(trial: Trial, key: str, unit: str) -> str:
    return "; ".join(
        f"{say_number(value, unit)} ± {say_number(off, unit, 2)}" for value, off in _measured(trial, key)
    )


def middle(ends: tuple[float, float]) -> float:
    """Where a point is drawn."""
    return float((Decimal(ends[0]) + Decimal(ends[1])) / 2)
