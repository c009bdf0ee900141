"""Every address of the program shows a page to somebody on a shop that has one of everything, takes entries
or answers a file; what a walk cannot open is listed with its reason."""

from __future__ import annotations

from collections import Counter

import pytest
from django.contrib.auth.models import User
from django.test import Client

from qualification.roles import APPROVER, AUTHOR, READER, grant_roles
from tests.access.answers import Answer, answer_of
from tests.access.whole_shop import one_of_each
from tests.demo.conftest import DemoShop
from tests.fuzz.targets import addresses

NOT_REACHED = {
    "first_person": "gone once there is a person",
    "own_edition_publish": "takes entries, and sends who opens it back to the edition",
    "part_decide": "the page of `procedure_decide`, asked of a welder's test",
    "passkey_asked": "data for a script, while a passkey is made",
    "passkey_sign_in": "takes entries of a script",
    "procedure_move": "takes entries, and sends who opens it back to the procedure",
    "second_step_picture": "a picture of the secret, while the second step is set up",
    "shop_letterhead": "a picture that this shop has not",
}
"""Addresses that show no page on such a shop, by name, and why."""


@pytest.fixture
def answers(demo_shop: DemoShop) -> list[Answer]:
    person = User.objects.get(username="hedda")
    grant_roles(person, [AUTHOR, APPROVER, READER])
    client = Client()
    client.force_login(person)
    known = one_of_each(client, person)
    return [answer_of(client, each, known.get(each.name)) for each in addresses()]


def test_every_address_is_reached(answers: list[Answer]) -> None:
    lost = {each.address.name for each in answers if each.instead in ("nothing there", "sends on")}
    assert lost == set(NOT_REACHED)
    counts = Counter(each.instead for each in answers)
    assert counts[""] > 120
