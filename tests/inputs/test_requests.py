"""What no page takes is refused in words before any page reads it, and what once failed is answered."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.utils.datastructures import MultiValueDict

from qualification.forms.fields import text_field
from qualification.forms.month import RowForm
from qualification.forms.waveform import _positive
from qualification.models import Welder
from qualification.posted import LONGEST_SEARCH, number_in
from qualification.records.numbering import next_number
from qualification.rules.core.gases import GasError, read_gas
from qualification.rules.entries.reading import LONGEST_TEXT
from wps.models import Job, Packet
from wps.request_limits import LONGEST_ENTRY, LONGEST_QUERY, MOST_BEFORE_SIGN_IN


@pytest.fixture
def admin(db: None) -> Client:
    client = Client()
    client.force_login(User.objects.create_superuser("chief", first_name="Ada", last_name="Holm"))
    return client


@pytest.mark.parametrize(("text", "number"), [("7", 7), ("²", None), ("①", None), ("٣", None), ("", None)])
def test_only_the_digits_0_to_9_make_a_number(text: str, number: int | None) -> None:
    assert number_in(text) == number


def test_a_number_longer_than_the_database_holds_is_none() -> None:
    assert number_in("9" * 18) == int("9" * 18)
    assert number_in("9" * 19) is None


@pytest.mark.parametrize("sign", ["²", "①", "٣", "9" * 40])
@pytest.mark.parametrize(
    "address",
    [
        "/packets/new/?job=",
        "/coupon-costs/?job=",
        "/attachments/add/?job=",
        "/who-may-weld/?part=",
        "/trials/compare/?t=1&t=",
        "/procedure-tests/new/?like=",
        "/welders/tests/new/?like=",
        "/welders/tests/new/?welder=",
        "/trials/?page=",
    ],
)
def test_addresses_take_other_signs_for_no_number(admin: Client, address: str, sign: str) -> None:
    assert admin.get(address + sign).status_code < 500


@pytest.mark.parametrize("address", ["/jobs/", "/procedures/", "/procedure-tests/", "/welders/", "/trials/"])
def test_a_search_for_many_words_is_cut(admin: Client, address: str) -> None:
    answer = admin.get(address, {"q": "a " * 2_000})
    assert answer.status_code == 200
    assert b"a " * (LONGEST_SEARCH // 2) not in answer.content


def test_an_address_is_taken_up_to_its_limit(admin: Client) -> None:
    assert admin.get("/jobs/?q=" + "a" * (LONGEST_QUERY - 2)).status_code == 200
    answer = admin.get("/jobs/?q=" + "a" * (LONGEST_QUERY - 1))
    assert answer.status_code == 414
    assert "search for less" in answer.text


def test_an_entry_too_long_is_said_at_its_field(admin: Client) -> None:
    answer = admin.post("/jobs/new/", {"number": "J-1", "notes": "a" * (LONGEST_TEXT + 1)})
    assert answer.status_code == 422
    assert "Notes is 4001 characters long. Shorten it to 4000 or fewer." in answer.text


def test_an_entry_beyond_reading_is_refused_in_words(admin: Client) -> None:
    assert admin.post("/jobs/new/", {"notes": "a" * LONGEST_ENTRY}).status_code == 422
    answer = admin.post("/jobs/new/", {"notes": "a" * (LONGEST_ENTRY + 1)})
    assert answer.status_code == 422
    assert "shorten it to 4,000 or fewer" in answer.text


@pytest.mark.parametrize("post", [{"number": "J\x001"}, {"nu\x00mber": "1"}])
def test_a_sign_without_meaning_is_refused_in_words(admin: Client, post: dict[str, str]) -> None:
    answer = admin.post("/jobs/new/", post)
    assert answer.status_code == 400
    assert "cannot be written" in answer.text
    assert admin.get("/jobs/", {"q": "\x00"}).status_code == 400
    assert admin.get("/verify/%00/").status_code == 400


def test_before_sign_in_only_little_may_be_sent(db: None) -> None:
    little, much = ("a" * (MOST_BEFORE_SIGN_IN + more) for more in (0, 1))
    sent = {"content_type": "text/plain"}
    assert Client().post("/sign-in/", little, **sent).status_code == 200
    answer = Client().post("/sign-in/", much, **sent)
    assert answer.status_code == 413
    assert "Sign in first" in answer.text


@pytest.mark.parametrize(
    "address",
    [
        "/packets/new/",
        "/coupon-costs/",
        "/jobs/new/",
        "/attachments/add/",
        "/welders/tests/new/",
        "/procedure-tests/new/",
        "/shop/",
        "/shop/people/new/",
        "/welders/new/",
    ],
)
def test_an_empty_post_says_what_is_missing(admin: Client, address: str) -> None:
    answer = admin.post(address, {})
    assert answer.status_code in (200, 422)
    assert "There is a problem" in answer.text


@pytest.mark.parametrize("text", ["AL-01/0", "Ar/0", "75/0", "²Ar", "100%%", "%s Ar", "1" * 400])
def test_a_gas_that_is_none_is_refused_in_words(text: str) -> None:
    with pytest.raises(GasError):
        read_gas(text)


@pytest.mark.parametrize(
    ("taken", "following"),
    [(["J-009"], "J-010"), (["²"], "J-001"), (["W-1", "①"], "W-2"), (["9" * 40], "1" + "0" * 40)],
)
def test_numbers_go_on_from_plain_digits(taken: list[str], following: str) -> None:
    assert next_number(taken, "J-001") == following


@pytest.mark.django_db(transaction=True)
def test_twenty_at_once_get_one_number_each_or_are_told() -> None:
    chief = User.objects.create_superuser("chief", first_name="Ada", last_name="Holm")

    def post(address: str, data: dict[str, str]) -> int:
        client = Client()
        client.force_login(chief)
        try:
            return client.post(address, data).status_code
        finally:
            connection.close()

    client = Client()
    client.force_login(chief)
    form = client.get("/jobs/new/").context["form"]
    job = {"number": "J-7", "title": "Rack", "edition": form["edition"].value(), "units": "us"}
    with ThreadPoolExecutor(20) as pool:
        jobs = list(pool.map(lambda _: post("/jobs/new/", job), range(20)))
        packets = list(pool.map(lambda _: post("/packets/new/", {"title": "A", "recipient": "B"}), range(20)))
    assert sorted(set(jobs)) == [302, 422]
    assert jobs.count(302) == Job.objects.filter(number="J-7").count() == 1
    assert set(packets) <= {302, 422}
    assert Packet.objects.count() == packets.count(302)


@pytest.mark.parametrize("typed", ["0", "-1", "1e-13"])
def test_an_accuracy_that_is_not_above_zero_is_refused_in_words(typed: str) -> None:
    field = _positive("Voltage may be off by, % of reading", None, "", required=False)
    with pytest.raises(ValidationError) as refused:
        field.clean(typed)
    assert refused.value.messages == ["Voltage may be off by, % of reading: enter a number above zero."]
    assert field.clean("1e-12") == 1e-12


def test_a_percent_sign_in_a_label_stands_as_it_is() -> None:
    with pytest.raises(ValidationError) as refused:
        text_field("Share, %", 3).clean("four")
    assert refused.value.messages == ["Share, % is 4 characters long. Shorten it to 3 or fewer."]


def test_a_percent_sign_in_a_name_stands_as_it_is(db: None) -> None:
    welder = Welder.objects.create(name="Ada %s Holm 100%", stamp="A%H")
    form = RowForm(welder, [], MultiValueDict({f"welder-{welder.pk}-used": ["nothing of it"]}))
    assert not form.is_valid()
    assert "Ada %s Holm 100%" in str(form.errors["used"].as_data()[0].messages[0])
