"""Records under other editions, in a real browser: accessible, and moved only by a visible act."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.models import ProcedureTest, Shop, State
from tests.conftest import DESKTOP, PHONE
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.models import Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_a_procedure_is_looked_at_under_another_edition_and_moved(
    width: int, shop: Shop, author: User, open_page: OpenPage, assert_accessible: Check
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED)
    page = open_page(made.get_absolute_url(), width=width, as_person=author)
    page.get_by_text("More", exact=True).click()
    page.get_by_role("link", name="Judge under another edition").click()
    assert_accessible(page)
    page.get_by_label("Edition").select_option("aws_d1_2_2014")
    page.get_by_role("button", name="Show what changes").click()
    expect(page.get_by_role("heading", name="Under AWS D1.2")).to_be_visible()
    assert_accessible(page)
    assert Spec.objects.count() == 1
    page.get_by_text("from now on").click()
    page.get_by_label("What it changes").fill("")
    page.get_by_role("button", name="Start the revision").click()
    expect(page.get_by_role("alert")).to_contain_text("Say in one sentence what the new revision changes.")
    assert_accessible(page)
    page.get_by_label("What it changes").fill("The customer asks for D1.2.")
    page.get_by_role("button", name="Start the revision").click()
    expect(page.locator(".notes")).to_contain_text("W-101 rev 1 is a draft under AWS D1.2")


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_one_coupon_is_read_under_several_codes(
    width: int, shop: Shop, author: User, open_page: OpenPage, assert_accessible: Check
) -> None:
    test, of_welder = procedure_test(author), welder_test(author, welder())
    page = open_page(of_welder.get_absolute_url(), width=width, as_person=author)
    page.get_by_text("More", exact=True).click()
    page.get_by_role("link", name="Under other editions").click()
    assert_accessible(page)
    page.goto(page.url.replace(of_welder.get_absolute_url(), test.get_absolute_url()))
    expect(page.locator("h1")).to_have_count(1)
    expect(page.get_by_role("heading", name="Ranges side by side")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Counts as it stands")
    assert_accessible(page)
    page.get_by_text("Judge under it from now on: AWS D1.2").click()
    assert_accessible(page)
    page.locator("details[open]").get_by_role("button", name="Start the revision").click()
    expect(page.locator(".notes")).to_contain_text("PT-014 rev 1 is a draft under AWS D1.2")
    assert ProcedureTest.objects.count() == 2
