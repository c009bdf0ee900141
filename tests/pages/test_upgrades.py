"""An upgrade of the program that changes what a stored record amounts to is shown, record by record, old and
new."""

from __future__ import annotations

import gc
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes.program_mark import program_mark
from qualification.models import AuditEntry, ProcedureTest
from qualification.records.cache import Remembered
from qualification.records.workflow import start_revision
from qualification.rules.entries import size_entries
from tests.shop_records import EDITION, approve, procedure_test, spec
from wps import upkeep
from wps.background import tasks
from wps.corrections import upgrades
from wps.models import KeptAnswer, Rejudging

pytestmark = pytest.mark.usefixtures("shop")
HEAD = "Approved, and judged differently since the program was upgraded"


@pytest.fixture
def records(author: User, approver: User) -> tuple[ProcedureTest, Any]:
    """An approved test and the procedure on it, with their answers kept by this release."""
    test = procedure_test(author, state="draft", welded_on="2025-03-04")
    approve(test, author, approver)
    made = spec(author, test)
    approve(made, author, approver)
    tasks.run_all()
    judge()
    assert Rejudging.objects.count() == 0
    return test, made


def judge() -> None:
    """What the background does once it is due."""
    upgrades.judge_in_background(1, lambda done, total: None)


@pytest.fixture
def upgraded(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Return a function that makes this program another release: one whose tests answer otherwise."""

    def upgrade(**changes: str) -> None:
        content = upgrades.test_content

        def other(record: ProcedureTest, shown: str) -> dict[str, Any]:
            found = content(record, shown)
            if "refusal" in changes:
                return {**found, "refusals": [changes["refusal"]]}
            rows = [
                {**row, "qualified": changes.get(row["variable"], row["qualified"])} for row in found["range"]
            ]
            return {**found, "range": rows}

        monkeypatch.setattr(upgrades, "test_content", other)
        monkeypatch.setattr(upgrades, "program_mark", lambda: "another release")

    return upgrade


def test_the_same_release_has_nothing_to_do(records: tuple[ProcedureTest, Any]) -> None:
    assert not upgrades.is_due()
    assert {each.program for each in KeptAnswer.objects.all()} == {program_mark()}


def test_another_release_with_the_same_answers_reports_nothing(
    records: tuple[ProcedureTest, Any], upgraded: Callable[..., None]
) -> None:
    upgraded()
    assert upgrades.is_due()
    judge()
    assert not upgrades.is_due()
    assert Rejudging.objects.count() == 0


def test_a_limit_that_became_another_is_on_today_with_old_and_new(
    records: tuple[ProcedureTest, Any], upgraded: Callable[..., None], author_client: Client
) -> None:
    test, _ = records
    before = next(row for row in test.snapshot["range"] if row["variable"] == "deposit_thickness")
    assertNotContains(author_client.get("/"), HEAD)
    upgraded(deposit_thickness="up to 1/4 in")
    upkeep.queue_what_is_due()
    tasks.run_all()
    answer = author_client.get("/")
    assertContains(answer, HEAD)
    assertContains(answer, "Procedure test PT-014 rev 0")
    assertContains(answer, f"{before['qualified']}, now up to 1/4 in")
    report = Rejudging.objects.get()
    assert (report.edition, report.records, report.asked_by) == (EDITION, 2, None)
    assertContains(author_client.get(report.get_absolute_url()), "up to 1/4 in")
    entry = AuditEntry.objects.get(verb="judge_again")
    assert entry.data["changes"][0]["record"] == "PT-014 rev 0"


def test_a_test_that_qualifies_nothing_any_more_is_named_with_both_answers(
    records: tuple[ProcedureTest, Any], upgraded: Callable[..., None], author_client: Client
) -> None:
    upgraded(refusal="The bends were bent around too large a former.")
    judge()
    assertContains(
        author_client.get("/"),
        "“Tests passed; it qualifies what its range says.” is “Tests passed; it qualifies nothing.” now",
    )


def test_what_has_to_be_entered_otherwise_is_said_until_it_is(
    author: User,
    approver: User,
    author_client: Client,
    approver_client: Client,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A pipe's diameter without a unit was read as inches outside by an earlier release; this one asks."""
    with monkeypatch.context() as earlier:
        earlier.setattr(size_entries, "_ask_for_nominal", lambda *said: None)
        earlier.setattr(upgrades, "program_mark", lambda: "an earlier release")
        pipe = {"product_form": "pipe", "diameter": "2", "test_position": "5G"}
        test = procedure_test(author, state="draft", joint=pipe, welded_on="2025-03-04")
        approve(test, author, approver)
        made = spec(author, test)
        approve(made, author, approver)
        tasks.run_all()
        judge()
        for said in KeptAnswer.objects.all():
            said.said.pop("reasons")  # which that release did not keep
            said.save()
    for each in gc.get_objects():
        if type(each) is Remembered:  # a lazy object answers isinstance by making what it stands for
            each.forget()
    judge()
    question, remedy = "Write NPS 2, which is 2.375 in outside, or 2 in OD.", "Start a revision of it"
    report = Rejudging.objects.get()
    assertContains(author_client.get("/"), question)
    assertContains(author_client.get("/"), remedy)
    assertContains(author_client.get(report.get_absolute_url()), question)
    assertContains(author_client.get(report.get_absolute_url()), "Revise it or withdraw it")
    approver_client.post(report.get_absolute_url())
    today = author_client.get("/")
    assertNotContains(today, HEAD)
    assertContains(today, "Approved, and stopped by an upgrade of the program")
    assertContains(today, f'href="{test.get_absolute_url()}"')
    assertContains(today, question)
    mended = start_revision(test, author, "The diameter with its unit")
    mended.joint["diameter"] = "NPS 2"
    mended.save()
    approve(mended, author, approver)
    assertNotContains(author_client.get("/"), f'href="{test.get_absolute_url()}"')


def test_it_stays_until_an_approver_has_seen_it_and_is_told_once(
    records: tuple[ProcedureTest, Any],
    upgraded: Callable[..., None],
    author_client: Client,
    approver_client: Client,
) -> None:
    upgraded(deposit_thickness="up to 1/4 in")
    judge()
    judge()
    report = Rejudging.objects.get()
    address = report.get_absolute_url()
    assertNotContains(author_client.get(address), "Mark as seen</button>")
    author_client.post(address)
    assertContains(author_client.get("/"), HEAD)
    assertContains(approver_client.get(address), "Mark as seen</button>")
    approver_client.post(address)
    approver_client.post(address)
    assertNotContains(author_client.get("/"), HEAD)
    assertContains(author_client.get(address), "Seen by Tobias Quell")
    assert AuditEntry.objects.filter(verb="see").count() == 1


def test_a_record_without_a_kept_answer_is_compared_with_what_was_approved(
    records: tuple[ProcedureTest, Any], upgraded: Callable[..., None]
) -> None:
    KeptAnswer.objects.all().delete()
    upgraded(deposit_thickness="up to 1/4 in")
    judge()
    ((change),) = Rejudging.objects.get().changes
    assert change["record"] == "PT-014 rev 0"


def test_what_the_shop_corrected_itself_is_not_taken_for_an_upgrade(
    records: tuple[ProcedureTest, Any], upgraded: Callable[..., None]
) -> None:
    upgrades.tables_changed(EDITION)
    upgraded(deposit_thickness="up to 1/4 in")
    judge()
    assert Rejudging.objects.count() == 0
    assert not upgrades.is_due()


def test_a_draft_is_not_judged(author: User) -> None:
    procedure_test(author, state="draft")
    assert not upgrades.is_due()
