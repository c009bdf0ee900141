"""The readings of one pass, and what follows from them: travel speed, and energy per length by the displays.

A length measured with a rule and a time stopped by hand are off by as much as
`tables/practice/reading.toml` says; every figure is given as the span that leaves. Energy by displays is
mean volts times mean amperes: for a pulsed or short-circuiting arc only a measured waveform tells the
energy (ASME IX QW-409.1).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from ..arithmetic.heat import arc_energy_span
from ..core.problems import Problem
from ..core.values import Interval
from ..entries.reading import Entry, EntryError, read_entry
from ..variables.definition import RecordKind, Variable
from ..variables.registry import variable
from ..variables.trial import ARC_TIME, PASS_LENGTH
from .practice import reading_off

SECONDS = 60


@dataclass(frozen=True)
class PassReading:
    """One pass, canonical units: mm, s, A, V, mm/min, kJ/in. `None` where nothing readable is stated."""

    length: Interval | None
    arc_time: Interval | None
    amps: Interval | None
    volts: Interval | None

    @property
    def travel(self) -> Interval | None:
        """Travel speed with the spread of length and time. `None` while either is missing."""
        return _travel(self.length, self.arc_time, reading_off("pass_length"), reading_off("arc_time"))

    @property
    def plain_travel(self) -> Decimal | None:
        """Travel speed as it comes out of the readings themselves, mm/min."""
        span = _travel(self.length, self.arc_time, Decimal(0), Decimal(0))
        return None if span is None else span.low

    @property
    def energy(self) -> Interval | None:
        """Arc energy by the displays, from the least to the most the readings allow, kJ/in."""
        if self.amps is None or self.volts is None or self.travel is None:
            return None
        return arc_energy_span(self.volts, self.amps, self.travel)


def _travel(
    length: Interval | None, time: Interval | None, length_off: Decimal, time_off: Decimal
) -> Interval | None:
    if (
        length is None
        or time is None
        or length.low is None
        or length.high is None
        or time.low is None
        or time.high is None
    ):
        return None
    least, most = max(length.low - length_off, Decimal(0)), length.high + length_off
    quickest, slowest = time.low - time_off, time.high + time_off
    if quickest <= 0:
        return None
    return Interval(least / slowest * SECONDS, most / quickest * SECONDS)


def pass_variables() -> tuple[Variable, ...]:
    """What is read of a pass, in the order of a form."""
    shown = (
        replace(variable("amps"), label="Amps shown", help=""),
        replace(variable("volts"), label="Volts shown", help=""),
    )
    return (PASS_LENGTH, ARC_TIME, *shown)


def read_pass(entries: Mapping[str, Entry], system: str) -> tuple[PassReading, tuple[Problem, ...]]:
    """The readings of a pass as typed. An entry with a problem counts as left out, and the problem says
    so."""
    values: dict[str, Interval | None] = {}
    problems = []
    for each in pass_variables():
        values[each.key] = None
        try:
            value = read_entry(entries.get(each.key, ""), each, RecordKind.TRIAL, system)
        except EntryError as error:
            problems.append(Problem(each.key, f"{each.label}: {error}"))
            continue
        if isinstance(value, Interval):
            values[each.key] = value
    return PassReading(values["pass_length"], values["arc_time"], values["amps"], values["volts"]), tuple(
        problems
    )


def hull(spans: Iterable[Interval | None]) -> Interval | None:
    """From the lowest to the highest of the spans given; `None` when there is none."""
    given = [each for each in spans if each is not None and each.low is not None and each.high is not None]
    if not given:
        return None
    return Interval(min(each.low for each in given), max(each.high for each in given))  # type: ignore[type-var]
