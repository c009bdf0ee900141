"""Whether a qualification holds that has to be confirmed every so many months and ends with a period of its own,
as by ISO 9606: from the day of the coupon, confirmed without a gap, prolonged or tested again before its period ends.

Only evidence counts. A missed confirmation ends the qualification and no later one revives it; a period about which
nothing is on record leaves it unknown, never valid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from . import continuity, schema
from .continuity import Change, Continuity, ContinuityRules, Event, PassedTest, Revocation, State, add_months, say_day
from .findings import Citation, Source
from .schema import CITED, Column, Place, read_row, required

BY = ("retest", "welds", "records")


@dataclass(frozen=True)
class Way:
    """One way in which the edition lets a qualification go on beyond its first period."""

    key: str
    by: str
    """`retest`: a new test; `welds`: prolonged on examined welds; `records`: while conditions are met."""
    months: int | None
    """Calendar months of one period; `None` for no end."""
    welds: int
    within: int
    """Examined welds a prolongation rests on, and the months before it in which they were welded."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class ValidityRules:
    months: int
    """Calendar months within which the qualification is confirmed again."""
    ways: tuple[Way, ...]
    start: Citation
    confirmation: Citation
    revocation: Citation

    def way(self, key: str | None) -> Way | None:
        """The way of that key; the only one where there is but one."""
        return self.ways[0] if key is None and len(self.ways) == 1 else next((w for w in self.ways if w.key == key), None)


@dataclass(frozen=True)
class Prolongation:
    """A prolongation signed on a day, and the days on which its examined and accepted welds were made."""

    day: date
    welds: tuple[date, ...]


def validity(
    test: PassedTest, on: date, rules: ValidityRules, *, way: str | None = None, confirmed: Sequence[date] = (),
    prolonged: Sequence[Prolongation] = (), conditions_met: bool | None = None, revocations: Sequence[Revocation] = (),
) -> Continuity:
    """Whether the qualification by `test` holds on the day `on`.

    `confirmed` are the days of confirmation on record, `way` the key of the way the certificate names, `conditions_met`
    whether those of a way by records are. What lies after `on` or before the test is left out.
    """
    if test.welded_on is None:
        said = f"{test.record} does not state the day its coupon was welded."
        return Continuity(State.UNKNOWN, None, said, rules.start, ("welded_on",))
    if on < test.welded_on:
        said = f"The coupon of {test.record} was welded on {say_day(test.welded_on)}, after the day asked for."
        return Continuity(State.UNKNOWN, None, said, rules.start)
    own = [r for r in revocations if test.record in r.records and r.day <= on]
    events = [Event(test.welded_on, Change.QUALIFIED, f"The coupon of {test.record} was welded.", rules.start)]
    answer = _answer(test.welded_on, on, rules, way, confirmed, prolonged, conditions_met, events)
    history = sorted([*events, *(Event(r.day, Change.REVOKED, f"{r.reason.rstrip('.')}.", rules.revocation) for r in own)], key=lambda e: e.day)
    if own:
        last = max(own, key=lambda r: r.day)
        said = f"Revoked on {say_day(last.day)}: {last.reason.rstrip('.')}. A new test, on a record of its own, qualifies again."
        return Continuity(State.REVOKED, None, said, rules.revocation, (), tuple(history))
    return Continuity(answer.state, answer.holds_until, answer.because, answer.citation, answer.needs, tuple(history))


def _answer(
    start: date, on: date, rules: ValidityRules, way: str | None, confirmed: Sequence[date], prolonged: Sequence[Prolongation],
    conditions_met: bool | None, events: list[Event],
) -> Continuity:
    last = start
    for day in sorted(d for d in confirmed if start < d <= on):
        last = day if day <= add_months(last, rules.months) else last
    confirmed_until = add_months(last, rules.months)
    period = _period(start, on, rules, way, prolonged, conditions_met, events)
    ends = [end for end in (confirmed_until, period.holds_until) if end is not None]
    if on > confirmed_until and (period.holds_until is None or confirmed_until <= period.holds_until):
        events.append(Event(confirmed_until + timedelta(days=1), Change.LAPSED, "It was not confirmed in time.", rules.confirmation))
        said = (f"It was last confirmed on {say_day(last)}; {rules.months} months without a further confirmation ended on "
                f"{say_day(confirmed_until)}. A new test qualifies again.")
        return Continuity(State.LAPSED, confirmed_until, said, rules.confirmation)
    if period.state is not State.HOLDS:
        return period
    said = f"Last confirmed on {say_day(last)}. {period.because} It holds to the end of {say_day(min(ends))}."
    return Continuity(State.HOLDS, min(ends), said, period.citation if period.holds_until == min(ends) else rules.confirmation)


