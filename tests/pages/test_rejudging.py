"""A correction of the tables where many records are on file: judged in the background, shown, and saved as
shown."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.codes.editions_in_force import edition_in_force
from qualification.models import AuditEntry, ProcedureTest, State, TableCheck
from qualification.records.audit_check import first_break
from qualification.roles import APPROVER, grant_roles
from qualification.rules.editions.loader import edition
from tests.pages.test_table_checks import ALLOWANCE, EDITION, post, save, url
from tests.shop_records import procedure_test, spec
from wps.background import tasks
from wps.corrections import table_change
from wps.corrections.rejudging import TRUSTED_FROM, TakesLonger, _estimate, changes_of, changes_under
from wps.models import BackgroundTask, Rejudging, Spec, TaskState
from wps.today.limits import judged_differently, not_approvable

pytestmark = pytest.mark.django_db


@pytest.fixture
def many(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if there were so many records that a page could not wait."""
    monkeypatch.setattr(table_change, "IN_A_REQUEST", 0.0)


@pytest.fixture
def records(author: User) -> tuple[ProcedureTest, Spec]:
    """A test, and a procedure that a smaller allowance for preheat leaves uncovered."""
    test = procedure_test(author)
    return test, spec(author, test, joint={"preheat_min": "0 °F"}, state=State.APPROVED)


def proposed(client: Client, **changes: str) -> Rejudging:
    """A correction handed in, and worked out by the background."""
    answer = post(client, **(changes or {ALLOWANCE: "10 °F"}))
    task = BackgroundTask.objects.get(state=TaskState.WAITING)
    assertRedirects(answer, task.get_absolute_url())
    assert tasks.run_all() == 1
    task.refresh_from_db()
    assert (task.state, task.message) == (TaskState.DONE, "")
    assert task.done == task.total > 0
    report = Rejudging.objects.get(pk=task.subject_id)
    assert task.back_url == report.get_absolute_url()
    return report


def test_what_takes_longer_goes_to_the_background_and_saves_nothing(
    approver_client: Client, records: tuple[ProcedureTest, Spec], many: None
) -> None:
    report = proposed(approver_client)
    assert report.records == 2
    assert {each["record"] for each in report.changes} == {"PT-014 rev 0", "W-101 rev 0"}
    assert not TableCheck.objects.exists()
    assert edition_in_force(EDITION) == edition(EDITION)
    page = approver_client.get(report.get_absolute_url())
    for words in (
        "2 records on file judged again",
        "Nothing is saved yet.",
        "W-101 rev 0",
        "Not covered: lowest preheat.",
        "10 °F",
        "Save the correction",
        url(),
    ):
        assertContains(page, words)


