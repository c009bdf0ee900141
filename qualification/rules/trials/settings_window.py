"""A range for each setting of a procedure, from readings of accepted trials and production of one set-up.

What is proposed never reaches beyond what was read, never across a rejected weld, and never beyond what a
test qualifies. How weak it is
follows from order statistics, without assuming a distribution: of readings that come about in the same way,
2 in n + 1 fall outside the span of the first n. Readings of one record are not independent, so n counts
records.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..arithmetic.heat import arc_energy_span
from ..core.facts import Facts
from ..core.printed_limits import show_limit
from ..core.quantities import show_interval
from ..core.values import Interval, NotEncoded, NotOnTest, Undetermined
from ..core.words import within_sentence
from ..variables.limits import Limit, Truth
from ..variables.registry import registry


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
    rejected: tuple[SettingReading, ...]
    """Readings of rejected welds that bound it, with accepted ones beyond."""
    beyond: tuple[Interval, ...]
    """Stretches of accepted readings on the other side of rejected ones, not part of the proposal."""
    constant: bool
    """All welds were set alike, so nothing is known of how far it may go."""
    sentence: str
    """What it rests on, and how weak that is."""


def settings_window(
    readings: Iterable[SettingReading],
    limits: Sequence[Limit] = (),
    facts: Facts | None = None,
    system: str = "us",
    rejected: Iterable[SettingReading] = (),
) -> tuple[SettingWindow, ...]:
    """A window for every setting that was read, in the order of the registry.

    `limits` are those of the test the procedure is to rest on (`LineRange.limits`); `facts`, of the weld it
    is for, silence those that do not apply. A limit that may apply counts. `rejected` are readings of welds
    that were not accepted: where one stands between accepted readings, and no other setting of that weld lies
    outside what was accepted, the window ends before it. Raises ValueError for a reading without an end, or
    of something that is not a number.
    """
    found: dict[str, list[SettingReading]] = {}
    for reading in readings:
        if registry()[reading.variable].dimension is None or None in (reading.value.low, reading.value.high):
            raise ValueError(f"a reading of {reading.variable} has to be a number with both ends")
        found.setdefault(reading.variable, []).append(reading)
    bounding = _unexplained(found, rejected)
    return tuple(
        _window(found[key], bounding.get(key, []), limits, facts or Facts(), system)
        for key in registry()
        if key in found
    )


def _unexplained(
    accepted: Mapping[str, list[SettingReading]], rejected: Iterable[SettingReading]
) -> dict[str, list[SettingReading]]:
    """Rejected readings by setting, without those of welds that another setting explains: one that lies
    wholly outside all that was accepted."""
    by_record: dict[str, list[SettingReading]] = {}
    for reading in rejected:
        if reading.variable in accepted and None not in (reading.value.low, reading.value.high):
            by_record.setdefault(reading.record, []).append(reading)
    hulls = {key: _hull(readings) for key, readings in accepted.items()}
    found: dict[str, list[SettingReading]] = {}
    for readings in by_record.values():
        outside = {r.variable for r in readings if not _meets(r.value, hulls[r.variable])}
        for reading in readings:
            if not outside:
                found.setdefault(reading.variable, []).append(reading)
    return found


def _hull(readings: Sequence[SettingReading]) -> Interval:
    return Interval(min(r.value.low for r in readings), max(r.value.high for r in readings))  # type: ignore[type-var]


def _meets(one: Interval, other: Interval) -> bool:
    assert one.low is not None
    assert one.high is not None
    assert other.low is not None
    assert other.high is not None
    return one.low <= other.high and other.low <= one.high


def _stretches(
    readings: Sequence[SettingReading], rejected: Sequence[SettingReading]
) -> list[list[SettingReading]]:
    """Accepted readings in runs, parted wherever a rejected one lies in the gap between two of them."""
    order = sorted(readings, key=lambda r: (r.value.low, r.value.high))
    runs, reach = [[order[0]]], order[0].value.high
    for reading in order[1:]:
        assert reach is not None
        assert reading.value.low is not None
        gap = reach < reading.value.low and any(
            r.value.low > reach and r.value.high < reading.value.low  # type: ignore[operator]
            for r in rejected
        )
        if gap:
            runs.append([])
        runs[-1].append(reading)
        reach = max(reach, reading.value.high)  # type: ignore[type-var]
    return runs


def _window(
    accepted: list[SettingReading],
    rejected: list[SettingReading],
    limits: Sequence[Limit],
    facts: Facts,
    system: str,
) -> SettingWindow:
    variable = accepted[0].variable
    runs = _stretches(accepted, rejected)
    # Most welds tell most; of two alike the lower one.
    readings = max(runs, key=lambda run: len({r.record for r in run}))
    beyond = tuple(_hull(run) for run in runs if run is not readings)
    lows, highs = zip(*((r.value.low, r.value.high) for r in readings), strict=True)
    observed = Interval(min(lows), max(highs))
    middles = [(low + high) / 2 for low, high in zip(lows, highs, strict=True)]
    mean = sum(middles, Decimal(0)) / len(middles)
    records = tuple(dict.fromkeys(r.record for r in readings))
    proposed, cut_by, open_limits = _within(observed, variable, limits, facts)
    constant = len(records) > 1 and observed.low == observed.high
    parts = [
        f"Set alike on all {len(records)} welds: keep it, since nothing is known of other values."
        if constant
        else _rests_on(len(readings), len(records), variable)
    ]
    bounds = tuple(r for r in rejected if len(runs) > 1)
    if beyond:
        parts.insert(0, _parted(variable, bounds, beyond, system))
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
        bounds,
        beyond,
        constant,
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


def _parted(
    variable: str, rejected: Sequence[SettingReading], beyond: Sequence[Interval], system: str
) -> str:
    dimension = str(registry()[variable].dimension)
    names = ", ".join(dict.fromkeys(r.record for r in rejected))
    spans = "; ".join(show_interval(each, dimension, system) for each in beyond)
    return (
        f"Ends before rejected welds ({names}). {spans} was accepted too, beyond them: weld there again "
        "before using it."
    )


def _read(variable: str, interval: Interval, system: str) -> str:
    definition = registry()[variable]
    return f"{definition.label} as read, {show_interval(interval, str(definition.dimension), system)},"


def _of(limits: tuple[Limit, ...], system: str) -> str:
    parts = []
    for limit in limits:
        assert isinstance(limit.allowed, Interval)
        span = show_limit(limit.allowed, str(registry()[limit.variable].dimension), system)
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
            allowed = show_limit(limit.allowed, "heat_input", system)
            return (
                f"Highest volts and amperes with the lowest travel speed give {most}; the test qualifies "
                f"{allowed} "
                f"({limit.citation.clause}). Narrow one of the three ranges."
            )
    return None
