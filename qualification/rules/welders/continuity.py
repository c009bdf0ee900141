"""Whether a welder's qualification for a process still holds on a given day, and when it lapses.

Only evidence counts: a passed test with the day its welding was completed, and days on which the process is
shown to have been used by the same kind of operation. Days without evidence never keep a qualification.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from ..core.findings import Citation, Provenance
from ..tabular import schema
from ..tabular.edition import Edition
from ..tabular.schema import CITED, Column, TablePlace, read_row, required
from ..variables.registry import registry

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True)
class ContinuityRules:
    """The edition's numbers and clauses for keeping a qualification."""

    months: int
    """Calendar months without use of the process after which the qualification lapses."""
    kinds: tuple[frozenset[str], ...]
    """Kinds of operation whose use counts for one another."""
    start: Citation
    lapse: Citation
    kind: Citation
    renewal: Citation
    revocation: Citation
    restoration: Citation


@dataclass(frozen=True)
class PassedTest:
    """A test all of whose results passed; a failed one qualifies and renews nothing."""

    record: str
    process: str
    operation: str | None
    welded_on: date | None
    """The day on which the welding of the coupon was completed."""


@dataclass(frozen=True)
class DatedUse:
    """Evidence that the process was used on that day."""

    process: str
    operation: str | None
    day: date


@dataclass(frozen=True)
class Revocation:
    """Qualifications taken back because there was a reason to question the welder's ability.

    Raises ValueError when the restoring test lies before the revocation.
    """

    records: frozenset[str]
    """Records of the tests that were questioned; all others stay as they are."""
    day: date
    reason: str
    restored_on: date | None = None
    """The day on which the coupon of the passed restoring test was completed."""

    def __post_init__(self) -> None:
        if self.restored_on is not None and self.restored_on < self.day:
            raise ValueError(f"restored on {self.restored_on}, before the revocation of {self.day}")


class Validity(StrEnum):
    HOLDS = "holds"
    LAPSED = "lapsed"
    REVOKED = "revoked"
    UNKNOWN = "unknown"

    @property
    def words(self) -> str:
        return self.value.capitalize()


class QualificationChange(StrEnum):
    QUALIFIED = "qualified"
    LAPSED = "lapsed"
    RENEWED = "renewed"
    REVOKED = "revoked"
    RESTORED = "restored"
    PROLONGED = "prolonged"


@dataclass(frozen=True)
class Event:
    day: date
    change: QualificationChange
    because: str
    citation: Citation


@dataclass(frozen=True)
class Due:
    """What has to be there by the end of a day for the qualification to go on: `confirmation`,
    `prolongation`."""

    day: date
    what: str


@dataclass(frozen=True)
class Continuity:
    """The answer for one test record on one day."""

    state: Validity
    holds_until: date | None
    """Last day on which it holds if nothing more is done; when lapsed, the last day on which it held."""
    because: str
    citation: Citation
    needs: tuple[str, ...] = ()
    """What the record would have to state, when unknown."""
    history: tuple[Event, ...] = ()
    """Changes up to the day asked for, in order."""
    used_while_lapsed: tuple[date, ...] = ()
    """Days on which the process was used although the qualification had lapsed."""
    due: tuple[Due, ...] = ()
    """While it holds and has to be confirmed or prolonged: by when, the first one first."""
    confirmed_on: date | None = None
    """The last confirmation that counts, up to the day asked for."""
    shown_on: date | None = None
    """Where the log of uses keeps it: the last day of use that it counts from."""
    shown_by: str = ""
    """Record of the coupon welded on that day; empty for a use."""


def without_rules(edition: Edition) -> Continuity:
    """The answer under an edition that is here without its rules for keeping a qualification: unknown."""
    nowhere = Citation(edition.code, edition.edition, "", Provenance.MEMORY)
    return Continuity(
        Validity.UNKNOWN,
        None,
        f"{edition.name} is here without its rules for keeping a qualification.",
        nowhere,
    )


