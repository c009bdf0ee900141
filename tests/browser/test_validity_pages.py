"""Way, confirmation, prolongation and the sheet of confirmations, in a real browser: accessible and inside a
phone's screen."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from qualification.models import Shop
from tests.conftest import DESKTOP, PHONE
from tests.validity_records import STEEL, made

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_a_test_is_given_its_way_confirmed_and_prolonged(
    width: int,
    shop: Shop,
    author: User,
    approver: User,
    open_page: Callable[..., Page],
    assert_accessible: Callable[[Page], None],
) -> None:
    today = timezone.localdate()
    record = made(author, STEEL, welded_on=today - timedelta(days=100))
    page = open_page(record.get_absolute_url(), width=width, as_person=approver)
    assert_accessible(page)
    page.get_by_role("link", name="State the way").click()
    page.get_by_label("9.3 b:").check()
    page.get_by_label("Stated on").fill(today.isoformat())
    assert_accessible(page)
    page.get_by_role("button", name="Put it on record").click()
    page.get_by_role("link", name="Prolong", exact=True).click()
    page.get_by_role("button", name="Put it on record").click()
    expect(page.get_by_role("alert")).to_contain_text("Weld 1 report is missing.")
    assert_accessible(page)
    page.goto(page.url.replace(f"{record.get_absolute_url()}prolong/", "/welders/confirmations/"))
    page.get_by_label("Day of confirmation").fill(today.isoformat())
    page.get_by_label("Signed as").select_option("coordinator")
    page.get_by_label("GMAW").check()
    assert_accessible(page)
    page.get_by_role("button", name="Put the ticked confirmations on record").click()
    expect(page.get_by_role("alert")).to_contain_text(
        "Work seen for WT-021 of Anouk Berglund (AB) is missing."
    )
    assert_accessible(page)
    page.get_by_label("Work seen for WT-021").fill("Job J-3107, weld map 2")
    page.get_by_role("button", name="Put the ticked confirmations on record").click()
    page.goto(page.url.replace("/welders/", record.get_absolute_url()))
    expect(page.locator("main")).to_contain_text("Job J-3107, weld map 2")
    assert_accessible(page)
