"""Whether a welder's qualification still holds: the days written out by hand, the calendar, the history."""

from __future__ import annotations

import copy
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.findings import Source
from qualification.rules.editions.loader import shipped_files
from qualification.rules.tabular.schema import Book, TableError, TablePlace
from qualification.rules.welders import continuity as module
from qualification.rules.welders.continuity import (
    DatedUse,
    PassedTest,
    QualificationChange,
    Revocation,
    Validity,
    add_months,
    continuity,
)
from tests.rules.readers.continuity_cases import DAYS, Day, ask

FILES = shipped_files("asme_ix_2023")
SOURCES = {row["key"]: Source(**row) for row in FILES["sources.toml"]["source"]}
BOOK = Book("ASME BPVC Section IX", "2023", SOURCES)
PLACE = TablePlace("asme_ix_2023", "continuity.toml", book=BOOK)


def _read(raw: dict[str, object]) -> module.ContinuityRules:
    return module.read(raw, PLACE)


RULES = _read(FILES["continuity.toml"])


class OnlyContinuity:
    """As much of an edition as the days need, so that these tests stand on one table."""

    more = {"continuity": RULES}


DATES = st.dates(date(2000, 1, 1), date(2100, 12, 31))
TEST = PassedTest("WT-1", "SMAW", "manual", date(2025, 1, 15))


@pytest.mark.parametrize("day", DAYS, ids=[d.title for d in DAYS])
def test_the_day_comes_out_as_written(day: Day) -> None:
    found = ask(day, OnlyContinuity())  # type: ignore[arg-type]
    assert (found.state, found.holds_until and found.holds_until.isoformat()) == (day.state, day.until)
    assert found.because.endswith(".")
    assert found.citation.clause.startswith("QW-3")


@given(DATES, st.integers(0, 60))
def test_months_are_counted_on_the_calendar(day: date, months: int) -> None:
    """Another way of counting: month by month, then the day or the last day of that month."""
    first = day.replace(day=1)
    for _ in range(months):
        first = (first + timedelta(days=31)).replace(day=1)
    last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    assert add_months(day, months) == min(first + timedelta(days=day.day - 1), last)


@given(DATES, DATES, st.integers(1, 24))
def test_a_later_day_never_ends_sooner(one: date, other: date, months: int) -> None:
    early, late = sorted((one, other))
    assert add_months(early, months) <= add_months(late, months)


@given(DATES)
def test_six_months_are_181_to_184_days(day: date) -> None:
    assert 181 <= (add_months(day, 6) - day).days <= 184


USES = st.lists(st.dates(date(2024, 1, 1), date(2028, 12, 31)), max_size=12)


@given(USES, st.dates(date(2025, 1, 15), date(2028, 12, 31)))
def test_it_holds_exactly_while_no_gap_is_too_long(days: list[date], on: date) -> None:
    """Without renewals: every step from the test over the uses to the day asked for stays within the
    months."""
    found = continuity(TEST, on, RULES, uses=[DatedUse("SMAW", "manual", day) for day in days])
    assert TEST.welded_on is not None
    steps = [TEST.welded_on, *sorted(d for d in days if TEST.welded_on < d <= on), on]
    unbroken = all(
        after <= add_months(before, RULES.months) for before, after in zip(steps, steps[1:], strict=False)
    )
    assert (found.state is Validity.HOLDS) is unbroken
    assert found.state in (Validity.HOLDS, Validity.LAPSED)


@given(USES, USES, st.dates(date(2025, 1, 15), date(2028, 12, 31)))
def test_more_evidence_never_makes_it_lapse(days: list[date], more: list[date], on: date) -> None:
    few = continuity(TEST, on, RULES, uses=[DatedUse("SMAW", "manual", day) for day in days])
    many = continuity(TEST, on, RULES, uses=[DatedUse("SMAW", "manual", day) for day in days + more])
    assert few.state is not Validity.HOLDS or many.state is Validity.HOLDS


