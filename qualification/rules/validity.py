"""Whether a qualification holds that has to be confirmed every so many months and ends with a period of its own,
as by ISO 9606: from the day of the coupon, confirmed without a gap, prolonged or tested again before its period ends.

Only evidence counts. A missed confirmation ends the qualification and no later one revives it; a period about which
nothing is on record leaves it unknown, never valid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from . import continuity, schema
from .continuity import (
    Change,
    Continuity,
    ContinuityRules,
    Due,
    Event,
    PassedTest,
    Revocation,
    State,
    add_months,
    say_day,
)
from .findings import Citation, Source
from .schema import CITED, Column, Place, read_row, required

BY = ("retest", "welds", "records")
METHODS = {"radiographic": "Radiography", "ultrasonic": "Ultrasonics", "destructive": "Destructive test"}
"""By what the welds of a prolongation may be examined, in words."""
SIGNATORIES = {"employer": "Employer", "coordinator": "Welding coordinator", "examiner": "Examiner or examining body"}
"""Who may sign, in words."""


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
    methods: tuple[str, ...]
    """By what these welds may be examined; keys of `METHODS`."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class Signatory:
    """Who may sign one kind of act."""

    act: str
    by: tuple[str, ...]
    """Keys of `SIGNATORIES`."""
    citation: Citation


@dataclass(frozen=True)
class ValidityRules:
    months: int
    """Calendar months within which the qualification is confirmed again."""
    ways: tuple[Way, ...]
    signatories: tuple[Signatory, ...]
    start: Citation
    confirmation: Citation
    revocation: Citation

    def may_sign(self, act: str) -> tuple[str, ...]:
        """Keys of those who may sign a `confirmation` or a `prolongation`."""
        return next(each.by for each in self.signatories if each.act == act)

    def way(self, key: str | None) -> Way | None:
        """The way of that key; the only one where there is but one."""
        return self.ways[0] if key is None and len(self.ways) == 1 else next((w for w in self.ways if w.key == key), None)


@dataclass(frozen=True)
class Prolongation:
    """A prolongation signed on a day, and the days on which its examined and accepted welds were made."""

    day: date
    welds: tuple[date, ...]


@dataclass(frozen=True)
class Conditions:
    """What was stated on a day of the conditions of a way by records: whether they are met, and to which day at most
    the evidence for it goes (such as the end of a certificate); `None` where it names no end."""

    day: date
    met: bool
    until: date | None = None


@dataclass(frozen=True)
class Weighed:
    """Why each confirmation and each prolongation does not count, in the order given; empty where it does."""

    confirmed: tuple[str, ...]
    prolonged: tuple[str, ...]


def validity(
    test: PassedTest, on: date, rules: ValidityRules, *, way: str | None = None, confirmed: Sequence[date] = (),
    prolonged: Sequence[Prolongation] = (), conditions: Sequence[Conditions] = (), revocations: Sequence[Revocation] = (),
) -> Continuity:
    """Whether the qualification by `test` holds on the day `on`.

    `confirmed` are the days of confirmation on record, `way` the key of the way the certificate names, `conditions` what
    was stated of those of a way by records. What lies after `on` or before the test is left out.
    """
    if test.welded_on is None:
        said = f"{test.record} does not state the day its coupon was welded."
        return Continuity(State.UNKNOWN, None, said, rules.start, ("welded_on",))
    if on < test.welded_on:
        said = f"The coupon of {test.record} was welded on {say_day(test.welded_on)}, after the day asked for."
        return Continuity(State.UNKNOWN, None, said, rules.start)
    own = [r for r in revocations if test.record in r.records and r.day <= on]
    events = [Event(test.welded_on, Change.QUALIFIED, f"The coupon of {test.record} was welded.", rules.start)]
    asked = _Asked(test.welded_on, on, rules, way)
    answer = _answer(asked, confirmed, prolonged, conditions, events)
    last, _ = _confirmations(asked, confirmed)
    confirmed_on = last if last != test.welded_on else None
    history = sorted([*events, *(Event(r.day, Change.REVOKED, f"{r.reason.rstrip('.')}.", rules.revocation) for r in own)], key=lambda e: e.day)
    if own:
        last = max(own, key=lambda r: r.day)
        said = f"Revoked on {say_day(last.day)}: {last.reason.rstrip('.')}. A new test, on a record of its own, qualifies again."
        return Continuity(State.REVOKED, None, said, rules.revocation, (), tuple(history), confirmed_on=confirmed_on)
    return replace(answer, history=tuple(history), confirmed_on=confirmed_on)


