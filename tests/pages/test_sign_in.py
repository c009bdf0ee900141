"""Signing in, signing out and changing the own password."""

import pytest
import time_machine
from axes.models import AccessAttempt
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from pytest_django import Settings
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from tests.cast import PASSWORD, with_password
from wps import sign_in_settings


@pytest.fixture
def maren(author: User) -> User:
    return with_password(author)


def test_a_visitor_is_sent_to_the_sign_in_page_and_back(client: Client, maren: User) -> None:
    asked = reverse("change_password")
    answer = client.get(asked)
    assertRedirects(answer, f"{reverse('sign_in')}?next={asked}")
    answer = client.post(answer.url, {"username": "maren", "password": PASSWORD, "next": asked})
    assertRedirects(answer, asked)


def test_a_wrong_password_is_said_and_the_name_is_kept(client: Client, maren: User) -> None:
    answer = client.post(reverse("sign_in"), {"username": "maren", "password": "something else"})
    assertContains(answer, "There is a problem")
    assertContains(answer, "Sign-in name and password do not belong together.")
    assertContains(answer, 'value="maren"')
    assertNotContains(answer, "something else")


def test_both_empty_fields_are_named_in_the_summary_and_beside_the_field(client: Client, db: None) -> None:
    answer = client.post(reverse("sign_in"), {"username": "", "password": ""})
    assertContains(answer, '<a href="#id_username">Enter your sign-in name.</a>', html=True)
    assertContains(answer, '<a href="#id_password">Enter your password.</a>', html=True)
    assertContains(answer, "Enter your sign-in name.", count=2)
    assertContains(answer, "<title>Error: Sign in")


def test_someone_switched_off_cannot_sign_in(client: Client, maren: User) -> None:
    maren.is_active = False
    maren.save()
    answer = client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
    assertContains(answer, "There is a problem")
    assert "_auth_user_id" not in client.session


def test_signing_in_leads_nowhere_outside(client: Client, maren: User) -> None:
    answer = client.post(
        reverse("sign_in"), {"username": "maren", "password": PASSWORD, "next": "https://elsewhere.example/"}
    )
    assertRedirects(answer, reverse("today"))


def test_signing_out_needs_the_button(author_client: Client) -> None:
    assert author_client.get(reverse("sign_out")).status_code == 405
    assertRedirects(author_client.post(reverse("sign_out")), reverse("sign_in"))
    assertRedirects(author_client.get("/"), f"{reverse('sign_in')}?next=/")


def test_the_own_password_is_changed(client: Client, maren: User) -> None:
    client.force_login(maren)
    new = "twelve handrail posts"
    answer = client.post(
        reverse("change_password"),
        {"old_password": PASSWORD, "new_password1": new, "new_password2": new},
        follow=True,
    )
    assertContains(answer, "Your password is changed.")
    assert User.objects.get(pk=maren.pk).check_password(new)


def test_a_password_change_says_what_is_wrong(client: Client, maren: User) -> None:
    client.force_login(maren)
    answer = client.post(
        reverse("change_password"),
        {"old_password": "no", "new_password1": "first one", "new_password2": "other one"},
    )
    assertContains(answer, "Current password does not match.")
    assertContains(answer, "New password and its repeat differ.")


def test_new_passwords_are_kept_with_argon2(settings: Settings) -> None:
    """As the shop hashes them, where the other tests have a quick one: with no less memory and passes than
    the password storage cheat sheet of OWASP gives, 19 MiB and 2."""
    settings.PASSWORD_HASHERS = sign_in_settings.PASSWORD_HASHERS
    kept = make_password("a word to go by").split("$")
    assert kept[:3] == ["argon2", "argon2id", "v=19"]
    cost = dict(part.split("=") for part in kept[3].split(","))
    assert int(cost["m"]) >= 19 * 1024
    assert int(cost["t"]) >= 2
    assert check_password("a word to go by", "$".join(kept))


LIMIT = 3


@pytest.fixture(autouse=True)
def _few_attempts(settings: Settings) -> None:
    """So that a lock takes few of them."""
    settings.AXES_FAILURE_LIMIT = LIMIT


def fail(client: Client, times: int, name: str = "maren") -> HttpResponse:
    """Give a wrong password that often; the last answer."""
    for _ in range(times):
        answer = client.post(reverse("sign_in"), {"username": name, "password": "guessed"})
    return answer


def test_nobody_locks_a_colleague_out_from_another_device(client: Client, maren: User) -> None:
    elsewhere = Client(REMOTE_ADDR="192.0.2.9")
    assert fail(elsewhere, LIMIT).status_code == 429
    client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
    assert "_auth_user_id" in client.session
    assert fail(elsewhere, 1).status_code == 429


def test_guessing_is_stopped_and_the_page_says_what_to_do(client: Client, maren: User) -> None:
    assert fail(client, LIMIT - 1).status_code == 200
    locked = fail(client, 1)
    assert locked.status_code == 429
    assertContains(
        locked,
        "Signing in as maren is locked on this device after 3 failed attempts. Wait 15",
        status_code=429,
    )
    assertContains(locked, 'value="maren"', status_code=429)
    right = client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
    assert right.status_code == 429
    assert "_auth_user_id" not in client.session


def test_a_name_that_nobody_has_is_answered_alike(client: Client, maren: User) -> None:
    known, unknown = fail(client, LIMIT), fail(client, LIMIT, "nobody")
    assert (known.status_code, unknown.status_code) == (429, 429)
    assertContains(unknown, "Signing in as nobody is locked on this device", status_code=429)


def test_the_lock_ends_by_itself_and_trying_on_does_not_prolong_it(client: Client, maren: User) -> None:
    with time_machine.travel("2031-04-27 08:00", tick=False) as clock:
        fail(client, LIMIT)
        clock.shift(14 * 60)
        assert fail(client, 1).status_code == 429
        clock.shift(2 * 60)
        client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
        assert "_auth_user_id" in client.session


def test_signing_in_forgets_failures_and_others_are_not_touched(
    client: Client, maren: User, approver: User
) -> None:
    approver.set_password(PASSWORD)
    approver.save()
    fail(client, LIMIT - 1)
    client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
    client.logout()
    assert fail(client, LIMIT - 1).status_code == 200
    fail(client, 1)
    client.post(reverse("sign_in"), {"username": "tobias", "password": PASSWORD})
    assert client.session["_auth_user_id"] == str(approver.pk)


def test_whoever_is_signed_in_stays_so_and_a_new_password_lifts_the_lock(
    client: Client,
    administrator_client: Client,
    maren: User,
) -> None:
    inside = Client()
    inside.force_login(maren)
    fail(client, LIMIT)
    assert inside.get("/").status_code == 200
    entries = {
        "username": "maren",
        "first_name": "Maren",
        "last_name": "Oosting",
        "password": "two new bollards",
        "roles": ["author"],
        "is_active": "on",
    }
    assertRedirects(
        administrator_client.post(reverse("person_edit", args=[maren.pk]), entries), reverse("people")
    )
    client.post(reverse("sign_in"), {"username": "maren", "password": "two new bollards"})
    assert "_auth_user_id" in client.session


def test_no_password_is_kept_of_a_failure(client: Client, maren: User) -> None:
    fail(client, 1)
    kept = AccessAttempt.objects.values().get()
    assert "guessed" not in str(kept)