def add_months(day: date, months: int) -> date:
    """The same day of the month `months` calendar months later, or that month's last day where it is shorter:
    31 August and six months give the last day of February. (The code does not say; worked by us.)"""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def continuity(
    test: PassedTest,
    on: date,
    rules: ContinuityRules,
    *,
    tests: Sequence[PassedTest] = (),
    uses: Sequence[DatedUse] = (),
    revocations: Sequence[Revocation] = (),
) -> Continuity:
    """Whether the qualification by `test` holds on the day `on` (QW-322).

    `tests` are all passed tests of the welder (one of the same process and kind of operation renews this
    one), `uses` the days of use on record, `revocations` those that ever befell the welder. What lies after
    `on`, before the test, in another process or by another kind of operation is left out.
    """
    kind = next((k for k in rules.kinds if test.operation in k), None)
    needs = tuple(key for key, value in (("welded_on", test.welded_on), ("operation", kind)) if value is None)
    if needs:
        missing = " and ".join(
            {"welded_on": "the day its welding was completed", "operation": "the kind of operation"}[n]
            for n in needs
        )
        return Continuity(
            Validity.UNKNOWN,
            None,
            f"{test.record} does not state {missing}.",
            rules.start if "welded_on" in needs else rules.kind,
            needs,
        )
    assert kind is not None
    assert test.welded_on is not None
    if on < test.welded_on:
        because = (
            f"The coupon of {test.record} was completed on {say_day(test.welded_on)}, after the day asked"
            " for."
        )
        return Continuity(Validity.UNKNOWN, None, because, rules.start)
    own = [r for r in revocations if test.record in r.records and r.day <= on]
    renewed_on = {
        t.welded_on: t.record
        for t in tests
        if t.process == test.process and t.operation in kind and t.welded_on is not None
    }
    used_on = {u.day for u in uses if u.process == test.process and u.operation in kind}
    restored_on = {r.restored_on for r in own if r.restored_on is not None}
    line = _Line(test, rules)
    for day in sorted(d for d in {*renewed_on, *used_on, *restored_on} if test.welded_on < d <= on):
        line.go_to(day, renewed_on.get(day, ""), passed=day in renewed_on or day in restored_on)
    line.close(on)
    return line.answer(on, own)


