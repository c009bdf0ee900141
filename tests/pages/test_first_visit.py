"""The first visit to a shop without people."""

from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.first_visit import first_address
from qualification.models import AuditEntry, Shop, Welder

FIRST = {
    "shop_name": "Longshore Frames",
    "first_name": "Ida",
    "last_name": "Maas",
    "username": "ida",
    "password": "eleven metres of gangway",
    "code_edition": "aws_d1_2_2014",
    "unit_order": "metric_first",
}

pytestmark = pytest.mark.django_db


def test_the_terminal_says_where_and_the_sign_in_page_says_so(client: Client) -> None:
    out = StringIO()
    call_command("first_address", server="http://127.0.0.1:8010", stdout=out)
    assert f"http://127.0.0.1:8010{first_address()}" in out.getvalue()
    assertContains(client.get(reverse("sign_in")), "Nobody can sign in here yet.")


def test_the_first_administrator_names_the_shop_and_is_signed_in(client: Client) -> None:
    answer = client.post(first_address(), FIRST)
    assertRedirects(answer, reverse("first_paper"))
    person = User.objects.get()
    assert (person.get_full_name(), person.is_superuser, person.is_active) == ("Ida Maas", True, True)
    assert person.check_password(FIRST["password"])
    shop = Shop.current()
    assert (shop.name, shop.code_edition, shop.inch_first) == ("Longshore Frames", "aws_d1_2_2014", False)
    assert (shop.allow_self_approval, shop.responsible_person) == (False, "")
    assert not Welder.objects.exists()
    assertContains(client.get(reverse("people")), "Ida Maas")


def test_who_works_alone_says_so_once_and_it_stands_in_the_trail(client: Client) -> None:
    client.post(first_address(), {**FIRST, "works_alone": "on", "stamp": "IM"})
    shop = Shop.current()
    assert (shop.allow_self_approval, shop.responsible_person) == (True, "Ida Maas")
    assert [str(welder) for welder in Welder.objects.all()] == ["Ida Maas (IM)"]
    entry = AuditEntry.objects.get(record_kind="shop")
    assert entry.data["changes"]["allow_self_approval"] == [False, True]


def test_the_page_is_gone_once_there_is_a_person(client: Client, reader: User) -> None:
    assert client.get(first_address()).status_code == 404
    assert client.post(first_address(), FIRST).status_code == 404
    assert User.objects.count() == 1
    out = StringIO()
    call_command("first_address", stdout=out)
    assert out.getvalue() == ""
    assertNotContains(client.get(reverse("sign_in")), "Nobody can sign in here yet.")


def test_another_code_finds_nothing(client: Client) -> None:
    wrong = first_address()[:-2] + "x/"
    assert client.get(wrong).status_code == 404
    assert client.post(wrong, FIRST).status_code == 404
    assert not User.objects.exists()


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("shop_name", "", "Enter the shop"),
        ("password", "12345678", "password"),
        ("username", "i d a", "Letters, digits and"),
    ],
)
def test_what_cannot_be_taken_is_said_and_the_rest_is_kept(
    name: str, typed: str, said: str, client: Client
) -> None:
    answer = client.post(first_address(), {**FIRST, name: typed})
    assertContains(answer, said)
    assertContains(answer, "Maas")
    assert not User.objects.exists()
