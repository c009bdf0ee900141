"""Approved and not signed yet: said wherever the state of a record is, until its document is signed."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from qualification.models import Record
from qualification.models.record import mark_unsigned
from tests import shop_records
from tests.documents.papers import (
    APPROVER_PASSPHRASE,
    AUTHOR_PASSPHRASE,
    approved_spec,
    approved_test,
    certificates,
    issued,
    small_html,
)
from wps.documents.taking_signatures import sign_document
from wps.models import Spec

pytestmark = pytest.mark.usefixtures("shop")


@pytest.fixture(autouse=True)
def _small_documents(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wps.documents.render.render_html", small_html)


def pages_of(record: Record, client: Client) -> list[str]:
    list_page = "/procedures/" if isinstance(record, Spec) else "/procedure-tests/"
    return [client.get(path).content.decode() for path in (record.get_absolute_url(), list_page)]


def test_an_approved_record_is_unsigned_until_the_last_signature(
    author: User, approver: User, reader_client: Client
) -> None:
    certificates(author, approver)
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    for record in (test, spec):
        document = issued(record)
        assert all("Approved, unsigned" in page for page in pages_of(record, reader_client))
        document = sign_document(document, author, AUTHOR_PASSPHRASE)
        assert "Approved, unsigned" in reader_client.get(document.get_absolute_url()).content.decode()
        sign_document(document, approver, APPROVER_PASSPHRASE)
        assert "Approved, unsigned" not in pages_of(record, reader_client)[0]
    assert "Approved, unsigned" not in pages_of(spec, reader_client)[1]


def test_a_draft_is_a_draft(author: User) -> None:
    assert shop_records.procedure_test(author, "PT-020", state="draft").state_words == "Draft"


def test_a_list_of_records_is_looked_up_in_one_go(
    author: User, approver: User, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    records = [approved_test(author, approver, number) for number in ("PT-030", "PT-031", "PT-032")]
    with django_assert_num_queries(1):
        mark_unsigned(records)
        assert [each.state_words for each in records] == ["Approved, unsigned"] * 3


def test_the_setting_is_off_until_the_shop_page_sets_it(approver_client: Client) -> None:
    page = approver_client.get("/shop/").content.decode()
    assert "Unsigned documents may go into packets" in page
    assert 'name="unsigned_in_packets" checked' not in page
