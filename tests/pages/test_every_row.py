"""Every row of the code, asked about a stored test and about a procedure with its tests."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.models import State
from qualification.rules.editions.loader import edition
from tests.shop_records import procedure_test, spec, welder, welder_test

pytestmark = pytest.mark.django_db
MADE = edition("asme_ix_2023")


def test_a_test_is_asked_every_row_of_its_side(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    assertContains(reader_client.get(test.get_absolute_url()), reverse("procedure_test_rows", args=[test.pk]))
    answer = reader_client.get(reverse("procedure_test_rows", args=[test.pk]))
    (table,) = answer.context["tables"]
    assert len(table["rows"]) == len(MADE.procedure)
    assertContains(answer, MADE.fingerprint[:16])
    assertContains(answer, "Speaks of SAW only.")
    of_welder = welder_test(author, welder())
    answer = reader_client.get(reverse("welder_test_rows", args=[of_welder.pk]))
    (table,) = answer.context["tables"]
    assert len(table["rows"]) == len(MADE.welder)


def test_a_procedure_is_held_against_every_row_of_its_test(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.DRAFT)
    assertContains(reader_client.get(made.get_absolute_url()), reverse("procedure_rows", args=[made.pk]))
    answer = reader_client.get(reverse("procedure_rows", args=[made.pk]))
    (table,) = answer.context["tables"]
    judged = [row for row in table["rows"] if row.verdict]
    assert {row.key for row in judged} == {"spoke"}
    assert {row.verdict for row in judged} <= {"covered", "unknown", "no_rule"}


def test_a_procedure_without_a_test_says_that_no_row_was_asked(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.DRAFT)
    made.tests.clear()
    assertContains(reader_client.get(reverse("procedure_rows", args=[made.pk])), "no row was asked")
