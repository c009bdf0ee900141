"""A passkey made and used in a real browser, with the device that Chromium plays (WebAuthn in its DevTools
protocol)."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from qualification.models import Shop
from wps.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "a gangway of eleven metres"
DEVICE = {
    "protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
    "isUserVerified": True, "automaticPresenceSimulation": True,
}  # fmt: skip


def second_step_page(open_page: Callable[..., Page], person: User) -> Page:
    """The page where passkeys are added, on a machine with a device that answers."""
    person.set_password(PASSWORD)
    person.save()
    page = open_page("/password/second-step/", as_person=person)
    device = page.context.new_cdp_session(page)
    device.send("WebAuthn.enable")
    device.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    return page


def add_passkey(page: Page) -> None:
    page.get_by_label("Name of the device").fill("Office laptop")
    page.locator("form[data-passkey]").get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_role("heading", name="Write these ten recovery codes down now")).to_be_visible()


def test_a_passkey_is_made_and_lets_in(
    open_page: Callable[..., Page], assert_accessible: Callable[[Page], None], author: User, shop: Shop
) -> None:
    page = second_step_page(open_page, author)
    assert_accessible(page)
    add_passkey(page)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Sign-in name").fill(author.username)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_text("Use your passkey, or enter one").first).to_be_visible()
    assert_accessible(page)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in with a passkey as well").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    assert author.passkeys.get().sign_count > 0


def test_over_a_page_a_passkey_lets_in_and_what_was_typed_is_saved(
    open_page: Callable[..., Page],
    assert_accessible: Callable[[Page], None],
    live_server: LiveServer,
    author: User,
    shop: Shop,
) -> None:
    page = second_step_page(open_page, author)
    add_passkey(page)
    page.clock.install()
    page.goto(f"{live_server.url}/jobs/new/")
    page.get_by_label("Title").fill("Rail for the pilot ladder")
    Session.objects.all().delete()
    page.clock.fast_forward("03:00")
    page.get_by_role("button", name="Save").click()
    over = page.get_by_role("dialog")
    by_passkey = over.get_by_role("button", name="Sign in with a passkey as well")
    expect(over.get_by_role("button", name="Sign in and go on")).to_be_visible()
    expect(by_passkey).to_be_hidden()
    over.get_by_label("Password").fill(PASSWORD)
    over.get_by_role("button", name="Sign in and go on").click()
    expect(over.get_by_role("alert")).to_contain_text("Use your passkey, or enter one")
    expect(by_passkey).to_be_focused()
    assert_accessible(page)
    by_passkey.click()
    expect(page.get_by_role("status").first).to_contain_text("is saved")
    assert Job.objects.get().title == "Rail for the pilot ladder"
