"""The pages of papers in a real browser: readable by everyone, on a desk and on a phone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page

from tests.documents.papers import approved_test, certificates, issued
from wps.documents.codes import new_code
from wps.models import Packet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("shop")]


@pytest.mark.parametrize("width", [1280, 390])
def test_the_pages_of_papers_are_accessible(
    open_page: Callable[..., Page], assert_accessible: Callable[[Page], None], author: User, approver: User, width: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from tests.documents.papers import small_html

    monkeypatch.setattr("wps.documents.render.render_html", small_html)
    certificates(author, approver)
    document = issued(approved_test(author, approver))
    packet = Packet.objects.create(number="P-001", title="Gangway", recipient="Port Ellery", code=new_code(), made_by=author, made_by_name="Maren")
    for address in (
        document.get_absolute_url(), "/certificate/", "/verify/", f"/verify/{document.code}/", "/packets/", "/packets/new/", packet.get_absolute_url(),
        "/attachments/", "/attachments/add/", "/",
    ):
        assert_accessible(open_page(address, width, author))
