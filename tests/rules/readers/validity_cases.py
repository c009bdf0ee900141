"""Days on which a qualification that is confirmed and prolonged holds, has ended or is unknown, written out
by hand.

The spans are on public pages (VALID and REVAL of the editions); their counting in calendar months is worked
by us.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from qualification.rules.tabular.edition import Edition
from qualification.rules.welders.continuity import Continuity, PassedTest, Revocation, Validity, add_months
from qualification.rules.welders.validity import Conditions, Prolongation, validity
from qualification.rules.welders.validity_tables import ValidityRules

AL, STEEL = "iso_9606_2_2004", "iso_9606_1_2012"
EDITIONS = (AL, STEEL)
START = date(2023, 1, 15)


@dataclass(frozen=True)
class Day:
    """One question about a coupon welded on 15 January 2023, and the answer."""

    title: str
    edition: str
    on: str
    state: Validity
    until: str | None
    way: str | None = None
    confirmed: tuple[str, ...] | int = 0
    """Days, or how many times it was confirmed every six months from the start."""
    prolonged: tuple[tuple[str, ...], ...] = ()
    """Day of the prolongation, then the days of its welds."""
    met: tuple[tuple[str, bool, str], ...] = ()
    """What was stated of the conditions: on which day, whether they are met, and to which day the evidence
    goes."""
    revoked: str = ""


TWO_YEARS = "2025-01-15"
WELDS = (("2025-01-10", "2024-12-01", "2024-07-10"),)
MET = (("2023-01-20", True, ""),)
GOES_TO = (("2023-01-20", True, "2024-01-20"),)
DAYS: tuple[Day, ...] = tuple(
    Day(f"{title} ({edition})", edition, *rest)
    for edition in EDITIONS
    for title, *rest in (
        ("holds on the day of the coupon", "2023-01-15", Validity.HOLDS, "2023-07-15"),
        ("holds to the end of six months", "2023-07-15", Validity.HOLDS, "2023-07-15"),
        ("ends the day after without a confirmation", "2023-07-16", Validity.LAPSED, "2023-07-15"),
        ("a confirmation carries on", "2023-12-01", Validity.HOLDS, "2024-01-10", None, ("2023-07-10",)),
        (
            "a confirmation on the last day carries on",
            "2024-01-15",
            Validity.HOLDS,
            "2024-01-15",
            None,
            ("2023-07-15",),
        ),
        (
            "a late confirmation revives nothing",
            "2023-08-01",
            Validity.LAPSED,
            "2023-07-15",
            None,
            ("2023-07-16",),
        ),
        (
            "a confirmation after the day asked for counts for nothing",
            "2023-08-01",
            Validity.LAPSED,
            "2023-07-15",
            None,
            ("2023-08-02",),
        ),
        (
            "a confirmation before the coupon counts for nothing",
            "2023-07-16",
            Validity.LAPSED,
            "2023-07-15",
            None,
            ("2022-12-01",),
        ),
        ("before the coupon it is unknown", "2023-01-14", Validity.UNKNOWN, None),
        ("holds to the end of two years", TWO_YEARS, Validity.HOLDS, TWO_YEARS, None, 4),
        ("a revocation ends it", "2023-03-01", Validity.REVOKED, None, None, 0, (), (), "2023-03-01"),
        (
            "a revocation to come does not count",
            "2023-02-28",
            Validity.HOLDS,
            "2023-07-15",
            None,
            0,
            (),
            (),
            "2023-03-01",
        ),
    )
) + (
    Day("ends after two years although confirmed", AL, "2025-01-16", Validity.LAPSED, TWO_YEARS, confirmed=4),
    Day(
        "is prolonged on two welds",
        AL,
        "2026-06-01",
        Validity.HOLDS,
        "2026-07-15",
        confirmed=6,
        prolonged=WELDS,
    ),
    Day(
        "the prolongation holds two years",
        AL,
        "2027-01-10",
        Validity.HOLDS,
        "2027-01-10",
        confirmed=8,
        prolonged=WELDS,
    ),
    Day(
        "the prolongation ends in its turn",
        AL,
        "2027-01-11",
        Validity.LAPSED,
        "2027-01-10",
        confirmed=8,
        prolonged=WELDS,
    ),
    Day(
        "one weld prolongs nothing",
        AL,
        "2025-01-16",
        Validity.LAPSED,
        TWO_YEARS,
        confirmed=4,
        prolonged=(("2025-01-10", "2024-12-01"),),
    ),
    Day(
        "an old weld does not count",
        AL,
        "2025-01-16",
        Validity.LAPSED,
        TWO_YEARS,
        confirmed=4,
        prolonged=(("2025-01-10", "2024-12-01", "2024-07-09"),),
    ),
    Day(
        "a prolongation after the end revives nothing",
        AL,
        "2025-01-20",
        Validity.LAPSED,
        TWO_YEARS,
        confirmed=4,
        prolonged=(("2025-01-16", "2024-12-01", "2024-12-02"),),
    ),
    Day(
        "without a way on record it is unknown after two years",
        STEEL,
        "2025-01-16",
        Validity.UNKNOWN,
        TWO_YEARS,
        confirmed=4,
    ),
    Day("by retest it holds three years", STEEL, "2026-01-15", Validity.HOLDS, "2026-01-15", "9.3 a", 6),
    Day(
        "by retest it ends after three years", STEEL, "2026-01-16", Validity.LAPSED, "2026-01-15", "9.3 a", 6
    ),
    Day(
        "by retest no welds prolong it",
        STEEL,
        "2026-01-16",
        Validity.LAPSED,
        "2026-01-15",
        "9.3 a",
        6,
        (("2026-01-10", "2026-01-02", "2026-01-03"),),
    ),
    Day("by welds it ends after two years", STEEL, "2025-01-16", Validity.LAPSED, TWO_YEARS, "9.3 b", 4),
    Day(
        "by welds it is prolonged for two years",
        STEEL,
        "2027-01-10",
        Validity.HOLDS,
        "2027-01-10",
        "9.3 b",
        8,
        WELDS,
    ),
    Day(
        "the welds' two years end in their turn",
        STEEL,
        "2027-01-11",
        Validity.LAPSED,
        "2027-01-10",
        "9.3 b",
        8,
        WELDS,
    ),
    Day(
        "one weld prolongs nothing of steel",
        STEEL,
        "2025-01-16",
        Validity.LAPSED,
        TWO_YEARS,
        "9.3 b",
        4,
        (("2025-01-10", "2024-12-01"),),
    ),
    Day(
        "an old weld of steel does not count",
        STEEL,
        "2025-01-16",
        Validity.LAPSED,
        TWO_YEARS,
        "9.3 b",
        4,
        (("2025-01-10", "2024-12-01", "2024-07-09"),),
    ),
    Day(
        "by records it has no end while conditions are met",
        STEEL,
        "2033-01-20",
        Validity.HOLDS,
        "2033-07-15",
        "9.3 c",
        20,
        (),
        MET,
    ),
    Day(
        "by records it still has to be confirmed",
        STEEL,
        "2033-07-16",
        Validity.LAPSED,
        "2033-07-15",
        "9.3 c",
        20,
        (),
        MET,
    ),
    Day(
        "by records it ends when conditions are not met",
        STEEL,
        "2024-01-20",
        Validity.LAPSED,
        None,
        "9.3 c",
        2,
        (),
        (("2023-07-01", False, ""),),
    ),
    Day(
        "by records it holds to the end of the evidence",
        STEEL,
        "2024-01-20",
        Validity.HOLDS,
        "2024-01-20",
        "9.3 c",
        2,
        (),
        GOES_TO,
    ),
    Day(
        "by records it is unknown once the evidence ran out",
        STEEL,
        "2024-01-21",
        Validity.UNKNOWN,
        "2024-01-20",
        "9.3 c",
        2,
        (),
        GOES_TO,
    ),
    Day(
        "by records newer evidence takes over",
        STEEL,
        "2024-01-21",
        Validity.HOLDS,
        "2024-07-15",
        "9.3 c",
        2,
        (),
        (*GOES_TO, ("2024-01-18", True, "")),
    ),
    Day(
        "by records a later word revives nothing",
        STEEL,
        "2024-01-20",
        Validity.LAPSED,
        None,
        "9.3 c",
        2,
        (),
        (("2023-07-01", False, ""), ("2023-08-01", True, "")),
    ),
    Day(
        "by records a word to come does not count",
        STEEL,
        "2023-06-30",
        Validity.HOLDS,
        "2023-07-15",
        "9.3 c",
        0,
        (),
        (*MET, ("2023-07-01", False, "")),
    ),
    Day(
        "by records it is unknown while nothing says they are met",
        STEEL,
        "2024-01-14",
        Validity.UNKNOWN,
        None,
        "9.3 c",
        2,
    ),
    Day(
        "a way the edition does not have leaves it unknown",
        STEEL,
        "2025-01-16",
        Validity.UNKNOWN,
        TWO_YEARS,
        "9.3 z",
        4,
    ),
)


SIGN = {AL: ("employer", "coordinator"), STEEL: ("employer", "coordinator", "examiner")}
"""Who may confirm (common practice: the words over the signature lines of a certificate)."""
EXAMINED = ("radiographic", "ultrasonic", "destructive")
"""By what the welds of a prolongation may be examined: EXTEND, REVAL."""


def failing(edition: Edition) -> list[str]:
    """Titles of the days that do not come out as written, and what the tables have wrong of signatures."""
    wrong = [
        d.title for d in DAYS if d.edition == edition.id and _seen(ask(d, edition)) != (d.state, d.until)
    ]
    return wrong + wrongly_signed(edition)


def wrongly_signed(edition: Edition) -> list[str]:
    """What the tables have wrong of who signs and of how welds are examined."""
    rules = edition.more["continuity"]
    assert isinstance(rules, ValidityRules)
    found = {
        "who confirms": rules.may_sign("confirmation") == SIGN[edition.id],
        "who prolongs": rules.may_sign("prolongation") == ("examiner",),
        "by what": [way.methods for way in rules.ways if way.by == "welds"] == [EXAMINED],
    }
    return [title for title, right in found.items() if not right]


def ask(day: Day, edition: Edition) -> Continuity:
    confirmed = (
        [add_months(START, 6 * n) for n in range(1, day.confirmed + 1)]
        if isinstance(day.confirmed, int)
        else _days(day.confirmed)
    )
    prolonged = [Prolongation(signed, tuple(welds)) for signed, *welds in map(_days, day.prolonged)]
    revoked = (
        [Revocation(frozenset({"WT-1"}), date.fromisoformat(day.revoked), "Repeated lack of fusion.")]
        if day.revoked
        else []
    )
    return validity(
        PassedTest("WT-1", "GMAW", "semiautomatic", START),
        date.fromisoformat(day.on),
        edition.more["continuity"],
        way=day.way,
        confirmed=confirmed,
        prolonged=prolonged,
        revocations=revoked,
        conditions=[
            Conditions(date.fromisoformat(said), met, date.fromisoformat(until) if until else None)
            for said, met, until in day.met
        ],
    )


def _days(written: tuple[str, ...]) -> list[date]:
    return [date.fromisoformat(text) for text in written]


def _seen(found: Continuity) -> tuple[Validity, str | None]:
    return found.state, found.holds_until.isoformat() if found.holds_until else None
