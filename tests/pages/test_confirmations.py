"""The sheet on which several tests are confirmed at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import ProcessUse, ValidityAct, WelderTest
from qualification.records.audit import events_of
from qualification.records.audit_check import first_break
from qualification.welders.continuity import standings_of
from tests.shop_records import welder, welder_test
from tests.validity_records import ALUMINIUM, STEEL, confirmed, made

URL = "/welders/confirmations/"


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def tests_on_file(author: User) -> tuple[WelderTest, WelderTest]:
    """One under each part of the standard; the steel one is due first."""
    return made(author), made(author, STEEL, number="WT-022", welded_on=date(2031, 1, 20))


def sheet(*tests: WelderTest, **change: str) -> dict[str, Any]:
    rows = {f"test-{test.pk}-processes": "GMAW" for test in tests} | {
        f"test-{test.pk}-evidence": f"Job of {test.number}" for test in tests
    }
    return {"day": "2031-06-09", "by_name": "Tobias Rehn", "by_role": "coordinator", **rows, **change}


def test_ticked_tests_are_confirmed_each_with_its_own_entry(
    approver_client: Client, tests_on_file: tuple[WelderTest, WelderTest]
) -> None:
    aluminium, steel = tests_on_file
    ProcessUse.objects.create(
        welder=steel.welder,
        process="GMAW",
        operation="semiautomatic",
        used_on=date(2031, 5, 2),
        evidence="Job J-9",
        recorded_by_name="M",
    )
    page = approver_client.get(URL)
    assert [row.record.number for row in page.context["sheet"].rows] == ["WT-022", "WT-021"]
    assertContains(page, 'value="Job J-9, 2031-05-02"', count=2)
    answer = approver_client.post(URL, sheet(aluminium, steel), follow=True)
    assertContains(answer, "2 confirmations are on record.")
    assert {(act.test_id, act.evidence, act.by_name) for act in ValidityAct.objects.all()} == {
        (test.pk, f"Job of {test.number}", "Tobias Rehn") for test in tests_on_file
    }
    assert {s.words for s in standings_of(steel.welder, date(2031, 6, 10))} == {"Holds until 2031-12-09"}
    assert [entry.verb for entry in events_of(steel)] == ["confirm_validity", "approve"]
    assert first_break() is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"day": ""}, "Enter the day on which they were confirmed."),
        (
            {"day": "2031-03-04"},
            "WT-021: its coupon was welded on 2031-03-04, not before 2031-03-04. Take the tick away.",
        ),
        ({"by_name": ""}, "Enter the name of the person who confirms."),
        (
            {"by_role": "examiner"},
            (
                "WT-021 is confirmed by employer or welding coordinator. Take the tick away, or choose"
                " another signature."
            ),
        ),
        (
            {"EVIDENCE": ""},
            "Work seen for WT-021 of Anouk Berglund (AB) is missing. Enter it, or take the tick away.",
        ),
        (
            {"PROCESSES": "SMAW"},
            "Confirmed on WT-021 of Anouk Berglund (AB) has no “SMAW”. Tick one of those listed.",
        ),
    ],
)
def test_a_sheet_that_cannot_be_recorded_says_why_and_records_nothing(
    change: dict[str, str],
    sentence: str,
    approver_client: Client,
    tests_on_file: tuple[WelderTest, WelderTest],
) -> None:
    own = {
        "EVIDENCE": f"test-{tests_on_file[0].pk}-evidence",
        "PROCESSES": f"test-{tests_on_file[0].pk}-processes",
    }
    answer = approver_client.post(
        URL, sheet(*tests_on_file, **{own.get(key, key): value for key, value in change.items()})
    )
    assertContains(answer, sentence, count=2)
    assertContains(answer, "Job of WT-022")
    assert not ValidityAct.objects.exists()


def test_it_is_recorded_whole_or_not_at_all(
    approver_client: Client, tests_on_file: tuple[WelderTest, WelderTest]
) -> None:
    confirmed(tests_on_file[1], "2031-06-09")
    answer = approver_client.post(URL, sheet(*tests_on_file))
    assertContains(answer, "A confirmation of 2031-06-09 is on record already.")
    assert ValidityAct.objects.count() == 1
    assertContains(approver_client.post(URL, sheet()), "Nothing is ticked.")


def test_what_has_ended_left_or_is_kept_by_the_log_is_not_on_the_sheet(
    approver_client: Client, author: User
) -> None:
    made(author, number="WT-031", welded_on=date(2030, 12, 9))
    gone = welder("CZ", "Cyra Zeller")
    made(author, number="WT-032", welder=gone)
    type(gone).objects.filter(pk=gone.pk).update(active=False)
    welder_test(author, welder(), "WT-033")
    assertContains(
        approver_client.get(URL),
        "No test of an active welder holds under a code that asks for confirmations.",
    )
    assert ALUMINIUM in {test.edition for test in WelderTest.objects.all()}


def test_only_an_approver_confirms(
    author_client: Client,
    reader_client: Client,
    approver_client: Client,
    tests_on_file: tuple[WelderTest, WelderTest],
) -> None:
    for client in (author_client, reader_client):
        assertContains(client.get(URL), "the role <strong>approver</strong>", status_code=403)
        assert client.post(URL, sheet(*tests_on_file)).status_code == 403
        assertNotContains(client.get(reverse("welder_list")), URL)
    assertContains(approver_client.get(reverse("welder_list")), URL)
    assert not ValidityAct.objects.exists()
