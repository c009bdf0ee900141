"""A passkey made and used in a real browser, with the device that Chromium plays (WebAuthn in its DevTools
protocol)."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.models import Shop

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "a gangway of eleven metres"
DEVICE = {
    "protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
    "isUserVerified": True, "automaticPresenceSimulation": True,
}  # fmt: skip


def test_a_passkey_is_made_and_lets_in(
    open_page: Callable[..., Page], assert_accessible: Callable[[Page], None], author: User, shop: Shop
) -> None:
    author.set_password(PASSWORD)
    author.save()
    page = open_page("/password/second-step/", as_person=author)
    device = page.context.new_cdp_session(page)
    device.send("WebAuthn.enable")
    device.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    assert_accessible(page)
    page.get_by_label("Name of the device").fill("Office laptop")
    page.locator("form[data-passkey]").get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_role("heading", name="Write these ten recovery codes down now")).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Sign-in name").fill(author.username)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_text("Use your passkey on the sign-in page").first).to_be_visible()
    assert_accessible(page)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in with a passkey as well").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    assert author.passkeys.get().sign_count > 0
