"""Signing in with a passkey beside the password: who gets in and who does not. The device here is the few
bytes that WebAuthn (W3C Recommendation, level 2, sections 6.1 and 7.2) says one signs; a real browser's
device is in tests/browser/test_passkeys.py."""

from __future__ import annotations

import hashlib
import json
import struct
from base64 import urlsafe_b64encode
from collections.abc import Callable

import cbor2
import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from qualification.models import Passkey, Shop
from qualification.models.audit import AuditEntry
from qualification.models.shop import SecondStep
from tests.cast import PASSWORD, with_password

pytestmark = pytest.mark.usefixtures("shop")
HERE = "http://localhost:8000"


def text(raw: bytes) -> str:
    return urlsafe_b64encode(raw).decode().rstrip("=")


class Device:
    """A device with one key, and how often it signed."""

    def __init__(self, person: User, count: int = 5) -> None:
        self.key, self.count = ec.generate_private_key(ec.SECP256R1()), count
        numbers = self.key.public_key().public_numbers()
        cose = {1: 2, 3: -7, -1: 1, -2: numbers.x.to_bytes(32), -3: numbers.y.to_bytes(32)}
        self.id = text(hashlib.sha256(person.username.encode()).digest())
        self.kept = Passkey.objects.create(
            person=person, name="phone", host="localhost", credential=self.id, sign_count=count,
            public_key=cbor2.dumps(cose),
        )  # fmt: skip

    def answer(self, options: bytes, origin: str = HERE, host: str = "localhost") -> str:
        self.count += 1
        said = {"type": "webauthn.get", "challenge": json.loads(options)["challenge"], "origin": origin}
        client = json.dumps(said).encode()
        data = hashlib.sha256(host.encode()).digest() + struct.pack(">BI", 0b101, self.count)
        signature = self.key.sign(data + hashlib.sha256(client).digest(), ec.ECDSA(SHA256()))
        response = {"clientDataJSON": client, "authenticatorData": data, "signature": signature}
        coded = {name: text(value) for name, value in response.items()}
        return json.dumps({"id": self.id, "rawId": self.id, "type": "public-key", "response": coded})


@pytest.fixture
def person(author: User) -> User:
    return with_password(author)


@pytest.fixture
def here() -> Client:
    return Client(headers={"host": "localhost:8000"})


def asked(here: Client) -> bytes:
    return here.get("/sign-in/passkey/").content


def sign_in(here: Client, person: User, answer: str, password: str = PASSWORD) -> HttpResponse:
    return here.post("/sign-in/", {"username": person.username, "password": password, "passkey": answer})


def test_the_own_passkey_lets_in_and_is_counted(here: Client, person: User) -> None:
    device = Device(person)
    answer = sign_in(here, person, device.answer(asked(here)))
    assert (answer.status_code, answer["Location"]) == (302, "/")
    device.kept.refresh_from_db()
    assert (device.kept.sign_count, device.kept.used_at is None) == (6, False)


def test_without_it_nobody_gets_in_by_password_alone(here: Client, person: User) -> None:
    Device(person)
    for answer in ("", "{}", "[]", "null", "[" * 5_000, '{"id": "²"}', "x" * 12_001):
        asked(here)
        assert sign_in(here, person, answer).status_code in (200, 422)
    assert "_auth_user_id" not in here.session


@pytest.mark.parametrize(
    "how", ["twice", "not asked", "copied", "other page", "other server", "wrong password"]
)
def test_an_answer_that_is_not_the_one_asked_for_is_refused(here: Client, person: User, how: str) -> None:
    device = Device(person)
    options = asked(here)
    answer = device.answer(options, HERE if how != "other page" else "http://localhost:8001",
                           "localhost" if how != "other server" else "example.org")  # fmt: skip
    if how == "twice":
        sign_in(here, person, answer)
        here.logout()
    elif how == "not asked":
        here.cookies.clear()
    elif how == "copied":
        Passkey.objects.update(sign_count=50)
    password = "another one" if how == "wrong password" else PASSWORD
    assert sign_in(here, person, answer, password).status_code == 200
    assert "_auth_user_id" not in here.session


def test_somebody_elses_passkey_is_refused(here: Client, person: User, approver: User) -> None:
    Device(person)
    other = Device(approver)
    assert sign_in(here, person, other.answer(asked(here))).status_code == 200
    assert AuditEntry.objects.latest("number").verb == "sign_in_failed"


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "127.0.0.1", "testserver"])
def test_an_address_where_browsers_have_none_says_so(
    host: str, person: User, signed_in: Callable[[User], Client]
) -> None:
    """An address of numbers, and a name without HTTPS."""
    client = signed_in(person)
    assert (
        "opened by its name over HTTPS"
        in client.get("/password/second-step/", headers={"host": host}).content.decode()
    )
    for path in ("/sign-in/passkey/", "/password/passkeys/asked/"):
        assert client.get(path, headers={"host": host}).status_code == 409


def test_the_last_second_step_stays_where_the_shop_asks_for_one(
    person: User, signed_in: Callable[[User], Client]
) -> None:
    client, device = signed_in(person), Device(person)
    Shop.objects.update(second_step=SecondStep.EVERYBODY)
    session = client.session
    session["password_entered"] = 2e9
    session.save()
    client.post(f"/password/passkeys/{device.kept.pk}/remove/")
    assert person.passkeys.exists()
    Shop.objects.update(second_step=SecondStep.NOBODY)
    client.post(f"/password/passkeys/{device.kept.pk}/remove/")
    assert not person.passkeys.exists()
    assert AuditEntry.objects.latest("number").verb == "second_step_off"


def test_over_a_page_the_script_is_told_of_the_passkey_once_the_password_is_right(
    here: Client, person: User, approver: User
) -> None:
    """Who has one is nobody's to know who cannot sign in; one for another server is no use."""
    device = Device(person)
    sent, script = {"username": person.username, "password": PASSWORD}, {"Accept": "application/json"}
    wrong = here.post("/sign-in/", {**sent, "password": "guessed"}, headers=script)
    assert (wrong.status_code, wrong.json().get("passkey"), wrong.json()["wants_code"]) == (422, None, False)
    told = here.post("/sign-in/", sent, headers=script)
    assert (told.status_code, told.json()["wants_code"]) == (422, True)
    assert told.json()["refused"] == "Use your passkey, or enter one of your recovery codes."
    answer = device.answer(here.get(told.json()["passkey"]).content)
    came = here.post("/sign-in/", {**sent, "passkey": answer}, headers=script)
    assert (came.status_code, came.json()) == (200, {"signed_in": True})
    here.logout()
    Device(approver)
    Passkey.objects.filter(person=person).update(host="papers.firm.example")
    assert "passkey" not in here.post("/sign-in/", sent, headers=script).json()
