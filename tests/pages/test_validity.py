"""Qualifications that are confirmed and prolonged (ISO 9606): recording the acts, and their limits.

The spans are on the public pages VALID, REVAL and EXTEND of the editions; their counting in calendar months
is worked by us.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.models import ActKind, ProcessUse, ValidityAct
from qualification.welders.continuity import standings_of
from tests.validity_records import (
    CONFIRM,
    PROLONG,
    STEEL,
    THREE_YEARS,
    TWO_YEARS,
    chosen,
    confirmed,
    made,
    put,
    words,
)


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2036, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


@pytest.mark.parametrize(("day", "holds_until"), [("2031-09-03", "2032-03-03"), ("2031-09-04", "2032-03-04")])
def test_a_confirmation_inside_or_on_six_months_carries_on(
    day: str, holds_until: str, approver_client: Client, author: User
) -> None:
    record = made(author)
    answer = put(approver_client, record, "confirm", CONFIRM, day=day)
    assertContains(answer, f"Confirmation of WT-021 on {day} is on record.")
    last = date.fromisoformat(holds_until)
    assert words(record, last) == f"Holds until {last}"
    assert words(record, last + timedelta(days=1)) == f"Lapsed, held until {last}"


def test_a_confirmation_a_day_late_is_on_record_and_does_not_count(
    approver_client: Client, author: User
) -> None:
    record = made(author)
    answer = put(approver_client, record, "confirm", CONFIRM, day="2031-09-05")
    assertContains(
        answer,
        "is on record and does not count. It came after 4 September 2031, when the 6 months before it had"
        " ended.",
    )
    assertContains(answer, "Does not count.")
    assert words(record, date(2031, 9, 6)) == "Lapsed, held until 2031-09-04"


def test_the_log_is_evidence_and_confirms_nothing(approver_client: Client, author: User) -> None:
    record = made(author)
    for process, operation, evidence in (
        ("GMAW", "semiautomatic", "Job J-4"),
        ("GMAW", "machine", "Job J-5"),
        ("GTAW", "semiautomatic", "Job J-6"),
    ):
        ProcessUse.objects.create(
            welder=record.welder,
            process=process,
            operation=operation,
            used_on=date(2031, 6, 1),
            evidence=evidence,
            recorded_by_name="M",
        )
    assert words(record, date(2031, 10, 1)) == "Lapsed, held until 2031-09-04"
    page = approver_client.get(reverse("validity_confirm", args=[record.pk]))
    assert [line.evidence for line in page.context["uses"]] == ["Job J-4"]
    assertContains(page, 'value="Job J-4, 2031-06-01"')
    assertContains(page, 'value="Tobias')


@pytest.mark.parametrize(
    ("day", "counts"), [("2033-03-03", True), ("2033-03-04", True), ("2033-03-05", False)]
)
def test_a_prolongation_inside_on_and_outside_two_years(
    day: str, counts: bool, approver_client: Client, author: User
) -> None:
    record = made(author)
    confirmed(record, *TWO_YEARS)
    assert words(record, date(2033, 3, 4)) == "Holds until 2033-03-04"
    assert words(record, date(2033, 3, 5)) == "Lapsed, held until 2033-03-04"
    answer = put(approver_client, record, "prolong", PROLONG, day=day)
    assertContains(answer, f"Prolongation of WT-021 on {day} is on record")
    assertContains(answer, "Weld of 2033-02-10: radiography, report HT-3302, accepted")
    assert words(record, date(2033, 9, 4)) == (
        "Holds until 2033-09-04" if counts else "Lapsed, held until 2033-03-04"
    )
    if not counts:
        assertContains(answer, "It came after 4 March 2033, when the period had ended.")


@pytest.mark.parametrize(
    "change",
    [
        {"welded_on_2": "2032-09-03"},
        {"accepted_2": "no"},
        {"welded_on_2": "", "method_2": "", "report_2": "", "accepted_2": ""},
    ],
)
def test_a_prolongation_needs_two_accepted_welds_of_six_months(
    change: dict[str, str], approver_client: Client, author: User
) -> None:
    record = made(author)
    confirmed(record, *TWO_YEARS)
    answer = put(approver_client, record, "prolong", PROLONG, **change)
    assertContains(answer, "It rests on 1 accepted weld of the 6 months before it; 2 are asked.")
    assert words(record, date(2033, 3, 5)) == "Lapsed, held until 2033-03-04"


def test_a_weld_six_months_old_still_counts(approver_client: Client, author: User) -> None:
    record = made(author)
    confirmed(record, *TWO_YEARS)
    put(approver_client, record, "prolong", PROLONG, welded_on_2="2032-09-04")
    assert words(record, date(2033, 3, 5)) == "Holds until 2033-09-04"


def test_by_retest_it_holds_three_years_and_no_longer(approver_client: Client, author: User) -> None:
    record = made(author, STEEL)
    answer = put(
        approver_client, record, "way", {"day": "2031-03-04", "by_name": "Tobias Rehn", "way": "9.3 a"}
    )
    assertContains(answer, "Revalidation method: <strong>9.3 a</strong>")
    confirmed(record, *THREE_YEARS)
    assert words(record, date(2034, 3, 4)) == "Holds until 2034-03-04"
    assert words(record, date(2034, 3, 5)) == "Lapsed, held until 2034-03-04"
    answer = put(approver_client, record, "prolong", PROLONG)
    assertContains(answer, "The way on record is 9.3 a")
    assert not ValidityAct.objects.filter(kind=ActKind.PROLONGATION).exists()


def test_without_a_way_it_is_unknown_after_two_years_and_says_what_to_state(
    approver_client: Client, author: User
) -> None:
    record = made(author, STEEL)
    confirmed(record, *THREE_YEARS)
    assert words(record, date(2033, 3, 4)) == "Holds until 2033-03-04"
    (standing,) = standings_of(record.welder, date(2033, 3, 5))
    assert (standing.verdict, standing.answer.needs) == ("unknown", ("way",))
    assert "state it" in standing.answer.because
    assertContains(approver_client.get(record.get_absolute_url()), "Revalidation method not stated")
    assertContains(put(approver_client, record, "prolong", PROLONG), "State the way of going on first")
    chosen(record, "9.3 b")
    assert words(record, date(2033, 3, 5)) == "Lapsed, held until 2033-03-04"


def test_by_records_the_conditions_are_stated_with_evidence(approver_client: Client, author: User) -> None:
    record = made(author, STEEL)
    chosen(record, "9.3 c")
    confirmed(record, *THREE_YEARS)
    assert words(record, date(2034, 3, 4)) == "Unknown"
    said = {
        "met": "yes",
        "day": "2032-01-10",
        "by_name": "Tobias Rehn",
        "evidence": "ISO 3834-2 certificate QS-88",
        "until": "2034-05-01",
    }
    answer = put(approver_client, record, "conditions", said)
    assertContains(answer, "Goes to 2034-05-01")
    assert words(record, date(2034, 5, 1)) == "Holds until 2034-05-01"
    assert words(record, date(2034, 5, 2)) == "Unknown, held until 2034-05-01"
    put(
        approver_client,
        record,
        "conditions",
        said,
        met="no",
        day="2034-04-01",
        until="",
        evidence="Left for another maker",
    )
    assert words(record, date(2034, 4, 1)) == "Lapsed"
    assert words(record, date(2034, 3, 31)) == "Holds until 2034-05-01"
