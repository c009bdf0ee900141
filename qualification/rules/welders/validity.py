"""Whether a qualification holds that has to be confirmed every so many months and ends with a period of its
own, as by ISO 9606: from the day of the coupon, confirmed without a gap, prolonged or tested again before its
period ends.

Only evidence counts. A missed confirmation ends the qualification and no later one revives it; a period about
which nothing is on record leaves it unknown, never valid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from .continuity import (
    Continuity,
    Due,
    Event,
    PassedTest,
    QualificationChange,
    Revocation,
    Validity,
    add_months,
    say_day,
)
from .validity_tables import RevalidationMethod, ValidityRules


@dataclass(frozen=True)
class Prolongation:
    """A prolongation signed on a day, and the days on which its examined and accepted welds were made."""

    day: date
    welds: tuple[date, ...]


@dataclass(frozen=True)
class Conditions:
    """What was stated on a day of the conditions of a way by records: whether they are met, and to which day
    at most the evidence for it goes (such as the end of a certificate); `None` where it names no end."""

    day: date
    met: bool
    until: date | None = None


@dataclass(frozen=True)
class Weighed:
    """Why each confirmation and each prolongation does not count, in the order given; empty where it does."""

    confirmed: tuple[str, ...]
    prolonged: tuple[str, ...]


def validity(
    test: PassedTest,
    on: date,
    rules: ValidityRules,
    *,
    way: str | None = None,
    confirmed: Sequence[date] = (),
    prolonged: Sequence[Prolongation] = (),
    conditions: Sequence[Conditions] = (),
    revocations: Sequence[Revocation] = (),
) -> Continuity:
    """Whether the qualification by `test` holds on the day `on`.

    `confirmed` are the days of confirmation on record, `way` the key of the way the certificate names,
    `conditions` what was stated of those of a way by records. What lies after `on` or before the test is left
    out.
    """
    if test.welded_on is None:
        said = f"{test.record} does not state the day its coupon was welded."
        return Continuity(Validity.UNKNOWN, None, said, rules.start, ("welded_on",))
    if on < test.welded_on:
        said = (
            f"The coupon of {test.record} was welded on {say_day(test.welded_on)}, after the day asked for."
        )
        return Continuity(Validity.UNKNOWN, None, said, rules.start)
    own = [r for r in revocations if test.record in r.records and r.day <= on]
    events = [
        Event(
            test.welded_on,
            QualificationChange.QUALIFIED,
            f"The coupon of {test.record} was welded.",
            rules.start,
        )
    ]
    asked = _Asked(test.welded_on, on, rules, way)
    answer = _answer(asked, confirmed, prolonged, conditions, events)
    last, _ = _confirmations(asked, confirmed)
    confirmed_on = last if last != test.welded_on else None
    history = sorted(
        [
            *events,
            *(
                Event(r.day, QualificationChange.REVOKED, f"{r.reason.rstrip('.')}.", rules.revocation)
                for r in own
            ),
        ],
        key=lambda e: e.day,
    )
    if own:
        latest = max(own, key=lambda r: r.day)
        said = (
            f"Revoked on {say_day(latest.day)}: {latest.reason.rstrip('.')}. A new test, on a record of its"
            " own, qualifies again."
        )
        return Continuity(
            Validity.REVOKED, None, said, rules.revocation, (), tuple(history), confirmed_on=confirmed_on
        )
    return replace(answer, history=tuple(history), confirmed_on=confirmed_on)


def weighed(
    welded_on: date,
    rules: ValidityRules,
    way: str | None,
    confirmed: Sequence[date],
    prolonged: Sequence[Prolongation],
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
    asked: _Asked,
    confirmed: Sequence[date],
    prolonged: Sequence[Prolongation],
    conditions: Sequence[Conditions],
    events: list[Event],
) -> Continuity:
    rules, on = asked.rules, asked.on
    last, _ = _confirmations(asked, confirmed)
    confirmed_until = add_months(last, rules.months)
    period = _period(asked, prolonged, conditions, events)
    ends = [end for end in (confirmed_until, period.holds_until) if end is not None]
    if on > confirmed_until and (period.holds_until is None or confirmed_until <= period.holds_until):
        events.append(
            Event(
                confirmed_until + timedelta(days=1),
                QualificationChange.LAPSED,
                "It was not confirmed in time.",
                rules.confirmation,
            )
        )
        began = (
            f"It was last confirmed on {say_day(last)}"
            if last != asked.start
            else f"Its coupon was welded on {say_day(last)}"
        )
        said = (
            f"{began}; {rules.months} months without a further confirmation ended on"
            f" {say_day(confirmed_until)}. If it was confirmed by then, enter that confirmation with its own"
            " day; otherwise a new test qualifies again."
        )
        return Continuity(Validity.LAPSED, confirmed_until, said, rules.confirmation)
    if period.state is not Validity.HOLDS:
        return period
    said = (
        f"Last confirmed on {say_day(last)}."
        if last != asked.start
        else "Not confirmed yet since the coupon was welded."
    )
    said = f"{said} {period.because} It holds to the end of {say_day(min(ends))}."
    due = sorted((Due(confirmed_until, "confirmation"), *period.due), key=lambda each: each.day)
    citation = period.citation if period.holds_until == min(ends) else rules.confirmation
    return Continuity(Validity.HOLDS, min(ends), said, citation, due=tuple(due))


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
            reasons[index] = (
                f"It came after {say_day(end)}, when the {asked.rules.months} months before it had ended."
            )
        else:
            last = day
    return last, tuple(reasons)


def _prolongations(
    asked: _Asked, way: RevalidationMethod | None, prolonged: Sequence[Prolongation]
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
            reasons[index] = (
                f"It rests on {len(recent)} accepted {'weld' if len(recent) == 1 else 'welds'} of the"
                f" {way.within} months before it; {way.welds} are asked."
            )
        else:
            end = add_months(each.day, way.months)
            counting.append(each)
    return counting, tuple(reasons)


def _period(
    asked: _Asked, prolonged: Sequence[Prolongation], conditions: Sequence[Conditions], events: list[Event]
) -> Continuity:
    """How the period stands, confirmations apart."""
    way = asked.rules.way(asked.way)
    if way is None:
        return _under_any(asked)
    if way.by == "records":
        return _by_records(asked, way, conditions)
    assert way.months is not None
    counting, _ = _prolongations(asked, way, prolonged)
    end = add_months(counting[-1].day if counting else asked.start, way.months)
    events += [
        Event(each.day, QualificationChange.PROLONGED, "Prolonged on examined welds.", way.citation)
        for each in counting
    ]
    if asked.on <= end:
        due = Due(end, "prolongation" if way.by == "welds" else "new test")
        return Continuity(
            Validity.HOLDS, end, f"Its period ends on {say_day(end)}.", way.citation, due=(due,)
        )
    events.append(
        Event(end + timedelta(days=1), QualificationChange.LAPSED, "Its period ended.", way.citation)
    )
    return Continuity(
        Validity.LAPSED, end, f"Its period ended on {say_day(end)}. {way.because}", way.citation
    )


def _by_records(asked: _Asked, way: RevalidationMethod, conditions: Sequence[Conditions]) -> Continuity:
    """Conditions once not met end it for good; evidence that has run out leaves it unknown until there is
    newer."""
    stated = sorted((each for each in conditions if each.day <= asked.on), key=lambda each: each.day)
    broken = next((each for each in stated if not each.met), None)
    if broken is not None:
        return Continuity(
            Validity.LAPSED, None, f"{way.because} Since {say_day(broken.day)} this is not so.", way.citation
        )
    if not stated:
        said = f"{way.because} Whether that is so is not on record: state it, with the evidence."
        return Continuity(Validity.UNKNOWN, None, said, way.citation, ("conditions_met",))
    until = stated[-1].until
    if until is not None and asked.on > until:
        said = f"{way.because} The evidence for it went to {say_day(until)}: state whether it is still so."
        return Continuity(Validity.UNKNOWN, until, said, way.citation, ("conditions_met",))
    due = (Due(until, "new evidence of the conditions"),) if until is not None else ()
    return Continuity(Validity.HOLDS, until, way.because, way.citation, due=due)


def _under_any(asked: _Asked) -> Continuity:
    """Without a way on record only the shortest period of all holds."""
    shortest = min((w for w in asked.rules.ways if w.months is not None), key=lambda w: w.months or 0)
    end = add_months(asked.start, shortest.months or 0)
    if asked.on <= end:
        said = f"The way of going on is not on record; by every one it holds to {say_day(end)} at least."
        return Continuity(
            Validity.HOLDS, end, said, shortest.citation, due=(Due(end, "way of going on, to be stated"),)
        )
    said = (
        "Which way of going on its certificate names is not on record: state it. By the shortest it ended on"
        f" {say_day(end)}."
    )
    return Continuity(Validity.UNKNOWN, end, said, shortest.citation, ("way",))
