"""Signing in with a code beside the password, from the page that sets it up to the lost phone."""

from __future__ import annotations

import re
from base64 import b32decode
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django_otp.oath import hotp
from django_otp.plugins.otp_totp import models as totp_models
from django_otp.plugins.otp_totp.models import TOTPDevice
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import Shop
from qualification.models.audit import AuditEntry
from qualification.models.shop import SecondStep
from tests.cast import PASSWORD, with_password

pytestmark = pytest.mark.usefixtures("shop")

PAGE, SIGN_IN = "/password/second-step/", "/sign-in/"


NOW = 1_925_000_012.0
"""Twelve seconds into a step of thirty; by the shop's clock and the phone's."""


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(totp_models, "time", SimpleNamespace(time=lambda: NOW))


def code_of(app: TOTPDevice, *, later: int = 0) -> str:
    """What the phone shows, by the codes' own arithmetic; `later` steps of thirty seconds on."""
    return f"{hotp(app.bin_key, int(NOW) // 30 + later):06d}"


def wrong_for(app: TOTPDevice) -> str:
    """Six digits that no step around now has."""
    right = {code_of(app, later=step) for step in range(-3, 4)}
    return next(code for code in (f"{n}" * 6 for n in range(10)) if code not in right)


@pytest.fixture
def person(author: User) -> User:
    return with_password(author)


@pytest.fixture
def codes(person: User, signed_in: Callable[[User], Client]) -> list[str]:
    """The recovery codes of somebody who has set the second step up, as the page showed them."""
    client = signed_in(person)
    page = client.post(PAGE, {"does": "begin"}, follow=True)
    app = TOTPDevice.objects.get(user=person)
    secret = re.search(r"Secret: <code>([A-Z2-7 ]+)</code>", page.content.decode())
    assert b32decode(secret[1].replace(" ", "")) == app.bin_key
    answer = client.post(PAGE, {"does": "confirm", "password": PASSWORD, "code": code_of(app)})
    return re.findall(r"<li><code>([a-z2-7-]+)</code>", answer.content.decode())


def enter(code: str | None = None, **headers: str) -> Client:
    client = Client(headers=headers)
    client.answer = client.post(
        SIGN_IN, {"username": "maren", "password": PASSWORD} | ({"code": code} if code is not None else {})
    )
    return client


def is_in(client: Client) -> bool:
    return "_auth_user_id" in client.session


