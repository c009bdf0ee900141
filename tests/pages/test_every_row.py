"""Every row of the code, asked about a stored test and about a procedure with its tests: on a page and on
paper."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.asserts import assertContains

from qualification.models import State
from qualification.records.approving import obstacles_to_approval
from qualification.rules.core.program import program
from qualification.rules.editions.edition_facts import kind_of
from qualification.rules.editions.loader import edition
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.procedures.approval import judgement_of
from wps.views.code_decisions import open_questions

pytestmark = pytest.mark.django_db
MADE = edition("asme_ix_2023")


def test_a_test_is_asked_every_row_of_its_side(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    assertContains(reader_client.get(test.get_absolute_url()), reverse("procedure_test_rows", args=[test.pk]))
    answer = reader_client.get(reverse("procedure_test_rows", args=[test.pk]))
    (table,) = answer.context["tables"]
    assert len(table.rows) == len(MADE.procedure)
    assertContains(answer, MADE.fingerprint[:16])
    assertContains(answer, kind_of(MADE).words)
    assertContains(answer, "Speaks of SAW only.")
    of_welder = welder_test(author, welder())
    answer = reader_client.get(reverse("welder_test_rows", args=[of_welder.pk]))
    (table,) = answer.context["tables"]
    assert len(table.rows) == len(MADE.welder)


def test_a_procedure_is_held_against_every_row_of_its_test(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.DRAFT)
    assertContains(reader_client.get(made.get_absolute_url()), reverse("procedure_rows", args=[made.pk]))
    answer = reader_client.get(reverse("procedure_rows", args=[made.pk]))
    (table,) = answer.context["tables"]
    judged = [row for row in table.rows if row.verdict]
    assert {row.key for row in judged} == {"spoke"}
    assert {row.verdict for row in judged} <= {"covered", "unknown", "no_rule"}


def test_a_procedure_without_a_test_says_that_no_row_was_asked(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.DRAFT)
    made.tests.clear()
    assertContains(reader_client.get(reverse("procedure_rows", args=[made.pk])), "no row was asked")


def printed(client: Client, record: Any) -> str:
    answer = client.get(reverse("document", args=[record.KIND.replace(" ", "-"), record.pk]), {"rows": "1"})
    assert answer["Content-Type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(b"".join(answer))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_paper_has_every_row_with_the_tables_it_was_asked_by(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    made = spec(author, test, state=State.DRAFT)
    for record, rows in ((test, MADE.procedure), (made, MADE.procedure)):
        words = printed(reader_client, record)
        assert MADE.fingerprint in words.replace(" ", "")
        assert kind_of(MADE).words in words
        assert program() in words
        assert f"{len(rows)} rows:" in words
        assert "Speaks of SAW only." in words
        assert "replaces no line of it" in words
        page = reader_client.get(f"{record.get_absolute_url()}rows/")
        assertContains(page, f"{reverse('document', args=[record.KIND.replace(' ', '-'), record.pk])}?rows=1")


def test_under_a_content_list_the_paper_says_that_no_row_judges(reader_client: Client, author: User) -> None:
    test = procedure_test(author, state=State.DRAFT, edition="aws_b2_1_2021")
    assert "AWS B2.1/B2.1M, 2021 is here as a content list only" in printed(reader_client, test)
    assertContains(reader_client.get(reverse("procedure_test_rows", args=[test.pk])), "content list only")
    page = reader_client.get(test.get_absolute_url())
    assertContains(page, "no rule of it is encoded, so nothing is covered under it")
    made = spec(author, test, state=State.DRAFT, edition="aws_b2_1_2021")
    assertContains(reader_client.get(made.get_absolute_url()), "content list only")


def test_a_record_under_a_content_list_stays_a_draft_and_says_what_to_do(
    author: User, approver: User, approver_client: Client
) -> None:
    test = procedure_test(author, state=State.DRAFT, edition="aws_b2_1_2021")
    made = spec(author, test, state=State.DRAFT, edition="aws_b2_1_2021")
    for record in (test, made):
        assert any("stays a draft" in each for each in obstacles_to_approval(record))
        assert not any("Decide by the code" in each for each in obstacles_to_approval(record))
    assert open_questions(judgement_of(made), "us") == []
    assertContains(approver_client.get(test.get_absolute_url()), "Under other editions")