class _Line:
    """Walks along the days of evidence of one test; each use moves the end, a gap lets it lapse."""

    def __init__(self, test: PassedTest, rules: ContinuityRules) -> None:
        assert test.welded_on is not None
        self.test, self.rules = test, rules
        self.last, self.shown_by = test.welded_on, test.record
        self.lapsed = False
        self.events = [
            Event(
                self.last,
                QualificationChange.QUALIFIED,
                f"The coupon of {test.record} was completed.",
                rules.start,
            )
        ]
        self.outside: list[date] = []

    @property
    def end(self) -> date:
        return add_months(self.last, self.rules.months)

    def go_to(self, day: date, record: str, passed: bool) -> None:
        """Take in evidence of that day, with the record of a coupon welded then; `passed` when it is a passed
        test, which also ends a lapse."""
        self.close(day)
        if not self.lapsed:
            self.last, self.shown_by = day, record
        elif passed:
            self.last, self.shown_by, self.lapsed = day, record, False
            self.events.append(
                Event(
                    day,
                    QualificationChange.RENEWED,
                    f"A passed {self.test.process} test renewed what was held before.",
                    self.rules.renewal,
                )
            )
        else:
            self.outside.append(day)

    def close(self, day: date) -> None:
        """Let the qualification lapse if its end lies before `day`."""
        if not self.lapsed and day > self.end:
            self.lapsed = True
            self.events.append(
                Event(
                    self.end + timedelta(days=1),
                    QualificationChange.LAPSED,
                    f"{self.test.process} was not shown to be used after {say_day(self.last)}, to the end of"
                    f" {say_day(self.end)}.",
                    self.rules.lapse,
                )
            )

    def answer(self, on: date, revocations: Sequence[Revocation]) -> Continuity:
        events = self.events + _revocation_events(revocations, self.rules, on)
        # On one day, a revocation and its restoration follow each other; every other order is that of the
        # days.
        history = tuple(sorted(events, key=lambda e: (e.day, e.change is QualificationChange.RESTORED)))
        standing = [r for r in revocations if r.restored_on is None or r.restored_on > on]
        months = self.rules.months
        if standing:
            latest = max(standing, key=lambda r: r.day)
            return Continuity(
                Validity.REVOKED,
                None,
                f"Revoked on {say_day(latest.day)}: {latest.reason.rstrip('.')}. A test suited to the work"
                " restores it.",
                self.rules.revocation,
                (),
                history,
                tuple(self.outside),
            )
        if self.lapsed:
            return Continuity(
                Validity.LAPSED,
                self.end,
                f"{self.test.process} was last shown to be used on {say_day(self.last)}; {months} months"
                f" without use ended on {say_day(self.end)}. One passed coupon with the process renews it.",
                self.rules.lapse,
                (),
                history,
                tuple(self.outside),
                shown_on=self.last,
                shown_by=self.shown_by,
            )
        return Continuity(
            Validity.HOLDS,
            self.end,
            f"{self.test.process} was last shown to be used on {say_day(self.last)}; it holds to the end of"
            f" {say_day(self.end)}.",
            self.rules.lapse,
            (),
            history,
            tuple(self.outside),
            shown_on=self.last,
            shown_by=self.shown_by,
        )


def _revocation_events(revocations: Iterable[Revocation], rules: ContinuityRules, on: date) -> list[Event]:
    events: list[Event] = []
    for revocation in revocations:
        events.append(
            Event(
                revocation.day,
                QualificationChange.REVOKED,
                f"{revocation.reason.rstrip('.')}.",
                rules.revocation,
            )
        )
        if revocation.restored_on is not None and revocation.restored_on <= on:
            events.append(
                Event(
                    revocation.restored_on,
                    QualificationChange.RESTORED,
                    "A passed test restored what was revoked.",
                    rules.restoration,
                )
            )
    return events


def say_day(day: date) -> str:
    """A day in words: `3 March 2031`."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


SECTIONS: dict[str, dict[str, Column]] = {
    "start": dict(CITED),
    "lapse": {**CITED, "months": required(schema.whole)},
    "kinds": {**CITED, "together": required(schema.key_lists)},
    "renewal": dict(CITED),
    "revocation": dict(CITED),
    "restoration": dict(CITED),
}


def read(raw: Mapping[str, Any], place: TablePlace) -> ContinuityRules:
    """Read `continuity.toml`. Raises TableError naming the section that is missing, unknown or wrong."""
    if set(raw) != set(SECTIONS):
        raise place.fail(f"expected the sections {', '.join(SECTIONS)}, found {', '.join(raw) or 'none'}")
    rows: dict[str, dict[str, Any]] = {}
    cited: dict[str, Citation] = {}
    for name, columns in SECTIONS.items():
        here = place.at(name)
        rows[name] = read_row(raw[name], columns, here)
        cited[name] = schema.citation(rows[name], here)
    months, together = rows["lapse"]["months"], rows["kinds"]["together"]
    if months < 1:
        raise place.at("lapse").fail(f"{months} months is not a span of time")
    named = [operation for kind in together for operation in kind]
    if sorted(named) != sorted(choice.key for choice in registry()["operation"].choices):
        raise place.at("kinds").fail("has to name each kind of operation exactly once")
    return ContinuityRules(
        months,
        tuple(frozenset(kind) for kind in together),
        cited["start"],
        cited["lapse"],
        cited["kinds"],
        cited["renewal"],
        cited["revocation"],
        cited["restoration"],
    )