def _period(
    start: date, on: date, rules: ValidityRules, key: str | None, prolonged: Sequence[Prolongation], conditions_met: bool | None,
    events: list[Event],
) -> Continuity:
    """How the period stands, confirmations apart."""
    way = rules.way(key)
    if way is None:
        return _under_any(start, on, rules)
    if way.by == "records":
        state = {True: State.HOLDS, False: State.LAPSED, None: State.UNKNOWN}[conditions_met]
        said = {True: way.because, False: f"{way.because} They are not met.", None: f"{way.because} Whether they are met is not on record."}
        return Continuity(state, None, said[conditions_met], way.citation, () if conditions_met is not None else ("conditions_met",))
    assert way.months is not None
    end = add_months(start, way.months)
    for each in sorted((p for p in prolonged if way.by == "welds" and start < p.day <= on), key=lambda p: p.day):
        recent = [day for day in each.welds if day <= each.day <= add_months(day, way.within)]
        if each.day <= end and len(recent) >= way.welds:
            end = add_months(each.day, way.months)
            events.append(Event(each.day, Change.PROLONGED, f"Prolonged on {len(recent)} examined welds.", way.citation))
    if on <= end:
        return Continuity(State.HOLDS, end, f"Its period ends on {say_day(end)}.", way.citation)
    events.append(Event(end + timedelta(days=1), Change.LAPSED, "Its period ended.", way.citation))
    return Continuity(State.LAPSED, end, f"Its period ended on {say_day(end)}. {way.because}", way.citation)


def _under_any(start: date, on: date, rules: ValidityRules) -> Continuity:
    """Without a way on record only the shortest period of all holds."""
    shortest = min((w for w in rules.ways if w.months is not None), key=lambda w: w.months or 0)
    end = add_months(start, shortest.months or 0)
    if on <= end:
        return Continuity(State.HOLDS, end, f"By every way of going on it holds to {say_day(end)} at least.", shortest.citation)
    said = f"Which way of going on its certificate names is not on record; by the shortest it ended on {say_day(end)}."
    return Continuity(State.UNKNOWN, end, said, shortest.citation, ("way",))


WAY: dict[str, Column] = {
    **CITED, "key": required(schema.text), "by": required(schema.one_of(*BY)), "months": schema.whole, "welds": schema.whole,
    "within": schema.whole, "because": required(schema.text),
}
SECTIONS: dict[str, dict[str, Column]] = {
    "start": dict(CITED), "confirmation": {**CITED, "months": required(schema.whole)}, "revocation": dict(CITED),
}


def read_keeping(
    raw: Mapping[str, Any], code: str, edition: str, sources: Mapping[str, Source], place: Place
) -> ContinuityRules | ValidityRules:
    """Read `continuity.toml`, by whichever of the two kinds of rules it holds. Raises TableError."""
    return (read if "confirmation" in raw else continuity.read)(raw, code, edition, sources, place)


def read(raw: Mapping[str, Any], code: str, edition: str, sources: Mapping[str, Source], place: Place) -> ValidityRules:
    """Raises TableError naming the section that is missing, unknown or wrong."""
    if set(raw) != {*SECTIONS, "way"}:
        raise place.fail(f"expected the sections {', '.join(SECTIONS)} and way, found {', '.join(raw)}")
    rows: dict[str, dict[str, Any]] = {}
    cited: dict[str, Citation] = {}
    for name, columns in SECTIONS.items():
        here = Place(place.edition, place.file, name)
        rows[name] = read_row(raw[name], columns, here)
        cited[name] = schema.citation(rows[name], code, edition, sources, here)
    if rows["confirmation"]["months"] < 1:
        raise place.fail("confirmation in less than a month is not a span of time")
    ways = tuple(
        _way(item, code, edition, sources, Place(place.edition, place.file, f"way {number}"))
        for number, item in enumerate(schema.row_list(raw["way"], place), start=1)
    )
    if all(way.months is None for way in ways) or len({way.key for way in ways}) < len(ways):
        raise place.fail("the ways need keys of their own, and one of them a period")
    return ValidityRules(rows["confirmation"]["months"], ways, cited["start"], cited["confirmation"], cited["revocation"])


def _way(item: Any, code: str, edition: str, sources: Mapping[str, Source], place: Place) -> Way:
    row = read_row(item, WAY, place)
    wanted = {"retest": {"months"}, "welds": {"months", "welds", "within"}, "records": set()}[row["by"]]
    given = {key for key in ("months", "welds", "within") if row[key] is not None}
    if given != wanted:
        raise place.fail(f"a way by {row['by']} states {', '.join(sorted(wanted)) or 'no number'}")
    if any(row[key] < 1 for key in wanted):
        raise place.fail("every number of a way is at least 1")
    return Way(row["key"], row["by"], row["months"], row["welds"] or 0, row["within"] or 0, row["because"],
               schema.citation(row, code, edition, sources, place))
