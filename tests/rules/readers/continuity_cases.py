"""Days on which a welder's qualification holds, has lapsed or is revoked, written out by hand.

The six months are published (source WI2: QW-322.1), their counting in calendar months is worked by us.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from qualification.rules.tabular.edition import Edition
from qualification.rules.welders.continuity import (
    Continuity,
    DatedUse,
    PassedTest,
    Revocation,
    Validity,
    continuity,
)

EDITIONS = ("asme_ix_2023", "aws_d1_2_2014", "aws_d1_1_2020")
"""Editions under which a process kept in use for six months keeps the qualification."""


@dataclass(frozen=True)
class Day:
    """One question: the test, what else is on record, the day asked for, and the answer."""

    title: str
    test: str
    on: str
    state: Validity
    until: str | None
    operation: str | None = "manual"
    uses: tuple[str, ...] = ()
    """`day`, or `day process`, or `day process operation`."""
    tests: tuple[str, ...] = ()
    revoked: tuple[str, ...] = ()
    """`day`, or `day restored-day`; the record of the test itself was questioned."""
    revoked_other: tuple[str, ...] = ()
    """The same for another record."""


DAYS: tuple[Day, ...] = (
    Day("holds on the day of the test", "2025-01-15", "2025-01-15", Validity.HOLDS, "2025-07-15"),
    Day("holds to the end of six months", "2025-01-15", "2025-07-15", Validity.HOLDS, "2025-07-15"),
    Day("lapses on the day after", "2025-01-15", "2025-07-16", Validity.LAPSED, "2025-07-15"),
    Day("ends on the last day of a shorter month", "2025-08-31", "2026-02-28", Validity.HOLDS, "2026-02-28"),
    Day(
        "lapses on the day after the shorter month", "2025-08-31", "2026-03-01", Validity.LAPSED, "2026-02-28"
    ),
    Day("ends on 29 February in a leap year", "2027-08-31", "2028-02-29", Validity.HOLDS, "2028-02-29"),
    Day(
        "a use moves the end", "2025-01-15", "2025-12-01", Validity.HOLDS, "2025-12-20", uses=("2025-06-20",)
    ),
    Day(
        "a use on the last day moves the end",
        "2025-01-15",
        "2026-01-15",
        Validity.HOLDS,
        "2026-01-15",
        uses=("2025-07-15",),
    ),
    Day(
        "a use one day late moves nothing",
        "2025-01-15",
        "2025-08-01",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2025-07-16",),
    ),
    Day(
        "a later use does not end a lapse",
        "2025-01-15",
        "2025-10-02",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2025-10-01",),
    ),
    Day(
        "a use after the day asked for counts for nothing",
        "2025-01-15",
        "2025-08-01",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2025-08-02",),
    ),
    Day(
        "a use before the test counts for nothing",
        "2025-01-15",
        "2025-07-16",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2024-12-24",),
    ),
    Day(
        "uses one after another carry on",
        "2025-01-15",
        "2026-09-01",
        Validity.HOLDS,
        "2026-11-01",
        uses=("2025-07-01", "2026-05-01", "2025-12-15"),
    ),
    Day(
        "use of another process counts for nothing",
        "2025-01-15",
        "2025-08-01",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2025-06-20 GTAW",),
    ),
    Day(
        "semiautomatic use keeps a manual qualification",
        "2025-01-15",
        "2025-12-01",
        Validity.HOLDS,
        "2025-12-20",
        uses=("2025-06-20 SMAW semiautomatic",),
    ),
    Day(
        "manual use keeps a semiautomatic qualification",
        "2025-01-15",
        "2025-12-01",
        Validity.HOLDS,
        "2025-12-20",
        operation="semiautomatic",
        uses=("2025-06-20 SMAW manual",),
    ),
    Day(
        "machine use keeps no manual qualification",
        "2025-01-15",
        "2025-08-01",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2025-06-20 SMAW machine",),
    ),
    Day(
        "automatic use keeps a machine qualification",
        "2025-01-15",
        "2025-12-01",
        Validity.HOLDS,
        "2025-12-20",
        operation="machine",
        uses=("2025-06-20 SMAW automatic",),
    ),
    Day(
        "manual use keeps no automatic qualification",
        "2025-01-15",
        "2025-08-01",
        Validity.LAPSED,
        "2025-07-15",
        operation="automatic",
        uses=("2025-06-20 SMAW manual",),
    ),
    Day(
        "use of an unstated kind counts for nothing",
        "2025-01-15",
        "2025-08-01",
        Validity.LAPSED,
        "2025-07-15",
        uses=("2025-06-20 SMAW ?",),
    ),
    Day(
        "a passed test renews after a lapse",
        "2025-01-15",
        "2025-11-01",
        Validity.HOLDS,
        "2026-04-01",
        tests=("2025-10-01",),
    ),
    Day(
        "a passed test renews although the process was used while lapsed",
        "2025-01-15",
        "2025-11-01",
        Validity.HOLDS,
        "2026-04-01",
        uses=("2025-08-01",),
        tests=("2025-10-01",),
    ),
    Day(
        "a passed test moves the end like a use",
        "2025-01-15",
        "2025-12-01",
        Validity.HOLDS,
        "2025-12-20",
        tests=("2025-06-20",),
    ),
    Day(
        "a test with another process renews nothing",
        "2025-01-15",
        "2025-11-01",
        Validity.LAPSED,
        "2025-07-15",
        tests=("2025-10-01 GTAW",),
    ),
    Day(
        "a test by machine renews nothing by hand",
        "2025-01-15",
        "2025-11-01",
        Validity.LAPSED,
        "2025-07-15",
        tests=("2025-10-01 SMAW machine",),
    ),
    Day(
        "a renewal lapses in its turn",
        "2025-01-15",
        "2026-04-02",
        Validity.LAPSED,
        "2026-04-01",
        tests=("2025-10-01",),
    ),
    Day(
        "a use before the renewal does not lengthen it",
        "2025-01-15",
        "2026-04-02",
        Validity.LAPSED,
        "2026-04-01",
        uses=("2025-09-30",),
        tests=("2025-10-01",),
    ),
    Day(
        "a revocation ends it at once",
        "2025-01-15",
        "2025-03-01",
        Validity.REVOKED,
        None,
        revoked=("2025-03-01",),
    ),
    Day(
        "a revocation to come does not count",
        "2025-01-15",
        "2025-02-28",
        Validity.HOLDS,
        "2025-07-15",
        revoked=("2025-03-01",),
    ),
    Day(
        "a revocation leaves other records alone",
        "2025-01-15",
        "2025-04-01",
        Validity.HOLDS,
        "2025-07-15",
        revoked_other=("2025-03-01",),
    ),
    Day(
        "use does not lift a revocation",
        "2025-01-15",
        "2025-06-01",
        Validity.REVOKED,
        None,
        uses=("2025-05-01",),
        revoked=("2025-03-01",),
    ),
    Day(
        "a renewal test does not lift a revocation",
        "2025-01-15",
        "2025-06-01",
        Validity.REVOKED,
        None,
        tests=("2025-05-01",),
        revoked=("2025-03-01",),
    ),
    Day(
        "the restoring test lifts it",
        "2025-01-15",
        "2025-06-01",
        Validity.HOLDS,
        "2025-11-10",
        revoked=("2025-03-01 2025-05-10",),
    ),
    Day(
        "before the restoring test it stays revoked",
        "2025-01-15",
        "2025-05-09",
        Validity.REVOKED,
        None,
        revoked=("2025-03-01 2025-05-10",),
    ),
    Day(
        "the restoring test also ends a lapse",
        "2025-01-15",
        "2026-02-01",
        Validity.HOLDS,
        "2026-07-10",
        revoked=("2025-03-01 2026-01-10",),
    ),
    Day(
        "the later of two revocations still stands",
        "2025-01-15",
        "2025-08-01",
        Validity.REVOKED,
        None,
        revoked=("2025-03-01 2025-05-10", "2025-07-01"),
    ),
    Day(
        "without the kind of operation it is unknown",
        "2025-01-15",
        "2025-01-16",
        Validity.UNKNOWN,
        None,
        operation=None,
    ),
    Day("before the test it is unknown", "2025-01-15", "2025-01-14", Validity.UNKNOWN, None),
)


def failing(edition: Edition) -> list[str]:
    """Titles of the days that do not come out as written."""
    return [
        day.title
        for day in DAYS
        if (ask(day, edition).state, _until(ask(day, edition))) != (day.state, day.until)
    ]


def ask(day: Day, edition: Edition) -> Continuity:
    test = PassedTest("WT-1", "SMAW", day.operation, date.fromisoformat(day.test))
    return continuity(
        test,
        date.fromisoformat(day.on),
        edition.more["continuity"],
        tests=[test, *(PassedTest(f"WT-{n}", *_evidence(text)) for n, text in enumerate(day.tests, start=2))],
        uses=[DatedUse(process, operation, when) for process, operation, when in map(_evidence, day.uses)],
        revocations=[
            *(_revocation("WT-1", text) for text in day.revoked),
            *(_revocation("WT-9", text) for text in day.revoked_other),
        ],
    )


def _evidence(text: str) -> tuple[str, str | None, date]:
    when, process, operation = (
        [*text.split(), "SMAW", "manual"][:3] if len(text.split()) != 2 else [*text.split(), "manual"]
    )
    return process, None if operation == "?" else operation, date.fromisoformat(when)


def _revocation(record: str, text: str) -> Revocation:
    day, *restored = (date.fromisoformat(part) for part in text.split())
    return Revocation(frozenset({record}), day, "Repeated lack of fusion.", *restored)


def _until(found: Continuity) -> str | None:
    return found.holds_until.isoformat() if found.holds_until else None
