"""The shell in a real browser: accessible, and usable on a phone, in both colour schemes."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page

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
    assert page.locator("h1").count() == 1
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
    assert summary.evaluate("element => element === document.activeElement")
    assert_accessible(page)
    summary.get_by_role("link", name="E-mail has no full address").click()
    assert page.get_by_label("E-mail").evaluate("element => element === document.activeElement")
    assert page.get_by_label("E-mail").input_value() == "no address"


def test_a_phone_opens_the_menu_without_any_script(open_page: OpenPage, approver: User, shop: Shop) -> None:
    page = open_page("/", width=PHONE, as_person=approver)
    menu = page.locator("details.zones-menu")
    assert not menu.get_by_role("link", name="Shop").is_visible()
    menu.locator("summary").click()
    menu.get_by_role("link", name="Shop").click()
    assert page.locator("h1").inner_text() == "Shop"


def test_the_keyboard_reaches_the_content_first(open_page: OpenPage, approver: User, shop: Shop) -> None:
    page = open_page("/shop/", as_person=approver)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_signing_in_and_out(open_page: OpenPage, author: User) -> None:
    author.set_password("eleven metres of handrail")
    author.save()
    page = open_page("/sign-in/", width=PHONE)
    page.get_by_label("Sign-in name").fill("maren")
    page.get_by_label("Password").fill("eleven metres of handrail")
    page.get_by_role("button", name="Sign in").click()
    assert page.locator("h1").inner_text() == "Today"
    page.get_by_role("button", name="Sign out").click()
    assert page.locator("h1").inner_text() == "Sign in"


def test_the_text_is_set_in_the_bundled_fonts(open_page: OpenPage) -> None:
    page = open_page("/sign-in/")
    page.evaluate("document.fonts.ready.then(() => true)")
    fonts = page.evaluate("[...document.fonts].map(font => [font.family, font.status])")
    assert any("Plex Sans" in family and status == "loaded" for family, status in fonts)
