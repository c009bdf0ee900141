"""Confirmations and prolongations as entries (ISO 9606): what is refused, what trail they leave, who may."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import ActKind, State, ValidityAct
from qualification.records import workflow
from qualification.records.audit import events_of
from qualification.records.audit_check import first_break
from qualification.records.history import history_of
from qualification.welders.continuity import standings_of
from tests.shop_records import approve, as_if_approved_with, welder, welder_test
from tests.validity_records import (
    CONFIRM,
    PROLONG,
    STEEL,
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


@pytest.mark.parametrize(
    ("what", "said", "change", "sentence"),
    [
        ("confirm", CONFIRM, {"day": ""}, "Enter the day on which it was confirmed."),
        ("confirm", CONFIRM, {"day": "2036-06-11"}, "Day of confirmation: 2036-06-11 lies in the future."),
        (
            "confirm",
            CONFIRM,
            {"day": "2031-03-04"},
            "Day of confirmation: 2031-03-04 does not lie after 2031-03-04, the day the coupon was welded.",
        ),
        ("confirm", CONFIRM, {"by_name": " "}, "Enter the name of the person who confirms."),
        ("confirm", CONFIRM, {"by_role": ""}, "Choose as what the person signed."),
        (
            "confirm",
            CONFIRM,
            {"by_role": "examiner"},
            "Signed as has no “examiner”. Choose one of those listed.",
        ),
        (
            "confirm",
            CONFIRM,
            {"evidence": ""},
            "Enter what shows the work inside the range, such as a job or weld map.",
        ),
        (
            "prolong",
            PROLONG,
            {"by_role": "employer"},
            "Signed as has no “employer”. Choose one of those listed.",
        ),
        (
            "prolong",
            PROLONG,
            {"report_1": ""},
            "Weld 1 report is missing. Enter it: a prolongation rests on examined welds.",
        ),
        (
            "prolong",
            PROLONG,
            {"method_2": ""},
            "Weld 2 examined by is missing. Enter it, or leave out the whole weld.",
        ),
        (
            "prolong",
            PROLONG,
            {"method_1": "visual"},
            "Weld 1 examined by has no “visual”. Choose one of those listed.",
        ),
        ("prolong", PROLONG, {"welded_on_1": "2 May"}, "Weld 1 welded on: “2 May” is not a day."),
    ],
)
def test_what_cannot_be_recorded_says_why_and_keeps_the_rest(
    what: str,
    said: dict[str, str],
    change: dict[str, str],
    sentence: str,
    approver_client: Client,
    author: User,
) -> None:
    answer = put(approver_client, made(author), what, said, **change)
    assertContains(answer, sentence, count=2)
    assertContains(answer, {**said, **change}["by_name"].strip())
    assert not ValidityAct.objects.exists()


def test_conditions_whose_evidence_ended_before_they_were_stated(
    approver_client: Client, author: User
) -> None:
    record = made(author, STEEL)
    chosen(record, "9.3 c")
    said = {
        "met": "yes",
        "day": "2032-01-10",
        "by_name": "T",
        "evidence": "Certificate QS-88",
        "until": "2032-01-09",
    }
    assertContains(
        put(approver_client, record, "conditions", said),
        "Evidence goes to: 2032-01-09 lies before 2032-01-10",
        count=2,
    )
    assertContains(
        put(approver_client, record, "conditions", said, until="soon"),
        "Evidence goes to: “soon” is not a day.",
        count=2,
    )
    assert not ValidityAct.objects.filter(kind=ActKind.CONDITIONS).exists()


def test_an_act_is_recorded_once_and_one_struck_does_not_count(approver_client: Client, author: User) -> None:
    record = made(author)
    put(approver_client, record, "confirm", CONFIRM)
    assertContains(
        put(approver_client, record, "confirm", CONFIRM), "A confirmation of 2031-09-04 is on record already."
    )
    act = ValidityAct.objects.get()
    strike = reverse("validity_strike", args=[act.pk])
    assertContains(approver_client.post(strike, {"reason": ""}), "Write the reason in one sentence.", count=2)
    answer = approver_client.post(strike, {"reason": "The weld map was another welder's"}, follow=True)
    assertContains(answer, "Struck: The weld map was another welder&#x27;s")
    assert words(record, date(2031, 9, 5)) == "Lapsed, held until 2031-09-04"
    assertContains(approver_client.post(strike, {"reason": "Twice"}), "This entry is struck already")
    with pytest.raises(TypeError, match="struck, never changed"):
        act.save()
    put(approver_client, record, "confirm", CONFIRM)
    assert words(record, date(2031, 9, 5)) == "Holds until 2032-03-04"


def test_every_act_is_in_the_trail_and_leaves_the_record_as_approved(
    approver_client: Client, author: User
) -> None:
    record = made(author, STEEL)
    before = record.snapshot
    put(approver_client, record, "way", {"day": "2031-03-04", "by_name": "Tobias Rehn", "way": "9.3 b"})
    put(approver_client, record, "confirm", CONFIRM, by_role="employer")
    put(approver_client, record, "prolong", PROLONG)
    approver_client.post(
        reverse("validity_strike", args=[ValidityAct.objects.get(kind=ActKind.WAY).pk]),
        {"reason": "It was way a"},
    )
    assert [entry.verb for entry in events_of(record)] == [
        "strike_act",
        "prolong",
        "confirm_validity",
        "choose_way",
        "approve",
    ]
    assert [event.did for event in history_of(record)][:2] == [
        "struck an entry of its validity",
        "recorded a prolongation of it",
    ]
    assert "Confirmation of 2031-09-04 by Tobias Rehn (employer), GMAW: Job J-3107, weld map 2." in [
        event.detail for event in history_of(record)
    ]
    assert first_break() is None
    record.refresh_from_db()
    assert record.snapshot == before


def test_a_way_is_stated_once_and_before_approval_if_need_be(
    approver_client: Client, author: User, approver: User
) -> None:
    draft = made(author, STEEL, state=State.DRAFT)
    said = {"day": "2031-03-04", "by_name": "Tobias Rehn", "way": "9.3 b"}
    put(approver_client, draft, "way", said)
    assertContains(
        put(approver_client, draft, "way", said, way="9.3 a"),
        "The way on record is 9.3 b. Strike that entry first",
    )
    assertContains(
        put(approver_client, draft, "confirm", CONFIRM),
        "WT-021 rev 0 is draft. Only an approved test is confirmed or prolonged",
    )
    approve(draft, author, approver)
    draft.refresh_from_db()
    assert draft.snapshot["validity"]["way"]["key"] == "9.3 b"


def test_a_revision_keeps_the_acts_and_another_edition_does_not(
    approver_client: Client, author: User, approver: User
) -> None:
    record = made(author)
    put(approver_client, record, "confirm", CONFIRM)
    revised = workflow.start_revision(record, author, "Witness added.")
    approve(revised, author, approver)
    assert words(revised, date(2031, 12, 1)) == "Holds until 2032-03-04"
    record.refresh_from_db()
    assertContains(
        put(approver_client, record, "confirm", CONFIRM, day="2032-01-05"), "WT-021 rev 0 is superseded."
    )
    ValidityAct.objects.filter(struck_because="").exclude(edition="x").update(edition=STEEL)
    assert words(revised, date(2031, 12, 1)) == "Lapsed, held until 2031-09-04"
    assertContains(
        approver_client.get(revised.get_absolute_url()),
        f"while the record was under another edition ({STEEL})",
    )


def test_of_two_processes_one_may_be_confirmed(approver_client: Client, author: User) -> None:
    record = made(author)
    root = {
        **record.lines[0],
        "process": "GTAW",
        "operation": "manual",
        "transfer_mode": "",
        "deposit_thickness": "2 mm",
        "current_type": "AC",
    }
    as_if_approved_with(record, lines=[root, {**record.lines[0], "deposit_thickness": "4 mm"}])
    if len(standings_of(record.welder, date(2031, 5, 1))) < 2:
        pytest.fail("the coupon of two processes qualifies nothing")
    assertContains(put(approver_client, record, "confirm", CONFIRM), "Tick the processes it speaks of.")
    put(approver_client, record, "confirm", CONFIRM, processes="GTAW")
    found = {s.process: s.words for s in standings_of(record.welder, date(2031, 12, 1))}
    assert found == {"GTAW": "Holds until 2032-03-04", "GMAW": "Lapsed, held until 2031-09-04"}


def test_a_code_that_keeps_a_log_has_no_confirmations(approver_client: Client, author: User) -> None:
    record = welder_test(author, welder())
    assertNotContains(approver_client.get(record.get_absolute_url()), "Confirmed and prolonged")
    assertContains(
        put(approver_client, record, "confirm", CONFIRM),
        "is kept by the continuity log, not by confirmations.",
    )
    assert not ValidityAct.objects.exists()
    assert approver_client.get(reverse("validity_sheet", args=[record.pk])).status_code == 404


def test_only_an_approver_records_and_strikes(
    author_client: Client, reader_client: Client, approver_client: Client, author: User
) -> None:
    record = made(author, STEEL)
    confirmed(record, "2031-08-01")
    act = ValidityAct.objects.get()
    urls = [
        reverse(f"validity_{what}", args=[record.pk]) for what in ("way", "confirm", "prolong", "conditions")
    ]
    for client in (author_client, reader_client):
        for url in (*urls, reverse("validity_strike", args=[act.pk])):
            assertContains(client.get(url), "the role <strong>approver</strong>", status_code=403)
            assert client.post(url, {**CONFIRM, "reason": "x"}).status_code == 403
        page = client.get(record.get_absolute_url())
        assertContains(page, "Tobias Rehn, welding coordinator")
        assertNotContains(page, urls[1])
    assertContains(approver_client.get(record.get_absolute_url()), urls[1])
    assertRedirects(Client().get(urls[1]), f"{reverse('sign_in')}?next={urls[1]}")
    assert ValidityAct.objects.count() == 1
