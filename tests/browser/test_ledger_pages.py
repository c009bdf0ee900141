"""The ledger of the code tables in a real browser: accessible, and a correction shown before it is saved."""

import re
from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.models import Shop, TableCheck
from tests.conftest import DESKTOP, PHONE
from tests.pages.test_table_checks import url
from tests.shop_records import procedure_test, spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_a_correction_is_walked_through(
    width: int, shop: Shop, author: User, approver: User, open_page: OpenPage, assert_accessible: Check
) -> None:
    spec(author, procedure_test(author), joint={"preheat_min": "0 °F"})
    page = open_page("/code-tables/?clause=QW-406.1", width=width, as_person=approver)
    assert_accessible(page)
    page.get_by_role("link", name="Check against our copy QW-406.1").click()
    expect(page.locator("h1")).to_have_count(1)
    page.get_by_role("button", name="Confirm").click()
    expect(page.get_by_role("alert")).to_contain_text("Enter which copy of the code")
    assert_accessible(page)
    page.get_by_label("Checked on").fill("2026-01-15")
    page.get_by_label("Which copy").fill("2023 edition, office copy 2")
    page.get_by_label("Allowance, inch units").fill("10 °F")
    page.get_by_role("button", name="Confirm").click()
    expect(page.get_by_role("heading", name="What the correction changes")).to_be_visible()
    expect(page.locator("table", has_text="Answer before")).to_contain_text("W-101 rev 0")
    assert_accessible(page)
    page.get_by_role("button", name="Save the correction").click()
    expect(page.locator(".notes")).to_contain_text("2 records on file are judged differently.")
    assert_accessible(page)
    page.get_by_role("link", name="Take back the check").click()
    assert_accessible(page)
    page.get_by_label("Reason").fill("Read in the wrong column.")
    page.get_by_role("button", name="Take the check back").click()
    expect(page.locator("table", has_text="Checked by")).to_contain_text(
        "Taken back: Read in the wrong column."
    )
    assert TableCheck.objects.get().taken_back_because
    expect(page).to_have_url(re.compile(re.escape(url()) + "$"))
