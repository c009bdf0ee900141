"""A procedure on a superseded revision of a test says so and offers the later one."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from qualification.models import AuditEntry, ProcedureTest, Shop, State
from qualification.records.approving import frozen_content
from tests.shop_records import procedure_test, spec
from wps.models import Spec

pytestmark = pytest.mark.django_db


@pytest.fixture
def revised(author: User, shop: Shop) -> tuple[Spec, ProcedureTest]:
    old = procedure_test(author)
    made = spec(author, old, procedure_test(author, "PT-015"))
    ProcedureTest.objects.filter(pk=old.pk).update(state=State.SUPERSEDED)
    return made, procedure_test(author, revision=1)


def test_the_page_names_both_and_the_draft_is_put_on_the_later_one(
    revised: tuple[Spec, ProcedureTest], author_client: Client
) -> None:
    made, newer = revised
    page = author_client.get(made.get_absolute_url()).content.decode()
    assert newer.get_absolute_url() in page
    assert f"/procedures/{made.pk}/newer-tests/" in page
    author_client.post(f"/procedures/{made.pk}/newer-tests/")
    assert sorted(test.reference for test in made.tests.all()) == ["PT-014 rev 1", "PT-015 rev 0"]
    assert "PT-014 rev 0 replaced by PT-014 rev 1" in str(AuditEntry.objects.latest("id").data)
    assert "superseded-title" not in author_client.get(made.get_absolute_url()).content.decode()


def test_an_approved_procedure_says_so_and_is_left_as_it_was(
    revised: tuple[Spec, ProcedureTest], author_client: Client
) -> None:
    made, _ = revised
    Spec.objects.filter(pk=made.pk).update(state=State.APPROVED, snapshot=frozen_content(made))
    page = author_client.get(made.get_absolute_url()).content.decode()
    assert "superseded-title" in page
    assert "/newer-tests/" not in page
    assert author_client.post(f"/procedures/{made.pk}/newer-tests/").status_code == 404


def test_a_test_superseded_without_a_later_approved_revision_offers_nothing(
    author: User, shop: Shop, author_client: Client
) -> None:
    old = procedure_test(author)
    made = spec(author, old)
    ProcedureTest.objects.filter(pk=old.pk).update(state=State.SUPERSEDED)
    assert "superseded-title" not in author_client.get(made.get_absolute_url()).content.decode()
