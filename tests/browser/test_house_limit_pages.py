"""Limits beyond the code, in a real browser: accessible, and added from the page that lists them."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.models import Shop
from tests.conftest import DESKTOP, PHONE
from tests.shop_records import procedure_test, spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_a_limit_is_added_judged_and_ended(
    width: int, shop: Shop, author: User, approver: User, open_page: OpenPage, assert_accessible: Check
) -> None:
    made = spec(author, procedure_test(author), customer="Port Ellery Harbour Trust")
    page = open_page("/shop/limits/", width=width, as_person=approver)
    assert_accessible(page)
    page.get_by_role("link", name="Add a limit").click()
    assert_accessible(page)
    page.get_by_label("What is limited").select_option("transfer_mode")
    page.get_by_role("button", name="Continue").click()
    expect(page.locator("h1")).to_have_count(1)
    page.get_by_role("button", name="Add the limit").click()
    expect(page.get_by_role("alert")).to_contain_text("Tick at least one that is allowed.")
    assert_accessible(page)
    page.get_by_label("A customer").check()
    page.get_by_label("Customer or job number").fill("Port Ellery Harbour Trust")
    page.get_by_label("Spray", exact=True).check()
    page.get_by_label("Where it stands").fill("Purchase order 7, note 3.")
    page.get_by_role("button", name="Add the limit").click()
    expect(page.locator(".notes")).to_contain_text("It speaks of 1 procedure and 0 jobs on file.")
    assert_accessible(page)
    page.goto(page.url.replace("/shop/limits/", made.get_absolute_url()))
    expect(page.locator(".answer").first).to_contain_text(
        "Not covered: transfer mode (limit of customer Port Ellery Harbour Trust)."
    )
    assert_accessible(page)
    page.go_back()
    page.get_by_role(
        "link", name="End the limit of customer Port Ellery Harbour Trust on Transfer mode"
    ).click()
    page.get_by_label("Reason").fill("The order is delivered.")
    assert_accessible(page)
    page.get_by_role("button", name="End the limit").click()
    expect(page.locator("main")).to_contain_text("No limit beyond the code is in force.")


def test_a_limit_on_a_number_fits_a_phone(
    shop: Shop, approver: User, open_page: OpenPage, assert_accessible: Check
) -> None:
    page = open_page("/shop/limits/new/?variable=interpass_max", width=PHONE, as_person=approver)
    expect(page.get_by_label("The number is allowed to be")).to_have_value("at_most")
    assert_accessible(page)
