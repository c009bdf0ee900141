"""What the shop usually states of a process: shown as that, and entered by a press alone."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.forms.record_forms import RecordForms
from qualification.forms.usual_entries import usual_entries
from qualification.models import Shop, State
from qualification.rules.variables.definition import RecordKind
from tests.pages.posts import edit_post
from tests.shop_records import EDITION, procedure_test

GMAW = "GMAW"


def test_what_two_approved_tests_agree_in_is_usual_and_readings_never_are(author: User, shop: Shop) -> None:
    procedure_test(author, "PT-001")
    assert usual_entries(GMAW, RecordKind.TEST, "us") == {}
    procedure_test(author, "PT-002", line={"cup_size": "1/2", "amps": "150-165"})
    procedure_test(author, "PT-003", state=State.DRAFT, line={"gun": "push"})
    usual = usual_entries(GMAW, RecordKind.TEST, "us")
    assert (usual["operation"], usual["shielding_gas"], usual["gun"]) == (
        "semiautomatic",
        "100Ar",
        "push_pull",
    )
    assert not {"cup_size", "amps", "volts", "filler_lot"} & set(usual)
    assert usual_entries("GTAW", RecordKind.TEST, "us") == {}
    assert usual_entries(GMAW, RecordKind.TEST, "si") == {}
    assert usual_entries(GMAW, RecordKind.PART, "us") == {}


def test_it_is_shown_first_and_fills_what_is_blank_and_nothing_else(
    author_client: Client, author: User, shop: Shop
) -> None:
    for number in ("PT-001", "PT-002"):
        procedure_test(author, number)
    blank = {"operation": "", "shielding_gas": "100He", "gun": ""}
    made = procedure_test(author, "PT-003", state=State.DRAFT, line=blank)
    url = reverse("procedure_test_edit", args=[made.pk])
    page = author_client.get(url)
    assertContains(page, "Usual in this shop for GMAW, not entered here")
    assert (
        RecordForms(RecordKind.TEST, "us", EDITION, made.joint, made.lines).read.weld.lines[0].given("gun")
        is False
    )
    filled = author_client.post(url, edit_post(made, lines="usual:0"))
    line = filled.context["forms"].line_entries[0]
    assert (line["operation"], line["gun"], line["shielding_gas"]) == ("semiautomatic", "push_pull", "100He")
    assertNotContains(filled, "Usual in this shop", status_code=filled.status_code)
    made.refresh_from_db()
    assert not made.lines[0].get("gun")  # nothing is saved by it
