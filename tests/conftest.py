"""Fixtures shared by all tests: a database of its own, the cast of the shop, and a real browser."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as django_settings
from django.contrib.auth.models import User
from django.db import connection, connections
from django.test import Client, TransactionTestCase, override_settings
from hypothesis import settings as hypothesis_settings
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright
from pytest_django import Settings
from pytest_django.live_server_helper import LiveServer

from qualification.models import Shop
from qualification.records import audit_guard
from qualification.roles import READER
from tests import cast
from tests.access.walk import breaches_of
from tests.browser.settling import settled
from tests.folded_pages import folded
from tests.kept import places

# The browser's driver runs an event loop in this thread; the tests' own database calls there are harmless.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

# A busy machine is no defect: how long one example takes is not what a property test is about. The same tree
# is shown the same examples each time, so that a failure is of the change; `--hypothesis-profile=other` draws
# others.
hypothesis_settings.register_profile("same", deadline=None, derandomize=True)
hypothesis_settings.register_profile("other", deadline=None)
hypothesis_settings.load_profile("same")

# Nor is it what a browser test is about: an expectation fails when the page will not come to it, not because
# the machine was busy.
expect.set_options(timeout=60_000)

# A page that was told to open another one says so at once, so that axe does not look at the one it leaves.
NOTE_LEAVING = """
navigation.addEventListener("navigate", event => {
  if (!event.destination.sameDocument && event.downloadRequest === null) window.leaving = true;
});
"""
HAS_ARRIVED = "document.readyState === 'complete' && !window.leaving"
DESKTOP, PHONE = 1280, 390
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser test that fails is tried once more, and the run lists it: what hangs on which of two
    programs is faster is no defect of the page, and a defect fails twice."""
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.flaky(reruns=1))


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """With SQLite, test on a file: the live server's threads then lock each other as they do in the shop."""
    settings_dict = connections["default"].settings_dict
    if settings_dict["ENGINE"] == "django.db.backends.sqlite3":
        settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")
        # A test database need not survive a power cut.
        pragmas = settings_dict["OPTIONS"]["init_command"]
        settings_dict["OPTIONS"]["init_command"] = pragmas.replace("synchronous=FULL", "synchronous=OFF")


@pytest.fixture(scope="session", autouse=True)
def _folded_pages() -> Iterator[None]:
    """The client answers with pages whose line ends are folded."""
    request = Client.request

    def answer(self: Client, **asked: Any) -> Any:
        response = request(self, **asked)
        if not response.streaming and response.headers.get("Content-Type", "").startswith("text/html"):
            response.content = folded(response.content.decode()).encode()
        return response

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Client, "request", answer)
        yield


@pytest.fixture(scope="session", autouse=True)
def _quick_passwords() -> Iterator[None]:
    with override_settings(PASSWORD_HASHERS=["tests.passwords.QuickArgon2"]):
        yield


@pytest.fixture(autouse=True)
def _own_uploads(settings: Settings, tmp_path: Path) -> None:
    for name, place in places(tmp_path).items():
        setattr(settings, name, place)


@pytest.fixture(scope="session", autouse=True)
def _emptied_past_the_guard() -> Iterator[None]:
    """A test that commits empties the tables behind it, which the guard of the audit trail refuses."""
    empty = TransactionTestCase._fixture_teardown

    def past_the_guard(case: TransactionTestCase) -> None:
        audit_guard.remove(connection)
        empty(case)
        audit_guard.install(connection)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", past_the_guard)
        yield


@pytest.fixture
def shop(db: None) -> Shop:
    """The invented shop."""
    return cast.shop()


@pytest.fixture
def author(db: None) -> User:
    """Maren writes procedures."""
    return cast.author()


@pytest.fixture
def approver(shop: Shop) -> User:
    """Tobias approves them, for a shop that has a name to put on them."""
    return cast.approver()


@pytest.fixture
def reader(db: None) -> User:
    """Ilse reads them."""
    return cast.person("ilse", "Ilse", "Varga", READER)


@pytest.fixture
def administrator(db: None) -> User:
    """Hedda adds people and grants roles."""
    return cast.person("hedda", "Hedda", "Brandsma", is_superuser=True)


@pytest.fixture
def outsider(db: None) -> User:
    """Someone with a sign-in but no role yet."""
    return cast.person("pim", "Pim", "Achterberg")


@pytest.fixture
def signed_in() -> Callable[[User], Client]:
    """Return a function: person -> a test client signed in as that person."""

    def client_of(person: User) -> Client:
        client = Client()
        client.force_login(person)
        return client

    return client_of


@pytest.fixture
def author_client(author: User, signed_in: Callable[[User], Client]) -> Client:
    return signed_in(author)


@pytest.fixture
def approver_client(approver: User, signed_in: Callable[[User], Client]) -> Client:
    return signed_in(approver)


@pytest.fixture
def reader_client(reader: User, signed_in: Callable[[User], Client]) -> Client:
    return signed_in(reader)


@pytest.fixture
def administrator_client(administrator: User, signed_in: Callable[[User], Client]) -> Client:
    return signed_in(administrator)


def _chromium() -> str:
    names = [os.environ.get("CHROME", ""), "chromium", "chromium-browser", "google-chrome"]
    for name in names:
        if name and (path := shutil.which(name)):
            return path
    pytest.fail("No browser found. Run ./test, which installs one, or set CHROME to the one you have.")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One real browser for the tests of a file. While it is open its driver runs an event loop in this
    thread, in which nothing that starts a loop of its own, such as signing, can run; so it does not outlive
    the file."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=_chromium(), args=CHROMIUM_FLAGS)
        yield browser
        browser.close()


def _is_complaint(message: ConsoleMessage) -> bool:
    """A refused step answers 409 and a refused form 422, which the browser logs like a failure; the page
    itself says what was refused."""
    return message.type == "error" and not any(f"{status} (" in message.text for status in (409, 422))


@pytest.fixture
def open_page(
    browser: Browser, live_server: LiveServer, signed_in: Callable[[User], Client]
) -> Iterator[Callable[..., Page]]:
    """Return a function: (path, width, as_person, dark) -> a browser page on the live server.

    A complaint on the browser's console, such as a refused style, fails the test.
    """
    contexts, complaints = [], []

    def open_at(path: str, width: int = DESKTOP, as_person: User | None = None, dark: bool = False) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 844}, color_scheme="dark" if dark else "light"
        )
        contexts.append(context)
        context.add_init_script(NOTE_LEAVING)
        if as_person is not None:
            cookie = signed_in(as_person).cookies[django_settings.SESSION_COOKIE_NAME]
            context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
        page = context.new_page()
        page.on("console", lambda message: _is_complaint(message) and complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(live_server.url + path)
        return page

    yield open_at
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def assert_accessible() -> Callable[[Page], None]:
    """Return a function that fails when axe finds a breach of WCAG 2.2 AA, or the page scrolls sideways, and
    goes on finding it once the page has come to rest."""

    def look(page: Page) -> list[str]:
        settled(page, lambda: page.evaluate(HAS_ARRIVED), bool)
        return breaches_of(page)

    def check(page: Page) -> None:
        assert settled(page, lambda: look(page), lambda found: not found, looks=3, between_ms=500) == []

    return check