def test_the_codes_are_those_of_the_standard() -> None:
    """RFC 4226, appendix D, and RFC 6238, appendix B (SHA-1, eight digits)."""
    key = b"12345678901234567890"
    assert [hotp(key, n) for n in range(4)] == [755224, 287082, 359152, 969429]
    assert hotp(key, 59 // 30, digits=8) == 94287082
    assert hotp(key, 1111111109 // 30, digits=8) == 7081804


def test_nobody_is_asked_before_somebody_has_one(person: User) -> None:
    assertNotContains(Client().get(SIGN_IN), "one-time-code")
    assert is_in(enter())


def test_the_password_alone_does_not_do(person: User, codes: list[str]) -> None:
    assertContains(Client().get(SIGN_IN), "one-time-code")
    without = enter()
    assertContains(without.answer, "Enter the six digits")
    assert not is_in(without)
    assert not is_in(enter(wrong_for(TOTPDevice.objects.get(user=person))))


def test_a_code_lets_in_once(person: User, codes: list[str]) -> None:
    code = code_of(TOTPDevice.objects.get(user=person), later=1)
    assert is_in(enter(code))
    again = enter(code)
    assert not is_in(again)
    assertContains(again.answer, "does not match")


def test_each_recovery_code_lets_in_once(person: User, codes: list[str]) -> None:
    assert len(set(codes)) == 10
    assert is_in(enter(codes[3].upper()))
    assert not is_in(enter(codes[3]))


def test_a_right_code_with_a_wrong_password_is_not_used_up(person: User, codes: list[str]) -> None:
    client = Client()
    client.post(SIGN_IN, {"username": "maren", "password": "not it", "code": codes[0]})
    assert not is_in(client)
    assert is_in(enter(codes[0]))


def test_after_a_wrong_code_one_waits_and_the_trail_knows(person: User, codes: list[str]) -> None:
    app = TOTPDevice.objects.get(user=person)
    enter(wrong_for(app))
    assert TOTPDevice.objects.get(user=person).throttling_failure_count == 1
    assert AuditEntry.objects.get(verb="sign_in_failed").record_name == "maren"
    # As after eleven of them, each of which doubles the wait.
    TOTPDevice.objects.update(throttling_failure_count=11, throttling_failure_timestamp=timezone.now())
    right = enter(code_of(app, later=1))
    assertContains(right.answer, "Wait 10")
    assert not is_in(right), "the right one too, until the wait is over"
    assert is_in(enter(codes[0])), "which stops no recovery code"


def test_over_a_page_the_dialog_learns_that_a_code_is_wanted(person: User, codes: list[str]) -> None:
    told = enter(accept="application/json").answer
    assert (told.status_code, told.json()["wants_code"]) == (422, True)
    assert enter(codes[1], accept="application/json").answer.json() == {"signed_in": True}


def test_setting_up_needs_the_password_and_a_code_of_the_app(person: User, author_client: Client) -> None:
    author_client.post(PAGE, {"does": "begin"})
    app = TOTPDevice.objects.get(user=person)
    refused = author_client.post(PAGE, {"does": "confirm", "password": "no", "code": code_of(app)})
    assertContains(refused, "password does not match", status_code=422)
    refused = author_client.post(PAGE, {"does": "confirm", "password": PASSWORD, "code": wrong_for(app)})
    assertContains(refused, "code does not match", status_code=422)
    assert not TOTPDevice.objects.get(user=person).confirmed
    assert is_in(enter()), "what was never confirmed asks nothing"


def test_the_picture_goes_once_the_app_counts(person: User, author_client: Client) -> None:
    author_client.post(PAGE, {"does": "begin"})
    assert author_client.get(reverse("second_step_picture"))["Content-Type"] == "image/svg+xml"
    TOTPDevice.objects.update(confirmed=True)
    assert author_client.get(reverse("second_step_picture")).status_code == 404
    assertNotContains(author_client.get(PAGE), "Secret")


def test_it_is_taken_off_by_oneself(person: User, codes: list[str], author_client: Client) -> None:
    refused = author_client.post(PAGE, {"does": "take_off", "password": "no", "code": codes[0]})
    assertContains(refused, "password does not match", status_code=422)
    author_client.post(PAGE, {"does": "take_off", "password": PASSWORD, "code": codes[0]})
    assert is_in(enter())
    noted = AuditEntry.objects.filter(verb__startswith="second_step").order_by("number")
    assert [entry.verb for entry in noted] == ["second_step", "second_step_off"]


def test_new_recovery_codes_replace_the_old(person: User, codes: list[str], author_client: Client) -> None:
    answer = author_client.post(PAGE, {"does": "new_codes", "password": PASSWORD, "code": codes[0]})
    assertContains(answer, "<li><code>", count=10)
    assert not is_in(enter(codes[1]))


@pytest.mark.parametrize(
    ("wanted", "author_is_asked", "approver_is_asked"),
    [
        (SecondStep.NOBODY, False, False),
        (SecondStep.APPROVERS, False, True),
        (SecondStep.EVERYBODY, True, True),
    ],
)
def test_the_shop_may_ask_it_of_some(
    wanted: str, author_is_asked: bool, approver_is_asked: bool, shop: Shop, author: User, approver: User
) -> None:
    Shop.objects.update(second_step=wanted)
    for somebody, is_asked in ((author, author_is_asked), (approver, approver_is_asked)):
        somebody.set_password(PASSWORD)
        somebody.save()
        client = Client()
        client.post(SIGN_IN, {"username": somebody.username, "password": PASSWORD})
        answer = client.get(reverse("today"))
        if not is_asked:
            assert answer.status_code == 200
            continue
        assertRedirects(answer, PAGE)
        client.post(PAGE, {"does": "begin"})
        app = TOTPDevice.objects.get(user=somebody)
        done = client.post(PAGE, {"does": "confirm", "password": PASSWORD, "code": code_of(app)})
        assertContains(done, "Write these ten recovery codes down")
        assert client.get(reverse("today")).status_code == 200
        kept = client.post(PAGE, {"does": "take_off", "password": PASSWORD, "code": code_of(app, later=1)})
        assertContains(kept, "This shop asks a second step of you", status_code=422)


def test_an_administrator_takes_it_off_for_a_lost_phone(
    person: User, codes: list[str], administrator: User, administrator_client: Client
) -> None:
    address = reverse("person_edit", args=[person.pk])
    page = administrator_client.get(address)
    form = page.context["form"]
    entries = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False)}
    entries |= {"version": page.context["opened"].version, "take_off_second_step": "on"}
    assertRedirects(administrator_client.post(address, entries), reverse("people"))
    assert is_in(enter())
    assert AuditEntry.objects.get(verb="second_step_off").actor_name == administrator.get_full_name()


def test_so_does_whoever_sits_at_the_server(person: User, codes: list[str]) -> None:
    call_command("take_off_second_step", "MAREN")
    assert is_in(enter())
    assert AuditEntry.objects.get(verb="second_step_off").actor_name == "Whoever runs the server"
    with pytest.raises(CommandError, match="has no second step"):
        call_command("take_off_second_step", "maren")
    with pytest.raises(CommandError, match="Nobody signs in as nobody"):
        call_command("take_off_second_step", "nobody")
