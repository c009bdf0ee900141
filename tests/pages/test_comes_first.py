"""What comes before anything else after a sign-in, also over a page; and how often a password may be guessed
at somebody else's open screen.

Source: 21 CFR 11.300(d) asks for safeguards against attempts at unauthorized use; limits on guesses are those
of NIST SP 800-63B, 5.2.2 (no more than 100 in a row), held here to the sign-in's own eight."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification import own_password
from qualification.models import PasswordDue, ProcedureTest, Shop, Welder
from qualification.models.record import State
from qualification.models.shop import SecondStep
from tests.cast import PASSWORD, with_password
from tests.shop_records import procedure_test
from wps.models import PersonalCertificate

pytestmark = pytest.mark.usefixtures("shop")


@pytest.fixture
def person(approver: User) -> User:
    return with_password(approver)


def signed_in_over_a_page(person: User) -> Client:
    client = Client()
    entries = {"username": person.username, "password": PASSWORD}
    answer = client.post("/sign-in/", entries, headers={"Accept": "application/json"})
    assert answer.json() == {"signed_in": True}
    return client


def waiting(author: User, number: str = "PT-014") -> ProcedureTest:
    return procedure_test(author, number, State.IN_REVIEW, welded_on=timezone.localdate() - timedelta(days=9))


def ask_second_step_of_approvers() -> None:
    Shop.objects.update(second_step=SecondStep.APPROVERS)


def set_by_somebody_else(person: User) -> None:
    PasswordDue.objects.create(person=person)


@pytest.mark.parametrize("due", ["second step", "password"])
def test_over_a_page_what_was_typed_is_saved_and_nothing_else(person: User, due: str) -> None:
    person.is_superuser = True
    person.save()
    if due == "second step":
        ask_second_step_of_approvers()
    else:
        set_by_somebody_else(person)
    client = signed_in_over_a_page(person)
    assert client.get("/welders/").status_code == 302
    saved = client.post("/welders/new/", {"name": "Ada Holm", "stamp": "AH-9"})
    assert (saved.status_code, Welder.objects.filter(stamp="AH-9").count()) == (302, 1)
    again = client.post("/welders/new/", {"name": "Ada Holm", "stamp": "AH-8"})
    page = "/password/second-step/" if due == "second step" else "/password/"
    assertRedirects(again, page, fetch_redirect_response=False)
    assert not Welder.objects.filter(stamp="AH-8").exists()


@pytest.mark.parametrize("due", ["second step", "password"])
def test_over_a_page_no_act_binds_before_that(person: User, author: User, due: str) -> None:
    if due == "second step":
        ask_second_step_of_approvers()
    else:
        set_by_somebody_else(person)
    record = waiting(author)
    client, step = signed_in_over_a_page(person), f"/procedure-tests/{record.pk}/step/"
    refused = client.post(step, {"action": "approve", "own_password": PASSWORD})
    words = own_password.DUE_FIRST["second_step_due" if due == "second step" else "password_due"]
    assertContains(refused, words, status_code=refused.status_code)
    record.refresh_from_db()
    assert record.state == State.IN_REVIEW


def test_over_a_page_a_check_leaves_what_was_typed_to_be_saved(person: User, author: User) -> None:
    ask_second_step_of_approvers()
    client = signed_in_over_a_page(person)
    client.post("/procedures/1/check/", {})
    assert client.session["second_step_due"] == "over a page"


def guess_at(what: str, client: Client, typed: str) -> Any:
    """One attempt with the own password, where it is asked again."""
    if what == "approving":
        record = ProcedureTest.objects.get(number="PT-014")
        return client.post(
            f"/procedure-tests/{record.pk}/step/", {"action": "approve", "own_password": typed}
        )
    if what == "the password's page":
        new = {"new_password1": "twelve handrail posts", "new_password2": "twelve handrail posts"}
        return client.post("/password/", {"old_password": typed, **new})
    if what == "the second step":
        return client.post("/password/second-step/", {"does": "confirm", "password": typed, "code": "123456"})
    if what == "a passkey":
        entries = {"name": "Phone", "password": typed, "passkey": "{}"}
        return client.post("/password/passkeys/", entries, SERVER_NAME="localhost")
    made = {"make-passphrase": "rope and seven lanterns", "make-again": "rope and seven lanterns"}
    return client.post("/certificate/make/", {**made, "own_password": typed})


PLACES = ("approving", "the password's page", "the second step", "a passkey", "a certificate")


@pytest.mark.parametrize("what", PLACES)
def test_guesses_at_an_open_screen_are_counted_and_the_right_one_waits(
    what: str, person: User, author: User
) -> None:
    record, client = waiting(author), Client()
    with time_machine.travel("2031-04-27 10:00", tick=False) as clock:
        client.force_login(person)
        clock.shift(own_password.SITTING_SECONDS + 1)
        for number in range(settings.AXES_FAILURE_LIMIT):
            assert guess_at(what, client, f"guess {number}").status_code < 500
        late = guess_at(what, client, PASSWORD)
        assertContains(late, "Too many wrong passwords. Wait 15 minutes", status_code=late.status_code)
        record.refresh_from_db()
        person.refresh_from_db()
        assert record.state == State.IN_REVIEW
        assert person.check_password(PASSWORD)
        assert not PersonalCertificate.objects.exists()
        clock.shift(settings.AXES_COOLOFF_TIME.total_seconds() + 1)
        if what == "approving":
            guess_at(what, client, PASSWORD)
            record.refresh_from_db()
            assert record.state == State.APPROVED


def test_guesses_elsewhere_keep_nobody_from_acting(person: User, author: User) -> None:
    """Another device guesses at the sign-in: who is signed in here goes on."""
    record, here = waiting(author), Client()
    here.force_login(person)
    for number in range(settings.AXES_FAILURE_LIMIT + 1):
        elsewhere = Client(REMOTE_ADDR="192.0.2.9")
        elsewhere.post("/sign-in/", {"username": person.username, "password": f"guess {number}"})
    session = here.session
    session[own_password.ENTERED] -= own_password.SITTING_SECONDS + 1
    session.save()
    guess_at("approving", here, PASSWORD)
    record.refresh_from_db()
    assert record.state == State.APPROVED


@pytest.mark.parametrize(("count", "is_told"), [(-1, False), (0, True)])
def test_approvers_are_told_of_guesses_until_the_trail_is_reviewed(
    count: int, is_told: bool, author: User, author_client: Client, approver_client: Client
) -> None:
    for number in range(settings.AXES_FAILURE_LIMIT + count):
        Client().post("/sign-in/", {"username": author.username, "password": f"guess {number}"})
    head = "Somebody guesses at the password of maren"
    assert (head in approver_client.get("/").text) is is_told
    assertNotContains(author_client.get("/"), head)
    trail = approver_client.get("/shop/trail/?verb=sign_in_failed&q=maren")
    assertContains(trail, "maren")
    approver_client.post("/shop/trail/reviewed/", {"number": trail.context["newest"]})
    assertNotContains(approver_client.get("/"), head)
