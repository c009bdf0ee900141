"""Job, welder, shop, packet and person, open in two tabs: the second to save is told, and loses nothing."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from qualification.codes.editions import available_editions
from qualification.models import Shop, Welder
from wps.models import Job, Packet


@pytest.fixture
def chief(administrator: User, shop: Shop, signed_in: Callable[[User], Client]) -> Client:
    return signed_in(administrator)


def a_job() -> tuple[str, Any, dict[str, Any]]:
    edition = available_editions()[0][0]
    job = Job.objects.create(number="J-001", title="Rail", edition=edition)
    entries = {"number": "J-001", "title": "Rail", "edition": edition, "open": "on"}
    return reverse("job_edit", args=[job.pk]), job, entries


def a_welder() -> tuple[str, Any, dict[str, Any]]:
    welder = Welder.objects.create(name="Rosa Lindqvist", stamp="RL")
    return reverse("welder_edit", args=[welder.pk]), welder, {"name": "Rosa Lindqvist", "stamp": "RL"}


def the_shop() -> tuple[str, Any, dict[str, Any]]:
    shop = Shop.current()
    return reverse("shop"), shop, {"name": shop.name, "unit_order": shop.unit_order}


def a_packet() -> tuple[str, Any, dict[str, Any]]:
    packet = Packet.objects.create(
        number="P-001", title="Rail", recipient="Yard", code="K7", made_by=User.objects.get()
    )
    return reverse("packet_edit", args=[packet.pk]), packet, {"title": "Rail", "recipient": "Yard"}


def a_person() -> tuple[str, Any, dict[str, Any]]:
    person = User.objects.create_user("ilse", first_name="Ilse", last_name="Varga")
    entries = {"username": "ilse", "first_name": "Ilse", "last_name": "Varga", "is_active": "on"}
    return reverse("person_edit", args=[person.pk]), person, entries


CASES = [
    (a_job, "title", "Title", "this job"),
    (a_welder, "name", "Name", "this welder"),
    (the_shop, "phone", "Phone", "this shop"),
    (a_packet, "recipient", "Recipient", "this packet"),
    (a_person, "last_name", "Last name", "this person"),
]


def version_on(answer: Any) -> str:
    found = re.search(r'name="version" value="([^"]*)"', answer.content.decode())
    assert found is not None
    return found[1]


@pytest.mark.parametrize(("make", "field", "label", "what"), CASES, ids=[each[3] for each in CASES])
def test_the_second_tab_is_told_and_may_replace(
    chief: Client, make: Callable[[], tuple[str, Any, dict[str, Any]]], field: str, label: str, what: str
) -> None:
    address, thing, entries = make()
    first, second = version_on(chief.get(address)), version_on(chief.get(address))
    assert chief.post(address, {**entries, field: "Typed first", "version": first}).status_code == 302

    refused = chief.post(address, {**entries, field: "Typed second", "version": second})
    assert refused.status_code == 409
    assertContains(refused, f"Hedda Brandsma saved {what} at", status_code=409)
    assertContains(refused, f'<th scope="row">{label}</th>', status_code=409)
    assertContains(refused, '>Typed first</td><td data-label="Typed here">Typed second<', status_code=409)
    assertContains(refused, 'value="Typed second"', status_code=409)
    thing.refresh_from_db()
    assert getattr(thing, field) == "Typed first"

    again = chief.post(address, {**entries, field: "Typed second", "version": version_on(refused)})
    assert again.status_code == 302
    thing.refresh_from_db()
    assert getattr(thing, field) == "Typed second"


def test_the_time_personal_data_is_kept_is_not_saved_over_a_later_one(chief: Client) -> None:
    address = reverse("personal_data")
    first, second = version_on(chief.get(address)), version_on(chief.get(address))
    assert chief.post(address, {"personal_years": "5", "version": first}).status_code == 302
    refused = chief.post(address, {"personal_years": "", "version": second})
    assert refused.status_code == 409
    assert Shop.current().personal_years == 5
    assert chief.post(address, {"personal_years": "", "version": version_on(refused)}).status_code == 302
    assert Shop.current().personal_years is None


def test_a_page_that_had_errors_keeps_the_version_it_was_opened_with(chief: Client) -> None:
    address, welder, entries = a_welder()
    opened = version_on(chief.get(address))
    chief.post(address, {**entries, "name": "Typed first", "version": opened})
    wrong = chief.post(address, {**entries, "name": "", "version": opened})
    assert version_on(wrong) == opened
    assert chief.post(address, {**entries, "version": version_on(wrong)}).status_code == 409
    welder.refresh_from_db()
    assert welder.name == "Typed first"
