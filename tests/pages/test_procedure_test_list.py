"""The list of procedure tests."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import ProcedureTest, State
from qualification.records import workflow
from tests.shop_records import RESULTS, approve, procedure_test, welder


@pytest.fixture
def three(author: User, approver: User) -> list[ProcedureTest]:
    """One approved, one that failed its bends, one still at the laboratory."""
    passed = procedure_test(author, state=State.DRAFT, welded_on=date(2026, 3, 4))
    approve(passed, author, approver)
    failed = procedure_test(
        author,
        "PT-015",
        State.DRAFT,
        title="Handrail post",
        welder=welder("BD", "Bo Delacroix"),
        results=[{**row, "openings": "3/16"} if row["kind"] == "root_bend" else row for row in RESULTS],
    )
    waiting = procedure_test(
        author, "PT-016", State.DRAFT, title="Hull patch", results=RESULTS[:1], spec_followed="W-300 rev 1"
    )
    return [passed, failed, waiting]


def numbers(answer: Any) -> set[str]:
    return {row.record.number for row in answer.context["rows"]}


def test_each_record_stands_with_its_result_and_what_it_qualifies(
    reader_client: Client, three: list[ProcedureTest]
) -> None:
    answer = reader_client.get(reverse("procedure_test_list"))
    assertContains(answer, "P-23 to P-23")
    assertContains(answer, "1/16 to 1/2 in (1.59 to 12.7 mm)*")
    assertContains(answer, "* On a condition")
    assertContains(answer, "It opened 3/16 in, more than 1/8 in.")
    assertContains(answer, "Still missing: 1 tension test.")
    assertContains(answer, "Anouk Berglund (AB)")
    assertContains(answer, "was written down from memory")


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "PT-015"}, {"PT-015"}),
        ({"q": "hull"}, {"PT-016"}),
        ({"q": "delacroix"}, {"PT-015"}),
        ({"q": "W-300"}, {"PT-016"}),
        ({"q": "pt hull"}, {"PT-016"}),
        ({"q": "nobody"}, set()),
        ({"state": "approved"}, {"PT-014"}),
        ({"state": "draft"}, {"PT-015", "PT-016"}),
        ({"state": "withdrawn"}, set()),
        ({"result": "passed"}, {"PT-014"}),
        ({"result": "failed"}, {"PT-015"}),
        ({"result": "incomplete"}, {"PT-016"}),
        ({"result": "failed", "q": "hull"}, set()),
        ({"state": "no such state"}, {"PT-014", "PT-015", "PT-016"}),
    ],
)
def test_records_are_found_by_text_state_and_result(
    query: dict[str, str], found: set[str], reader_client: Client, three: list[ProcedureTest]
) -> None:
    answer = reader_client.get(reverse("procedure_test_list"), query)
    assert numbers(answer) == found
    if not found:
        assertContains(answer, "No procedure test fits.")


def test_only_the_newest_revision_is_listed_and_the_approved_one_still_found(
    reader_client: Client, three: list[ProcedureTest], author: User
) -> None:
    workflow.start_revision(three[0], author, "The report number was wrong.")
    rows = reader_client.get(reverse("procedure_test_list"), {"q": "PT-014"}).context["rows"]
    assert [row.record.revision for row in rows] == [1]
    rows = reader_client.get(reverse("procedure_test_list"), {"state": "approved"}).context["rows"]
    assert [row.record.revision for row in rows] == [0]


def test_an_empty_list_says_what_to_do_to_those_who_can(author_client: Client, reader_client: Client) -> None:
    assertContains(
        author_client.get(reverse("procedure_test_list")), "Start the first one with a welded coupon at hand."
    )
    answer = reader_client.get(reverse("procedure_test_list"))
    assertContains(answer, "There is no procedure test yet.")
    assertNotContains(answer, reverse("procedure_test_add"))


def test_a_record_whose_tables_are_gone_is_listed_and_not_judged(reader_client: Client, author: User) -> None:
    procedure_test(author, state=State.DRAFT, edition="ex1_2031")
    answer = reader_client.get(reverse("procedure_test_list"))
    assertContains(answer, "The tables of ex1_2031 are not installed here.")
    assertContains(answer, "Not judged")
