"""The pages of papers in a real browser: readable by everyone, on a desk and on a phone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.documents.papers import AUTHOR_PASSPHRASE, approved_spec, approved_test, certificates, issued
from tests.shop_records import spec
from wps.documents.codes import new_code
from wps.models import IssuedDocument, Packet, Stage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("shop")]


@pytest.mark.parametrize("width", [1280, 390])
def test_the_pages_of_papers_are_accessible(
    open_page: Callable[..., Page],
    assert_accessible: Callable[[Page], None],
    author: User,
    approver: User,
    width: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from tests.documents.papers import small_html

    monkeypatch.setattr("wps.documents.render.render_html", small_html)
    certificates(author, approver)
    document = issued(approved_test(author, approver))
    sheet = spec(author, number="W-105", state="approved")
    packet = Packet.objects.create(
        number="P-001",
        title="Gangway",
        recipient="Port Ellery",
        code=new_code(),
        made_by=author,
        made_by_name="Maren",
    )
    for address in (
        document.get_absolute_url(),
        reverse("shop_sheet", args=[sheet.pk]),
        "/certificate/",
        "/verify/",
        f"/verify/{document.code}/",
        "/packets/",
        "/packets/new/",
        packet.get_absolute_url(),
        "/attachments/",
        "/attachments/add/",
        "/to-sign/",
        "/",
    ):
        assert_accessible(open_page(address, width, author))


def test_several_documents_are_signed_one_after_the_other_and_the_page_says_how_far_it_is(
    open_page: Callable[..., Page], author: User, approver: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tests.documents.papers import small_html

    monkeypatch.setattr("wps.documents.render.render_html", small_html)
    certificates(author, approver)
    test = approved_test(author, approver)
    documents = [issued(test), issued(approved_spec(author, approver, test))]
    page = open_page("/to-sign/", 390, author)
    for document in documents:
        page.get_by_label(f"Sign {document.reference}", exact=True).check()
    page.get_by_label("Passphrase of your certificate").fill("a wrong one")
    page.get_by_role("button", name="Sign what is ticked").click()
    page.get_by_text("0 of 2 signed. Not signed:").wait_for()
    page.get_by_label("Passphrase of your certificate").fill(AUTHOR_PASSPHRASE)
    page.get_by_role("button", name="Sign what is ticked").click()
    page.get_by_text("All 2 signed").wait_for()
    expect(page.get_by_label("Passphrase of your certificate")).to_have_value("")
    assert set(IssuedDocument.objects.values_list("stage", flat=True)) == {Stage.APPROVER}
