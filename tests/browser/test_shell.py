"""The shell in a real browser: accessible, and usable on a phone, in both colour schemes."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.models import Shop
from tests.conftest import DESKTOP, PHONE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("path", ["/", "/shop/", "/shop/people/", "/shop/people/new/", "/password/"])
def test_pages_are_accessible(
    path: str,
    dark: bool,
    width: int,
    open_page: OpenPage,
    assert_accessible: Check,
    administrator: User,
    shop: Shop,
) -> None:
    page = open_page(path, width=width, as_person=administrator, dark=dark)
    expect(page.locator("h1")).to_have_count(1)
    assert_accessible(page)


@pytest.mark.parametrize(
    ("path", "width", "dark"), [("/first-paper/", DESKTOP, True), ("/help/joint/", PHONE, False)]
)
def test_the_pages_of_the_first_hour_are_accessible(
    path: str,
    width: int,
    dark: bool,
    open_page: OpenPage,
    assert_accessible: Check,
    administrator: User,
    shop: Shop,
) -> None:
    assert_accessible(open_page(path, width=width, as_person=administrator, dark=dark))


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_the_sign_in_page_is_accessible(
    dark: bool, width: int, open_page: OpenPage, assert_accessible: Check
) -> None:
    assert_accessible(open_page("/sign-in/", width=width, dark=dark))


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_errors_are_accessible_and_take_the_focus(
    width: int, open_page: OpenPage, assert_accessible: Check, approver: User, shop: Shop
) -> None:
    page = open_page("/shop/", width=width, as_person=approver)
    page.get_by_label("Shop name").fill("")
    page.get_by_label("E-mail").fill("no address")
    page.get_by_role("button", name="Save").click()
    summary = page.get_by_role("alert")
    expect(summary).to_be_focused()
    assert_accessible(page)
    summary.get_by_role("link", name="E-mail has no full address").click()
    expect(page.get_by_label("E-mail")).to_be_focused()
    expect(page.get_by_label("E-mail")).to_have_value("no address")


def test_a_phone_opens_the_menu_without_any_script(open_page: OpenPage, approver: User, shop: Shop) -> None:
    page = open_page("/", width=PHONE, as_person=approver)
    menu = page.locator("details.zones-menu")
    expect(menu.get_by_role("link", name="Shop")).to_be_hidden()
    menu.locator("summary").click()
    menu.get_by_role("link", name="Shop").click()
    expect(page.locator("h1")).to_have_text("Shop")


def test_the_keyboard_reaches_the_content_first(open_page: OpenPage, approver: User, shop: Shop) -> None:
    page = open_page("/shop/", as_person=approver)
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_have_text("Skip to the content")
    page.keyboard.press("Enter")
    expect(page.locator(":focus")).to_have_id("main")


def test_signing_in_and_out(open_page: OpenPage, author: User) -> None:
    author.set_password("eleven metres of handrail")
    author.save()
    page = open_page("/sign-in/", width=PHONE)
    page.get_by_label("Sign-in name").fill("maren")
    page.get_by_label("Password").fill("eleven metres of handrail")
    page.get_by_role("button", name="Sign in").click()
    expect(page.locator("h1")).to_have_text("Today")
    page.get_by_role("button", name="Sign out").click()
    expect(page.locator("h1")).to_have_text("Sign in")


def test_the_text_is_set_in_the_bundled_fonts(open_page: OpenPage) -> None:
    page = open_page("/sign-in/")
    page.evaluate("async () => { await document.fonts.ready }")
    fonts = page.evaluate("[...document.fonts].map(font => [font.family, font.status])")
    assert any("Plex Sans" in family and status == "loaded" for family, status in fonts)