def weighed(
    welded_on: date, rules: ValidityRules, way: str | None, confirmed: Sequence[date], prolonged: Sequence[Prolongation],
) -> Weighed:
    """Which of the confirmations and prolongations on record count, and why the others do not."""
    asked = _Asked(welded_on, date.max, rules, way)
    return Weighed(_confirmations(asked, confirmed)[1], _prolongations(asked, rules.way(way), prolonged)[1])


@dataclass(frozen=True)
class _Asked:
    """What is asked: a coupon's day, the day asked for, the rules and the key of the way."""

    start: date
    on: date
    rules: ValidityRules
    way: str | None


def _answer(
    asked: _Asked, confirmed: Sequence[date], prolonged: Sequence[Prolongation], conditions: Sequence[Conditions], events: list[Event],
) -> Continuity:
    rules, on = asked.rules, asked.on
    last, _ = _confirmations(asked, confirmed)
    confirmed_until = add_months(last, rules.months)
    period = _period(asked, prolonged, conditions, events)
    ends = [end for end in (confirmed_until, period.holds_until) if end is not None]
    if on > confirmed_until and (period.holds_until is None or confirmed_until <= period.holds_until):
        events.append(Event(confirmed_until + timedelta(days=1), Change.LAPSED, "It was not confirmed in time.", rules.confirmation))
        began = f"It was last confirmed on {say_day(last)}" if last != asked.start else f"Its coupon was welded on {say_day(last)}"
        said = (f"{began}; {rules.months} months without a further confirmation ended on {say_day(confirmed_until)}. If it was confirmed "
                "by then, enter that confirmation with its own day; otherwise a new test qualifies again.")
        return Continuity(State.LAPSED, confirmed_until, said, rules.confirmation)
    if period.state is not State.HOLDS:
        return period
    said = f"Last confirmed on {say_day(last)}." if last != asked.start else "Not confirmed yet since the coupon was welded."
    said = f"{said} {period.because} It holds to the end of {say_day(min(ends))}."
    due = sorted((Due(confirmed_until, "confirmation"), *period.due), key=lambda each: each.day)
    citation = period.citation if period.holds_until == min(ends) else rules.confirmation
    return Continuity(State.HOLDS, min(ends), said, citation, due=tuple(due))


def _confirmations(asked: _Asked, confirmed: Sequence[date]) -> tuple[date, tuple[str, ...]]:
    """The day of the last confirmation that counts, and why each of those given does not."""
    last, reasons = asked.start, [""] * len(confirmed)
    for index, day in sorted(enumerate(confirmed), key=lambda pair: pair[1]):
        end = add_months(last, asked.rules.months)
        if day > asked.on:
            continue
        if day <= asked.start:
            reasons[index] = f"It does not lie after {say_day(asked.start)}, the day of the coupon."
        elif day > end:
            reasons[index] = f"It came after {say_day(end)}, when the {asked.rules.months} months before it had ended."
        else:
            last = day
    return last, tuple(reasons)


def _prolongations(
    asked: _Asked, way: Way | None, prolonged: Sequence[Prolongation]
) -> tuple[list[Prolongation], tuple[str, ...]]:
    """The prolongations that count, in order, and why each of those given does not."""
    if way is None or way.by != "welds" or way.months is None:
        named = f"The way on record, {way.key}, knows none." if way else "No way of going on is on record."
        return [], tuple(named for _ in prolonged)
    counting: list[Prolongation] = []
    reasons = [""] * len(prolonged)
    end = add_months(asked.start, way.months)
    for index, each in sorted(enumerate(prolonged), key=lambda pair: pair[1].day):
        recent = [day for day in each.welds if day <= each.day <= add_months(day, way.within)]
        if each.day > asked.on:
            continue
        if each.day <= asked.start:
            reasons[index] = f"It does not lie after {say_day(asked.start)}, the day of the coupon."
        elif each.day > end:
            reasons[index] = f"It came after {say_day(end)}, when the period had ended."
        elif len(recent) < way.welds:
            reasons[index] = (f"It rests on {len(recent)} accepted {'weld' if len(recent) == 1 else 'welds'} of the {way.within} months before it; "
                              f"{way.welds} are asked.")
        else:
            end = add_months(each.day, way.months)
            counting.append(each)
    return counting, tuple(reasons)


def _period(asked: _Asked, prolonged: Sequence[Prolongation], conditions: Sequence[Conditions], events: list[Event]) -> Continuity:
    """How the period stands, confirmations apart."""
    way = asked.rules.way(asked.way)
    if way is None:
        return _under_any(asked)
    if way.by == "records":
        return _by_records(asked, way, conditions)
    assert way.months is not None
    counting, _ = _prolongations(asked, way, prolonged)
    end = add_months(counting[-1].day if counting else asked.start, way.months)
    events += [Event(each.day, Change.PROLONGED, "Prolonged on examined welds.", way.citation) for each in counting]
    if asked.on <= end:
        due = Due(end, "prolongation" if way.by == "welds" else "new test")
        return Continuity(State.HOLDS, end, f"Its period ends on {say_day(end)}.", way.citation, due=(due,))
    events.append(Event(end + timedelta(days=1), Change.LAPSED, "Its period ended.", way.citation))
    return Continuity(State.LAPSED, end, f"Its period ended on {say_day(end)}. {way.because}", way.citation)


