"""A range for each setting of a procedure, from readings of accepted trials and production of one set-up.

What is proposed never reaches beyond what was read, and never beyond what a test qualifies. How weak it is
follows from order statistics, without assuming a distribution: of readings that come about in the same way,
2 in n + 1 fall outside the span of the first n. Readings of one record are not independent, so n counts
records.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from .arithmetic.heat import arc_energy_span
from .facts import Facts
from .limits import Limit, Truth
from .quantities import show_interval
from .values import Interval, NotEncoded, NotOnTest, Undetermined
from .variables import registry
from .wording import within_sentence


@dataclass(frozen=True)
class SettingReading:
    """One reading of one setting, in canonical units; an interval where it swung."""

    variable: str
    value: Interval
    record: str
    """Trial, test or production weld it was read on."""


@dataclass(frozen=True)
class SettingWindow:
    """The range proposed for one setting, and what it rests on."""

    variable: str
    observed: Interval
    """From the lowest to the highest reading."""
    mean: Decimal
    """Of the middles of the readings."""
    scatter: Decimal | None
    """Standard deviation of those middles; `None` for a single reading."""
    readings: int
    records: tuple[str, ...]
    proposed: Interval | None
    """`None` where no part of what was read is qualified."""
    cut_by: tuple[Limit, ...]
    """Limits that took something off."""
    open_limits: tuple[Limit, ...]
    """Limits that cannot be told: the test leaves something out, or the rule is not encoded."""
    sentence: str
    """What it rests on, and how weak that is."""


def settings_window(
    readings: Iterable[SettingReading],
    limits: Sequence[Limit] = (),
    facts: Facts | None = None,
    system: str = "us",
) -> tuple[SettingWindow, ...]:
    """A window for every setting that was read, in the order of the registry.

    `limits` are those of the test the procedure is to rest on (`LineRange.limits`); `facts`, of the weld it
    is for, silence those that do not apply. A limit that may apply counts. Raises ValueError for a reading
    without an end, or of something that is not a number.
    """
    found: dict[str, list[SettingReading]] = {}
    for reading in readings:
        if registry()[reading.variable].dimension is None or None in (reading.value.low, reading.value.high):
            raise ValueError(f"a reading of {reading.variable} has to be a number with both ends")
        found.setdefault(reading.variable, []).append(reading)
    return tuple(_window(found[key], limits, facts or Facts(), system) for key in registry() if key in found)


def _window(
    readings: list[SettingReading], limits: Sequence[Limit], facts: Facts, system: str
) -> SettingWindow:
    variable = readings[0].variable
    lows, highs = zip(*((r.value.low, r.value.high) for r in readings), strict=True)
    observed = Interval(min(lows), max(highs))
    middles = [(low + high) / 2 for low, high in zip(lows, highs, strict=True)]
    mean = sum(middles, Decimal(0)) / len(middles)
    records = tuple(dict.fromkeys(r.record for r in readings))
    proposed, cut_by, open_limits = _within(observed, variable, limits, facts)
    parts = [_rests_on(len(readings), len(records), variable)]
    if proposed is None:
        parts.insert(
            0,
            f"{_read(variable, observed, system)} lies outside what the test qualifies: "
            f"{_of(cut_by, system)}.",
        )
    elif cut_by:
        parts.insert(
            0,
            f"{_read(variable, observed, system)} was cut to what the test qualifies: {_of(cut_by, system)}.",
        )
    if open_limits:
        clauses = ", ".join(dict.fromkeys(limit.citation.clause for limit in open_limits))
        parts.append(f"What the test qualifies cannot be told in full ({clauses}).")
    return SettingWindow(
        variable,
        observed,
        mean,
        _deviation(middles, mean),
        len(readings),
        records,
        proposed,
        cut_by,
        open_limits,
        " ".join(parts),
    )


def _within(
    observed: Interval, variable: str, limits: Sequence[Limit], facts: Facts
) -> tuple[Interval | None, tuple[Limit, ...], tuple[Limit, ...]]:
    proposed: Interval | None = observed
    cut_by, open_limits = [], []
    for limit in limits:
        if limit.variable != variable or limit.speaks(facts)[0] is Truth.NO:
            continue
        if isinstance(limit.allowed, Undetermined | NotEncoded | NotOnTest):
            open_limits.append(limit)
        elif isinstance(limit.allowed, Interval) and not observed.within(limit.allowed):
            cut_by.append(limit)
            proposed = None if proposed is None else proposed.intersect(limit.allowed)
    return proposed, tuple(cut_by), tuple(open_limits)


def _deviation(values: list[Decimal], mean: Decimal) -> Decimal | None:
    if len(values) < 2:
        return None
    return (sum(((v - mean) ** 2 for v in values), Decimal(0)) / (len(values) - 1)).sqrt()


def _rests_on(readings: int, records: int, variable: str) -> str:
    label = within_sentence(registry()[variable].label)
    if records == 1:
        much = "one reading" if readings == 1 else f"{readings} readings of one weld"
        return f"Rests on {much}: it says what {label} was once, and nothing of how far it may go."
    outside = round(200 / (records + 1))
    return (
        f"Rests on {readings} readings of {records} welds: of further welds made alike, about {outside} "
        "in 100 would "
        "be read outside it."
    )


def _read(variable: str, interval: Interval, system: str) -> str:
    definition = registry()[variable]
    return f"{definition.label} as read, {show_interval(interval, str(definition.dimension), system)},"


def _of(limits: tuple[Limit, ...], system: str) -> str:
    parts = []
    for limit in limits:
        assert isinstance(limit.allowed, Interval)
        span = show_interval(limit.allowed, str(registry()[limit.variable].dimension), system)
        parts.append(f"{span} by {limit.citation.clause}")
    return "; ".join(dict.fromkeys(parts))


def energy_of_corners(windows: Iterable[SettingWindow]) -> Interval | None:
    """Arc energy in kJ/in over all that the proposed volts, amperes and travel speed allow at once; `None`
    where one of them is not proposed."""
    proposed: Mapping[str, Interval | None] = {w.variable: w.proposed for w in windows}
    volts, amps, travel = (proposed.get(key) for key in ("volts", "amps", "travel_speed"))
    if volts is None or amps is None or travel is None:
        return None
    return arc_energy_span(volts, amps, travel)


def corner_remark(
    windows: Sequence[SettingWindow], limits: Sequence[Limit], facts: Facts | None = None, system: str = "us"
) -> str | None:
    """Where every range lies inside and all ends together do not: volts and amperes at their highest with
    the lowest travel speed give more than the heat input a limit lets pass. `None` where nothing is to be
    said."""
    span = energy_of_corners(windows)
    if span is None or span.high is None:
        return None
    for limit in limits:
        if limit.variable != "heat_input" or not isinstance(limit.allowed, Interval):
            continue
        if limit.speaks(facts or Facts())[0] is not Truth.NO and span.ends_after(limit.allowed):
            most = show_interval(Interval.point(span.high), "heat_input", system)
            allowed = show_interval(limit.allowed, "heat_input", system)
            return (
                f"Highest volts and amperes with the lowest travel speed give {most}; the test qualifies "
                f"{allowed} "
                f"({limit.citation.clause}). Narrow one of the three ranges."
            )
    return None
