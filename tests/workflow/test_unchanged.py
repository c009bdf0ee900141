"""An approved record changed past the program is found wherever it is shown, signed, issued or relied on."""

from __future__ import annotations

import json

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from qualification.evidence.coverage import coupon_of, range_of
from qualification.models import ProcedureTest, Record
from qualification.models.record import content_hash
from qualification.records.approving import frozen_content
from qualification.records.unchanged import changed_since_approval, hold_against_approvals
from qualification.records.workflow import apply, start_revision
from tests.shop_records import approve, procedure_test, spec, welder, welder_test
from wps.background import tasks
from wps.documents.kinds import document_for
from wps.models import Spec, TaskState

pytestmark = pytest.mark.usefixtures("shop")


@pytest.fixture
def passed(author: User, approver: User) -> ProcedureTest:
    made = procedure_test(author, state="draft", welded_on="2025-03-04")
    approve(made, author, approver)
    return ProcedureTest.objects.get()


def by_sql(statement: str, *values: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


TABLE = "qualification_proceduretest"


def written_over(record: Record) -> str:
    """The snapshot with one number of it changed."""
    return json.dumps({**record.snapshot, "title": "Another coupon"})


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("results", "[]", "changed since: results"),
        ("lines", "[]", "changed since: lines"),
        ("joint", "{}", "changed since: joint"),
        ("welded_on", "2024-01-01", "changed since: welded_on"),
        ("edition", "aws_d1_2_2014", "changed since: edition"),
        ("number", "PT-900", "changed since: number"),
        ("snapshot", None, "what was approved is gone"),
        ("snapshot", "{}", "what was approved was written over"),
        ("snapshot_hash", "0" * 64, "what was approved was written over"),
    ],
)
def test_any_change_by_hand_is_found(
    column: str, value: str | None, said: str, passed: ProcedureTest, author_client: Client
) -> None:
    assert changed_since_approval(passed) == ""
    by_sql(f"UPDATE {TABLE} SET {column} = %s", value)
    found = ProcedureTest.objects.get()
    assert said in changed_since_approval(found)
    assert coupon_of(found).refusals[0] == changed_since_approval(found)
    assert range_of(found).refusals
    page = author_client.get(found.get_absolute_url())
    assert "Not what was approved" in page.content.decode()


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("results", "[]"),
        ("number", "PT-900"),
        ("snapshot", None),
        ("snapshot", "{}"),
        ("snapshot", "[]"),
        ("snapshot_hash", "0" * 64),
    ],
)
def test_many_held_against_their_approvals_say_the_same_as_each_alone(
    column: str, value: str | None, passed: ProcedureTest, author: User
) -> None:
    """Also once the frozen content was read before, and without it on the record."""
    other = procedure_test(author, number="PT-222", welder=passed.welder)
    tested = welder_test(author, passed.welder)
    for turn in range(2):
        many = [*ProcedureTest.objects.defer("snapshot").order_by("pk"), type(tested).objects.get()]
        hold_against_approvals(many)
        with CaptureQueriesContext(connection) as seen:
            said = [changed_since_approval(each) for each in many]
        assert not seen.captured_queries
        alone = [*ProcedureTest.objects.order_by("pk"), type(tested).objects.get()]
        assert said == [changed_since_approval(each) for each in alone]
        assert [bool(each) for each in said] == [turn == 1, False, False]
        by_sql(f"UPDATE {TABLE} SET {column} = %s WHERE id = %s", value, passed.pk)
    assert other.pk == many[1].pk


def test_a_snapshot_and_its_hash_written_over_together_are_found_by_the_trail(passed: ProcedureTest) -> None:
    forged = {**passed.snapshot, "results": []}
    by_sql(
        f"UPDATE {TABLE} SET results = '[]', snapshot = %s, snapshot_hash = %s",
        json.dumps(forged),
        content_hash(forged),
    )
    assert "the audit trail names other content" in changed_since_approval(ProcedureTest.objects.get())


def test_a_draft_made_approved_by_hand_is_found(author: User) -> None:
    made = procedure_test(author, state="draft")
    frozen = frozen_content(made)
    by_sql(
        f"UPDATE {TABLE} SET state = 'approved', snapshot = %s, snapshot_hash = %s",
        json.dumps(frozen),
        content_hash(frozen),
    )
    assert "the audit trail knows of no approval" in changed_since_approval(ProcedureTest.objects.get())


def test_another_welder_put_on_a_test_is_found_and_a_new_name_is_not(author: User) -> None:
    made = welder_test(author, welder())
    other = welder("KD", "Kees Dorrit")
    made.welder.name = "Anouk Lindqvist"
    made.welder.save()
    assert changed_since_approval(type(made).objects.get()) == ""
    type(made).objects.update(welder=other)
    assert "changed since: welder" in changed_since_approval(type(made).objects.get())


def test_what_the_program_changes_itself_is_no_fault(
    passed: ProcedureTest, author: User, approver: User
) -> None:
    later = start_revision(passed, author, "The report number was wrong.")
    assert changed_since_approval(later) == ""
    approve(later, author, approver)
    apply("withdraw", later, approver, "The laboratory recalled its report.")
    aside = start_revision(later, author, "Once more.")
    apply("set_aside", aside, author, "Not needed.")
    assert [changed_since_approval(each) for each in ProcedureTest.objects.all()] == ["", "", ""]


def test_a_procedure_is_found_too_and_its_document_is_not_made(
    passed: ProcedureTest, author: User, approver: User, author_client: Client
) -> None:
    made = spec(author, passed)
    approve(made, author, approver)
    by_sql("UPDATE wps_spec SET lines = '[]'")
    tasks.run_all()
    made = Spec.objects.get()
    assert "changed since: lines" in changed_since_approval(made)
    document = document_for(made)
    assert document is not None
    assert not document.is_stored
    task = tasks.BackgroundTask.objects.get(kind="issue", subject_id=document.pk)
    assert task.state == TaskState.FAILED
    assert "changed since: lines" in task.message
    assert "Not what was approved" in author_client.get(made.get_absolute_url()).content.decode()
