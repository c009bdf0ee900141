"""Days on which a qualification holds that is kept by use within three months, written out by hand.

The three months are recalled with doubt (paragraph 5-2 of S9074-AQ-GIB-010/248), their counting is worked by
us.
"""

from __future__ import annotations

from qualification.rules.tabular.edition import Edition
from qualification.rules.welders.continuity import Validity
from tests.rules.readers.continuity_cases import Day, ask

EDITIONS = ("us_navy_248_rev_1",)

DAYS: tuple[Day, ...] = (
    Day("holds to the end of three months", "2025-01-15", "2025-04-15", Validity.HOLDS, "2025-04-15"),
    Day("lapses on the day after", "2025-01-15", "2025-04-16", Validity.LAPSED, "2025-04-15"),
    Day("ends on the last day of a shorter month", "2025-11-30", "2026-02-28", Validity.HOLDS, "2026-02-28"),
    Day(
        "a use moves the end", "2025-01-15", "2025-07-10", Validity.HOLDS, "2025-07-10", uses=("2025-04-10",)
    ),
    Day(
        "a use one day late moves nothing",
        "2025-01-15",
        "2025-05-01",
        Validity.LAPSED,
        "2025-04-15",
        uses=("2025-04-16",),
    ),
    Day(
        "semiautomatic use keeps a manual qualification",
        "2025-01-15",
        "2025-07-10",
        Validity.HOLDS,
        "2025-07-10",
        uses=("2025-04-10 SMAW semiautomatic",),
    ),
    Day(
        "use by machine keeps no manual qualification",
        "2025-01-15",
        "2025-05-01",
        Validity.LAPSED,
        "2025-04-15",
        uses=("2025-04-10 SMAW machine",),
    ),
    Day(
        "a passed test renews after a lapse",
        "2025-01-15",
        "2025-08-01",
        Validity.HOLDS,
        "2025-09-01",
        tests=("2025-06-01",),
    ),
)


def failing(edition: Edition) -> list[str]:
    """Titles of the days that do not come out as written."""
    found = [(day, ask(day, edition)) for day in DAYS]
    return [
        day.title
        for day, answer in found
        if (answer.state, answer.holds_until and answer.holds_until.isoformat()) != (day.state, day.until)
    ]
