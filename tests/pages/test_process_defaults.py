"""Defaults the shop states of a process: saved with their own page, offered before they count, and never a
reading of a test."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils.datastructures import MultiValueDict

from qualification.forms.record_forms import RecordForms
from qualification.forms.usual_entries import usual_entries
from qualification.models import AuditEntry, Shop, State
from qualification.rules.variables.definition import RecordKind
from tests.folded_pages import folded
from tests.pages.posts import edit_post
from tests.shop_records import EDITION, procedure_test

URL = reverse("process_default_edit", args=["GMAW"])
LINE = {"line-0-process": "GMAW", "line_count": "1"}
TYPED = {
    **LINE,
    "line-0-shielding_gas": "Argon 35-45 cfh",
    "line-0-cleaning": "solvent, then stainless brush",
    "line-0-current_type": "DCEP",
    "joint-interpass_max": "250 F max",
}


def save(client: Client, **more: str) -> int:
    return client.post(URL, {**TYPED, **more}).status_code


def test_what_the_shop_states_is_offered_first_and_temperatures_on_procedures_alone(
    approver_client: Client, author_client: Client, author: User, shop: Shop
) -> None:
    for number in ("PT-001", "PT-002"):
        procedure_test(author, number)  # with 100Ar
    assert save(approver_client) == 302
    assert "defaults of GMAW" in AuditEntry.objects.filter(record_kind="shop").last().data["detail"]
    spec, test = (usual_entries("GMAW", use, "us") for use in (RecordKind.SPEC, RecordKind.TEST))
    assert spec["shielding_gas"] == test["shielding_gas"] == "Argon 35-45 cfh"
    assert spec["interpass_max"] == "250 F max"
    assert "interpass_max" not in test
    assert test["gun"] == "push_pull"  # what the tests agree in stands beside it
    assert "cleaning" not in usual_entries("GMAW", RecordKind.TEST, "si")
    made = procedure_test(author, "PT-003", state=State.DRAFT, line={"cleaning": "", "gun": ""})
    edit = reverse("procedure_test_edit", args=[made.pk])
    assert "stainless brush" in folded(author_client.get(edit).content.decode())
    line = author_client.post(edit, edit_post(made, lines="usual:0")).context["forms"].line_entries[0]
    assert line["cleaning"] == "solvent, then stainless brush"
    listed = folded(author_client.get(reverse("process_defaults")).content.decode())
    assert "stainless brush" in listed
    assert "Change defaults" not in listed  # an author reads them


def test_a_procedure_takes_the_defaults_of_its_joint_with_those_of_the_line(
    approver_client: Client, shop: Shop
) -> None:
    assert save(approver_client) == 302
    data = MultiValueDict({"line-0-process": ["GMAW"], "line_count": ["1"], "lines": ["usual:0"]})
    forms = RecordForms(RecordKind.SPEC, "us", EDITION, {}, [], data)
    assert forms.joint_entries == {"interpass_max": "250 F max"}
    assert forms.line_entries[0]["current_type"] == "DCEP"


def test_what_cannot_be_read_is_kept_on_the_page_and_not_saved(approver_client: Client, shop: Shop) -> None:
    answer = approver_client.post(URL, {**TYPED, "line-0-shielding_gas": "Mystery 25"})
    assert answer.status_code == 422
    assert "Mystery 25" in answer.content.decode()
    assert Shop.current().process_defaults == {}


def test_the_later_of_two_pages_is_told_what_the_other_saved(approver_client: Client, shop: Shop) -> None:
    version = approver_client.get(URL).context["opened"].version
    assert save(approver_client) == 302
    late = approver_client.post(URL, {**LINE, "line-0-cleaning": "scraping", "version": version or "none"})
    assert late.status_code == 409
    assert "stainless brush" in folded(late.content.decode())
    assert "scraping" in late.content.decode()
    assert Shop.current().process_defaults["us"]["GMAW"]["cleaning"] == "solvent, then stainless brush"


def test_an_author_may_not_change_them(author_client: Client, shop: Shop) -> None:
    assert save(author_client) == 403
    assert author_client.get(reverse("process_default_edit", args=["NONE"])).status_code in (403, 404)