@given(USES, USES, st.dates(date(2025, 1, 15), date(2028, 12, 31)))
def test_the_history_ends_in_the_state_and_runs_in_order(
    days: list[date], tests: list[date], on: date
) -> None:
    found = continuity(
        TEST,
        on,
        RULES,
        uses=[DatedUse("SMAW", "manual", day) for day in days],
        tests=[PassedTest(f"WT-{n}", "SMAW", "manual", day) for n, day in enumerate(tests, start=2)],
    )
    changes = [event.change for event in found.history]
    assert changes[0] is QualificationChange.QUALIFIED
    assert set(changes[1::2]) <= {QualificationChange.LAPSED}
    assert set(changes[2::2]) <= {QualificationChange.RENEWED}
    assert (changes[-1] is QualificationChange.LAPSED) is (found.state is Validity.LAPSED)
    assert [e.day for e in found.history] == sorted(e.day for e in found.history)
    assert all(event.day <= on for event in found.history)


def test_history_and_use_while_lapsed_are_told() -> None:
    found = continuity(
        TEST,
        date(2026, 1, 1),
        RULES,
        uses=[DatedUse("SMAW", "manual", date(2025, 9, 3))],
        tests=[PassedTest("WT-7", "SMAW", "semiautomatic", date(2025, 10, 1))],
        revocations=[
            Revocation(frozenset({"WT-1"}), date(2025, 11, 5), "Porosity in three joints", date(2025, 12, 1))
        ],
    )
    assert [(e.day.isoformat(), e.change.value, e.citation.clause) for e in found.history] == [
        ("2025-01-15", "qualified", "QW-300"),
        ("2025-07-16", "lapsed", "QW-322.1(a)"),
        ("2025-10-01", "renewed", "QW-322.2(a)"),
        ("2025-11-05", "revoked", "QW-322.1(b)"),
        ("2025-12-01", "restored", "QW-322.2(b)"),
    ]
    assert found.used_while_lapsed == (date(2025, 9, 3),)
    assert found.state is Validity.HOLDS
    assert (
        found.because
        == "SMAW was last shown to be used on 1 December 2025; it holds to the end of 1 June 2026."
    )


def test_the_sentences_name_the_days() -> None:
    lapsed = continuity(TEST, date(2025, 9, 1), RULES)
    assert lapsed.because == (
        "SMAW was last shown to be used on 15 January 2025; 6 months without use ended on 15 July 2025. "
        "One passed coupon with the process renews it."
    )
    revoked = continuity(
        TEST,
        date(2025, 4, 1),
        RULES,
        revocations=[Revocation(frozenset({"WT-1"}), date(2025, 3, 1), "Lack of fusion.")],
    )
    assert (
        revoked.because == "Revoked on 1 March 2025: Lack of fusion. A test suited to the work restores it."
    )


def test_a_test_without_its_day_is_unknown_and_says_what_is_missing() -> None:
    found = continuity(PassedTest("WT-1", "SMAW", None, None), date(2025, 4, 1), RULES)
    assert found.state is Validity.UNKNOWN
    assert found.needs == ("welded_on", "operation")
    assert found.because == "WT-1 does not state the day its welding was completed and the kind of operation."


def test_a_restoring_test_before_the_revocation_is_refused() -> None:
    with pytest.raises(ValueError, match="before the revocation"):
        Revocation(frozenset({"WT-1"}), date(2025, 3, 1), "x", date(2025, 2, 1))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda raw: raw.pop("renewal"), "expected the sections"),
        (lambda raw: raw.update(more={}), "expected the sections"),
        (lambda raw: raw["lapse"].pop("months"), "'months' is missing"),
        (lambda raw: raw["lapse"].update(months=0), "not a span of time"),
        (lambda raw: raw["lapse"].update(month=6), "unknown key"),
        (lambda raw: raw["kinds"].update(together=[["manual"], ["machine", "automatic"]]), "exactly once"),
        (
            lambda raw: raw["kinds"].update(
                together=[["manual", "semiautomatic", "machine"], ["machine", "automatic"]]
            ),
            "exactly once",
        ),
        (lambda raw: raw["start"].update(source=["NOBODY"]), "not listed"),
    ],
)
def test_a_table_that_cannot_be_trusted_is_refused(change: object, message: str) -> None:
    raw = copy.deepcopy(FILES["continuity.toml"])
    change(raw)  # type: ignore[operator]
    with pytest.raises(TableError, match=message):
        _read(raw)
