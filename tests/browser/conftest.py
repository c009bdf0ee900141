"""What browser tests share."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from tests.conftest import PHONE


@pytest.fixture
def phone(
    browser: Browser, live_server: LiveServer, signed_in: Callable[[User], Client]
) -> Iterator[Callable[..., Page]]:
    """As `open_page`, for tests that cut the connection: what the browser and htmx say of that is no
    complaint."""
    contexts, complaints = [], []

    def open_at(path: str, person: User) -> Page:
        context = browser.new_context(viewport={"width": PHONE, "height": 844})
        contexts.append(context)
        cookie = signed_in(person).cookies[settings.SESSION_COOKIE_NAME]
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
        page = context.new_page()
        page.on(
            "console",
            lambda said: (
                said.type == "error"
                and not said.text.startswith(("Failed to load", "htmx:"))
                and complaints.append(said.text)
            ),
        )
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(live_server.url + path)
        return page

    yield open_at
    for context in contexts:
        context.close()
    assert complaints == []
