"""A form sent after the sign-in ended: kept on the sign-in page, handed back, and sent on by a button."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html import unescape
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.core import signing
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.kept_entries import CAME_BEFORE
from qualification.models import Shop, Welder
from tests.cast import PASSWORD, with_password
from wps.request_limits import MOST_BEFORE_SIGN_IN

ENTRIES = {
    "name": "Rosa <Lindqvist>",
    "stamp": "RL",
    "passphrase": "not this",
    "kept_token": "abcdef0123456789",
}


@pytest.fixture
def maren(author: User) -> User:
    return with_password(author)


def hidden(answer: Any) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in re.findall(
        r'<input type="hidden" name="([^"]*)" value="([^"]*)"', answer.content.decode()
    ):
        found.setdefault(unescape(name), []).append(unescape(value))
    return found


def sign_in(client: Client, page: Any) -> Any:
    kept = {"kept": hidden(page)["kept"]}
    return client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD, **kept})


def test_what_was_sent_too_late_is_handed_back_and_saved(client: Client, maren: User, shop: Shop) -> None:
    page = client.post(reverse("welder_add"), ENTRIES)
    assert page.status_code == 401
    assertContains(page, "Nothing is lost", status_code=401)
    wrong = client.post(
        reverse("sign_in"), {"username": "maren", "password": "guessed", "kept": hidden(page)["kept"]}
    )
    handed = sign_in(client, wrong)
    assertContains(handed, f'action="{reverse("welder_add")}"')
    assertNotContains(handed, "not this")
    back = hidden(handed)
    assert back["name"] == ["Rosa <Lindqvist>"]
    assert client.post(reverse("welder_add"), back).status_code == 302
    assert Welder.objects.get().name == "Rosa <Lindqvist>"


def test_what_was_kept_cannot_be_changed_or_sent_elsewhere(client: Client, maren: User, shop: Shop) -> None:
    kept = hidden(client.post(reverse("welder_add"), ENTRIES))["kept"]
    sent = {"username": "maren", "password": PASSWORD}
    assert client.post(reverse("sign_in"), {**sent, "kept": [*kept, "x"]}).status_code == 302
    elsewhere = signing.dumps(["//elsewhere.example/welders/", [], []], salt="entries kept over a sign-in")
    assert Client().post(reverse("sign_in"), {**sent, "kept": elsewhere}).status_code == 302


def test_scripts_are_told_that_the_sign_in_ended(client: Client, db: None) -> None:
    for headers in ({"HX-Request": "true"}, {"Accept": "application/json"}, {"Accept": "text/x-fragment"}):
        assert client.post(reverse("welder_add"), {}, headers=headers).status_code == 401
        assert client.get(reverse("welder_list"), headers=headers).status_code == 401
    data = client.post(reverse("welder_add"), "{}", content_type="application/json")
    assert data.status_code == 401
    assert client.get(reverse("welder_list")).status_code == 302
    assert client.get(reverse("welder_list"), headers={"Accept": "*/*"}).status_code == 302


def test_a_long_form_is_kept_for_a_browser_somebody_signed_in_with(
    client: Client, maren: User, shop: Shop
) -> None:
    long = {f"note-{number}": "x" * 3000 for number in range(30)}
    assert sum(map(len, long.values())) > MOST_BEFORE_SIGN_IN
    assert client.post(reverse("welder_add"), long).status_code == 413
    client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
    client.post(reverse("sign_out"))
    page = client.post(reverse("welder_add"), long)
    assert hidden(sign_in(client, page))["note-29"] == ["x" * 3000]
    client.post(reverse("sign_out"))
    maren.is_active = False
    maren.save()
    assert client.post(reverse("welder_add"), long).status_code == 413
    client.cookies[CAME_BEFORE] = "forged"
    assert client.post(reverse("welder_add"), long).status_code == 413


def test_a_form_from_before_signing_in_anew_is_handed_back(maren: User, shop: Shop) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(maren)
    stale = client.post(reverse("welder_add"), ENTRIES, headers={"Origin": "http://testserver"})
    assertContains(stale, "What you typed is here", status_code=403)
    back = hidden(stale)
    back["csrfmiddlewaretoken"] = [client.get(reverse("session")).json()["csrf"]]
    assert client.post(reverse("welder_add"), back).status_code == 302
    assert Welder.objects.count() == 1
    foreign = client.post(reverse("welder_add"), ENTRIES, headers={"Origin": "https://elsewhere.example"})
    assertContains(foreign, "This form has expired", status_code=403)


def test_over_a_page_one_signs_in_again_and_errors_are_said_there(client: Client, maren: User) -> None:
    asked = {"Accept": "application/json"}
    wrong = client.post(reverse("sign_in"), {"username": "maren", "password": "no"}, headers=asked)
    assert (wrong.status_code, "do not belong together" in wrong.json()["refused"]) == (422, True)
    assert client.get(reverse("session")).json()["person"] is None
    right = client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD}, headers=asked)
    assert right.json() == {"signed_in": True}
    assert client.get(reverse("session")).json()["person"] == maren.pk


def test_a_post_that_was_answered_is_named_to_its_browser(author_client: Client, shop: Shop) -> None:
    for number in range(7):
        token = f"abcdef012345678{number}"
        author_client.post(
            reverse("welder_add"), {"name": "Rosa", "stamp": f"R{number}", "kept_token": token}
        )
    arrived = author_client.cookies["arrived"].value.split(".")
    assert arrived == [f"abcdef012345678{number}" for number in range(2, 7)]
    author_client.post(reverse("welder_add"), {"name": "Rosa", "stamp": "R9", "kept_token": "no token; x"})
    assert author_client.cookies["arrived"].value.split(".") == arrived


def test_a_sign_in_ends_when_nothing_was_done_for_as_long_as_the_shop_says(author: User, shop: Shop) -> None:
    shop.idle_minutes = 30
    shop.save()
    with time_machine.travel(datetime(2031, 4, 27, 8, tzinfo=UTC), tick=False) as clock:
        client = Client()
        client.force_login(author)
        clock.shift(30 * 60)
        assert client.get("/").status_code == 200
        clock.shift(29 * 60)
        # What an open page asks by itself is nothing that somebody does.
        client.get("/session/")
        client.get("/", headers={"HX-Request": "true"})
        clock.shift(61)
        assert client.get("/").status_code == 302
        assert client.get("/session/").json()["person"] is None


def test_a_sign_in_ends_after_one_long_shift_whatever_is_done(author: User, shop: Shop) -> None:
    with time_machine.travel(datetime(2031, 4, 27, 8, tzinfo=UTC), tick=False) as clock:
        client = Client()
        client.force_login(author)
        for _ in range(12):
            clock.shift(60 * 60)
            assert client.get("/session/").json()["person"] == author.pk
            assert client.get("/").status_code == 200
        clock.shift(1)
        assert client.get("/").status_code == 302


def test_the_idle_time_is_chosen_on_the_shop_page(approver_client: Client, shop: Shop) -> None:
    entries = {"name": "Tidewater", "unit_order": "inch_first"}
    approver_client.post(reverse("shop"), {**entries, "idle_minutes": "15"})
    assert Shop.current().idle_minutes == 15
    approver_client.post(reverse("shop"), entries)
    assert Shop.current().idle_minutes == 15
    assertContains(approver_client.post(reverse("shop"), {**entries, "idle_minutes": "1"}), "has no “1”")