def _by_records(asked: _Asked, way: Way, conditions: Sequence[Conditions]) -> Continuity:
    """Conditions once not met end it for good; evidence that has run out leaves it unknown until there is newer."""
    stated = sorted((each for each in conditions if each.day <= asked.on), key=lambda each: each.day)
    broken = next((each for each in stated if not each.met), None)
    if broken is not None:
        return Continuity(State.LAPSED, None, f"{way.because} Since {say_day(broken.day)} this is not so.", way.citation)
    if not stated:
        said = f"{way.because} Whether that is so is not on record: state it, with the evidence."
        return Continuity(State.UNKNOWN, None, said, way.citation, ("conditions_met",))
    until = stated[-1].until
    if until is not None and asked.on > until:
        said = f"{way.because} The evidence for it went to {say_day(until)}: state whether it is still so."
        return Continuity(State.UNKNOWN, until, said, way.citation, ("conditions_met",))
    due = (Due(until, "new evidence of the conditions"),) if until is not None else ()
    return Continuity(State.HOLDS, until, way.because, way.citation, due=due)


def _under_any(asked: _Asked) -> Continuity:
    """Without a way on record only the shortest period of all holds."""
    shortest = min((w for w in asked.rules.ways if w.months is not None), key=lambda w: w.months or 0)
    end = add_months(asked.start, shortest.months or 0)
    if asked.on <= end:
        said = f"The way of going on is not on record; by every one it holds to {say_day(end)} at least."
        return Continuity(State.HOLDS, end, said, shortest.citation, due=(Due(end, "way of going on, to be stated"),))
    said = f"Which way of going on its certificate names is not on record: state it. By the shortest it ended on {say_day(end)}."
    return Continuity(State.UNKNOWN, end, said, shortest.citation, ("way",))


WAY: dict[str, Column] = {
    **CITED, "key": required(schema.text), "by": required(schema.one_of(*BY)), "months": schema.whole, "welds": schema.whole,
    "within": schema.whole, "methods": schema.keys, "because": required(schema.text),
}
SIGNATORY: dict[str, Column] = {
    **CITED, "act": required(schema.one_of("confirmation", "prolongation")), "by": required(schema.keys),
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
    if set(raw) != {*SECTIONS, "way", "signatory"}:
        raise place.fail(f"expected the sections {', '.join(SECTIONS)}, way and signatory, found {', '.join(raw)}")
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
    signatories = tuple(
        _signatory(item, code, edition, sources, Place(place.edition, place.file, f"signatory {number}"))
        for number, item in enumerate(schema.row_list(raw["signatory"], place), start=1)
    )
    acts = {"confirmation"} | ({"prolongation"} if any(way.by == "welds" for way in ways) else set())
    if sorted(each.act for each in signatories) != sorted(acts):
        raise place.fail(f"needs one signatory row for each of {', '.join(sorted(acts))}")
    return ValidityRules(rows["confirmation"]["months"], ways, signatories, cited["start"], cited["confirmation"], cited["revocation"])


def _signatory(item: Any, code: str, edition: str, sources: Mapping[str, Source], place: Place) -> Signatory:
    row = read_row(item, SIGNATORY, place)
    _known(row["by"], SIGNATORIES, place)
    return Signatory(row["act"], row["by"], schema.citation(row, code, edition, sources, place))


def _known(named: Sequence[str], known: Mapping[str, str], place: Place) -> None:
    strange = [key for key in named if key not in known]
    if strange:
        raise place.fail(f"{strange[0]!r} is not one of {', '.join(known)}")


def _way(item: Any, code: str, edition: str, sources: Mapping[str, Source], place: Place) -> Way:
    row = read_row(item, WAY, place)
    wanted = {"retest": {"months"}, "welds": {"months", "welds", "within", "methods"}, "records": set()}[row["by"]]
    given = {key for key in ("months", "welds", "within", "methods") if row[key] is not None}
    if given != wanted:
        raise place.fail(f"a way by {row['by']} states {', '.join(sorted(wanted)) or 'no number'}")
    if any(row[key] < 1 for key in wanted - {"methods"}):
        raise place.fail("every number of a way is at least 1")
    methods = row["methods"] or ()
    _known(methods, METHODS, place)
    return Way(row["key"], row["by"], row["months"], row["welds"] or 0, row["within"] or 0, methods, row["because"],
               schema.citation(row, code, edition, sources, place))