def test_the_background_finds_what_the_request_would_have_found(
    approver_client: Client, records: tuple[ProcedureTest, Spec], monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once = post(approver_client, **{ALLOWANCE: "10 °F"}).context["changes"]
    assert len(at_once) == 2
    monkeypatch.setattr(table_change, "IN_A_REQUEST", 0.0)
    assert changes_of(proposed(approver_client)) == at_once


def test_it_is_saved_as_it_was_shown_and_audited(
    approver_client: Client, records: tuple[ProcedureTest, Spec], many: None
) -> None:
    report = proposed(approver_client)
    assertRedirects(approver_client.post(report.get_absolute_url()), url())
    made = TableCheck.objects.get()
    assert (made.changes, made.person_name, made.copy) == (
        [[["with", "allowance", "us"], "10 °F"]],
        "Tobias Quell",
        "2023 edition, office copy 2",
    )
    assert f"{made.checked_on}" == "2026-01-15"
    entry = AuditEntry.objects.get(record_kind="table check")
    assert {each["record"] for each in entry.data["records"]} == {"PT-014 rev 0", "W-101 rev 0"}
    report.refresh_from_db()
    assert report.saved_at is not None
    page = approver_client.get(report.get_absolute_url())
    assertContains(page, "In force since")
    assertNotContains(page, "Save the correction")
    assertContains(approver_client.get(url()), report.get_absolute_url())
    approver_client.post(report.get_absolute_url())
    assert TableCheck.objects.count() == 1
    assert first_break() is None


def test_tables_that_changed_meanwhile_are_not_corrected_unseen(
    approver_client: Client, records: tuple[ProcedureTest, Spec], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(table_change, "IN_A_REQUEST", 0.0)
    report = proposed(approver_client)
    monkeypatch.setattr(table_change, "IN_A_REQUEST", None)
    save(approver_client, **{ALLOWANCE: "20 °F"})
    answer = approver_client.post(report.get_absolute_url())
    assertContains(answer, "The tables have changed since the records were judged", status_code=409)
    assert TableCheck.objects.count() == 1


def test_only_who_held_the_row_against_the_copy_saves_it(
    approver_client: Client,
    records: tuple[ProcedureTest, Spec],
    many: None,
    author_client: Client,
    administrator: User,
    signed_in: Callable[[User], Client],
) -> None:
    report = proposed(approver_client)
    grant_roles(administrator, [APPROVER])
    other = signed_in(administrator)
    page = other.get(report.get_absolute_url())
    assertContains(page, "Tobias Quell held the row against the copy and decides whether this is saved.")
    other.post(report.get_absolute_url())
    assert not TableCheck.objects.exists()
    assert author_client.get(report.get_absolute_url()).status_code == 403


def test_a_report_not_worked_out_yet_offers_nothing_to_save(
    approver_client: Client, records: Any, many: None
) -> None:
    post(approver_client, **{ALLOWANCE: "10 °F"})
    report = Rejudging.objects.get()
    assertContains(approver_client.get(report.get_absolute_url()), "The records are still being judged.")
    approver_client.post(report.get_absolute_url())
    assert not TableCheck.objects.exists()


def test_taking_back_goes_the_same_way(
    approver_client: Client, records: tuple[ProcedureTest, Spec], monkeypatch: pytest.MonkeyPatch
) -> None:
    save(approver_client, **{ALLOWANCE: "10 °F"})
    monkeypatch.setattr(table_change, "IN_A_REQUEST", 0.0)
    made = TableCheck.objects.get()
    address = reverse("table_check_take_back", args=[made.pk])
    page = approver_client.get(address)
    assertContains(page, "2 records are judged under this edition. They are judged again in the background")
    assert not Rejudging.objects.filter(cause="take_back").exists(), "looking starts nothing"
    answer = approver_client.post(address)
    assertRedirects(answer, BackgroundTask.objects.get().get_absolute_url())
    tasks.run_all()
    report = Rejudging.objects.get(cause="take_back")
    assertContains(approver_client.get(report.get_absolute_url()), "Covered by PT-014.")
    assertContains(
        approver_client.post(report.get_absolute_url(), {"reason": " "}),
        "Write the reason in one sentence.",
        status_code=422,
    )
    assertRedirects(
        approver_client.post(report.get_absolute_url(), {"reason": "Read in the wrong column."}), url()
    )
    made.refresh_from_db()
    assert made.taken_back_because == "Read in the wrong column."
    assert edition_in_force(EDITION) == edition(EDITION)
    assert first_break() is None


def test_a_row_that_is_gone_fails_with_words(approver_client: Client, records: Any, many: None) -> None:
    post(approver_client, **{ALLOWANCE: "10 °F"})
    report = Rejudging.objects.get()
    Rejudging.objects.update(proposal={**report.proposal, "path": ["row", 9999]})
    tasks.run_all()
    task = BackgroundTask.objects.get()
    assert (task.state, task.message) == (
        TaskState.FAILED,
        "The tables no longer have this row. Look it up in the code tables again.",
    )


@pytest.mark.parametrize(
    ("spent", "done", "records", "seconds"),
    [
        (0.0, 0, 400, 0.0),
        (1.9, TRUSTED_FROM - 1, 400, 1.9),
        (0.1, TRUSTED_FROM, 100, 2.0),
        (0.1, TRUSTED_FROM, 101, 2.02),
        (2.5, 100, 100, 2.5),
    ],
)
def test_the_time_is_reckoned_from_the_first_records(
    spent: float, done: int, records: int, seconds: float
) -> None:
    assert _estimate(spent, done, records) == pytest.approx(seconds)


def test_the_request_waits_for_its_seconds_and_no_longer(records: Any) -> None:
    made = edition_in_force(EDITION)
    assert changes_under(made, seconds=60) == []
    with pytest.raises(TakesLonger) as longer:
        changes_under(made, seconds=0)
    assert longer.value.records == 2
    steps: list[tuple[int, int]] = []
    changes_under(made, progress=lambda done, total: steps.append((done, total)))
    assert steps == [(0, 2)]


def test_the_today_page_names_approved_records_that_are_judged_differently(
    approver_client: Client,
    reader_client: Client,
    reader: User,
    outsider: User,
    records: tuple[ProcedureTest, Spec],
) -> None:
    Spec.objects.update(approved_at=timezone.now() - timedelta(days=2))
    assert judged_differently(reader).matters == ()
    save(approver_client, **{ALLOWANCE: "10 °F"})
    (matter,) = judged_differently(reader).matters
    assert (matter.what, matter.url) == ("Procedure W-101 rev 0", records[1].get_absolute_url())
    assert (
        matter.detail == "Correction of QW-406.1: “Covered by PT-014.” is “Not covered: lowest preheat.” now"
    )
    assertContains(reader_client.get("/"), "Approved, and judged differently since the tables were corrected")
    assert judged_differently(outsider) is None
    made = TableCheck.objects.get()
    approver_client.post(
        reverse("table_check_take_back", args=[made.pk]), {"reason": "Read in the wrong column."}
    )
    assert judged_differently(reader).matters == (), "what was approved is right again"


def test_what_was_approved_after_the_correction_or_is_no_longer_in_force_is_not_named(
    approver_client: Client, reader: User, records: tuple[ProcedureTest, Spec]
) -> None:
    save(approver_client, **{ALLOWANCE: "10 °F"})
    assert len(judged_differently(reader).matters) == 1
    Spec.objects.update(approved_at=timezone.now() + timedelta(seconds=1))
    assert judged_differently(reader).matters == ()
    Spec.objects.update(approved_at=None, state=State.WITHDRAWN)
    assert judged_differently(reader).matters == ()


def test_what_is_in_review_is_named_to_its_reviewers(
    approver_client: Client, approver: User, reader: User, author: User
) -> None:
    made = spec(author, procedure_test(author), joint={"preheat_min": "0 °F"}, state=State.IN_REVIEW)
    assert not_approvable(approver) is None
    save(approver_client, **{ALLOWANCE: "10 °F"})
    (matter,) = not_approvable(approver).matters
    assert (matter.what, matter.url) == ("Procedure W-101 rev 0", made.get_absolute_url())
    assert (
        matter.detail == "Correction of QW-406.1: “Covered by PT-014.” is “Not covered: lowest preheat.” now"
    )
    assert not_approvable(reader) is None
    assert judged_differently(reader).matters == ()
    assertContains(approver_client.get(made.get_absolute_url()), "As it stands, approval will be refused")
