"""Nothing typed is lost: the sign-in ends, the connection drops, the program is away, a form gets lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from qualification.models import Shop, Welder
from tests.cast import PASSWORD, with_password
from tests.conftest import DESKTOP
from tests.shop_records import part
from wps.models import Job, Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LONG_OPEN = "03:00"
"""A form open for so long is sent only after the script has asked for the server and the sign-in."""


@pytest.fixture
def maren(author: User) -> User:
    return with_password(author)


@pytest.fixture
def desk(
    browser: Browser, live_server: LiveServer, maren: User, shop: Shop, signed_in: Callable[[User], Client]
) -> Iterator[Page]:
    """A page of somebody signed in, whose clock the test sets. What a browser says of a lost connection or an
    ended sign-in is no complaint; what goes wrong in a script is."""
    complaints: list[str] = []
    with browser.new_context(viewport={"width": DESKTOP, "height": 844}) as context:
        cookie = signed_in(maren).cookies[settings.SESSION_COOKIE_NAME]
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
        page = context.new_page()
        page.clock.install()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        yield page
    assert complaints == []


def test_the_sign_in_ends_while_one_types(
    desk: Page, live_server: LiveServer, assert_accessible: Callable[[Page], None]
) -> None:
    desk.goto(f"{live_server.url}/jobs/new/")
    desk.get_by_label("Title").fill("Rail for the pilot ladder")
    Session.objects.all().delete()
    desk.clock.fast_forward(LONG_OPEN)
    desk.get_by_role("button", name="Save").click()
    over = desk.get_by_role("dialog")
    expect(over.get_by_label("Sign-in name")).to_have_value("maren")
    assert_accessible(desk)
    over.get_by_label("Password").fill("guessed")
    over.get_by_role("button", name="Sign in and go on").click()
    expect(over.get_by_role("alert")).to_contain_text("do not belong together")
    over.get_by_label("Password").fill(PASSWORD)
    over.get_by_role("button", name="Sign in and go on").click()
    expect(desk.get_by_role("status").first).to_contain_text("is saved")
    assert Job.objects.get().title == "Rail for the pilot ladder"

    # So does the grid of welds, which sends each cell by itself.
    made = Job.objects.get()
    weld = part(made, "W-1")
    desk.goto(f"{live_server.url}{reverse('weld_list', args=[made.pk])}")
    Session.objects.all().delete()
    desk.locator("td[data-key=thickness_a]").first.click()
    desk.keyboard.type("3/8")
    desk.keyboard.press("Enter")
    over.get_by_label("Password").fill(PASSWORD)
    over.get_by_role("button", name="Sign in and go on").click()
    expect(desk.locator("#grid-state", has_text="Saved.")).to_be_visible()
    weld.refresh_from_db()
    assert weld.joint["thickness_a"] == "3/8"

    # In an editor the check under way notices it, and goes on after signing in.
    desk.goto(f"{live_server.url}/procedures/new/")
    Session.objects.all().delete()
    desk.get_by_label("Title").fill("Ladder stiles")
    desk.clock.fast_forward(1000)
    over.get_by_label("Password").fill(PASSWORD)
    over.get_by_role("button", name="Sign in and go on").click()
    expect(over).to_be_hidden()
    desk.get_by_role("button", name="Save draft").click()
    expect(desk.get_by_role("status").first).to_contain_text("is saved")
    assert Spec.objects.get().title == "Ladder stiles"


def test_the_connection_drops_and_comes_back(desk: Page, live_server: LiveServer) -> None:
    desk.goto(f"{live_server.url}/welders/new/")
    desk.get_by_label("Name").fill("Rosa Lindqvist")
    desk.get_by_label("Stamp").fill("RL")
    desk.context.set_offline(True)
    desk.get_by_role("button", name="Save").click()
    bar = desk.locator(".kept-bar")
    expect(bar).to_contain_text("is sent as soon as it answers")
    desk.context.set_offline(False)
    expect(desk.get_by_role("status").first).to_contain_text("is saved")
    assert Welder.objects.get().name == "Rosa Lindqvist"

    # The program is stopped and started again while a form is sent; nothing of it arrived.
    welder = Welder.objects.get()
    desk.goto(f"{live_server.url}/welders/{welder.pk}/edit/")
    desk.get_by_label("Name").fill("Rosa Lindqvist-Aho")
    desk.route("**/edit/", lambda route: route.abort("connectionrefused"))
    desk.get_by_role("button", name="Save").click()
    expect(desk.get_by_label("Name")).to_be_hidden()
    desk.unroute("**/edit/")
    desk.goto(f"{live_server.url}/welders/{welder.pk}/edit/")
    expect(desk.get_by_label("Name")).to_have_value("Rosa Lindqvist")
    offered = desk.locator(".kept-offer")
    expect(offered).to_contain_text("was not saved")
    offered.get_by_role("button", name="Put it back").click()
    expect(desk.get_by_label("Name")).to_have_value("Rosa Lindqvist-Aho")
    desk.get_by_role("button", name="Save").click()
    expect(desk.get_by_role("status").first).to_contain_text("is saved")
    desk.goto(f"{live_server.url}/welders/{welder.pk}/edit/")
    expect(desk.get_by_label("Name")).to_have_value("Rosa Lindqvist-Aho")
    expect(offered).to_have_count(0)
