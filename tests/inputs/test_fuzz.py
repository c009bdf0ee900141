"""Hostile entries over every address and form: nothing fails, nothing is half stored."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from qualification.models import ProcedureTest, Welder
from tests.fuzz.harness import Fuzzer
from tests.fuzz.targets import _forms_on
from tests.shop_records import procedure_test

INPUTS = 250
"""The same ones on every machine; the checks on each change send two thousand more."""


@pytest.fixture
def fuzzer(administrator: User) -> Fuzzer:
    """Over an empty shop, which is quickly looked through."""
    client = Client()
    client.force_login(administrator)
    return Fuzzer(client)


@pytest.mark.django_db
def test_no_hostile_entry_fails_or_is_half_stored() -> None:
    call_command("demo", verbosity=0)
    client = Client()
    client.force_login(User.objects.get(username="hedda"))
    fuzzer = Fuzzer(client)
    assert len(fuzzer.forms) > 40
    found = fuzzer.run(INPUTS, number=20)
    assert not found.faults, "\n".join(f"{place}: {shown}" for place, shown in found.faults.items())
    assert found.inputs == INPUTS
    assert min(found.statuses[status] for status in (200, 302, 404, 422)) > 0


def test_a_page_that_fails_is_found(fuzzer: Fuzzer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("qualification.views.lists.sought_in", lambda request, key="q": int(request.GET[key]))
    fuzzer._sent("get", "/welders/", {"q": "²"})
    assert [place.partition(" ")[0] for place in fuzzer.found.faults] == ["ValueError"]


def test_a_page_that_changes_what_was_approved_is_found(
    author: User, administrator: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if a page wrote past the record's own refusal to be changed."""
    procedure_test(author)
    client = Client()
    client.force_login(administrator)
    fuzzer = Fuzzer(client)
    assert fuzzer.approved
    fuzzer._sent("post", "/welders/new/", {"name": "Ada Holm", "stamp": "AH-9"})
    assert fuzzer.found.faults == {}
    with monkeypatch.context() as patch:
        patch.setattr(ProcedureTest, "content", lambda record: {"joint": "changed"})
        fuzzer._sent("post", "/welders/new/", {"name": "Ada Holm", "stamp": "AH-9"})
    assert list(fuzzer.found.faults) == ["/welders/new/ changes what was approved"]


def test_what_an_input_stored_is_taken_back(fuzzer: Fuzzer) -> None:
    fuzzer._sent("post", "/welders/new/", {"name": "Ada Holm", "stamp": "AH-9"})
    assert fuzzer.found.statuses[302] == 1
    assert not Welder.objects.filter(stamp="AH-9").exists()


def test_a_text_that_is_stored_though_it_is_too_long_is_found(
    fuzzer: Fuzzer, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = _forms_on("/welders/new/", fuzzer.client.get("/welders/new/").text)
    form = next(each for each in found if {"name", "stamp"} <= set(each.texts))
    fuzzer.__dict__["forms"] = [form]
    fuzzer.too_long()
    assert (fuzzer.found.faults, set(fuzzer.found.statuses)) == ({}, {200})
    monkeypatch.setattr("tests.fuzz.harness.TOO_LONG", "Ada Holm")  # as if nothing had a limit
    fuzzer._sent("post", "/welders/new/", {"name": "Ada Holm", "stamp": "AH-9"})
    assert list(fuzzer.found.faults) == ["/welders/new/ stores what is too long"]
