"""A welder added, or completed for a certificate, from inside the form of a test."""

from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertRedirects

from qualification.models import AuditEntry, ProcedureTest, State, Welder, WelderTest
from tests.pages.posts import edit_post, results_post
from tests.shop_records import procedure_test, welder, welder_test

pytestmark = pytest.mark.django_db
START = {"number": "WT-001", "edition": "asme_ix_2023", "units": "us"}
WELDED = {"welded_on": "2026-01-05"}
NEW = {"new_welder_name": "Solveig Aune", "new_welder_stamp": "SA"}


def test_a_welder_is_added_where_the_test_starts(author_client: Client) -> None:
    author_client.post(reverse("welder_test_add"), {**START, **NEW})
    made = WelderTest.objects.get()
    assert str(made.welder) == "Solveig Aune (SA)"
    assert AuditEntry.objects.get(record_kind="welder").verb == "create"


def test_the_one_welder_of_a_shop_is_chosen_already(author_client: Client) -> None:
    only = welder()
    assert author_client.get(reverse("welder_test_add")).context["form"]["welder"].value() == only.pk
    welder("RS", "Ruud Stelling")
    assert author_client.get(reverse("welder_test_add")).context["form"]["welder"].value() is None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"new_welder_name": "Solveig Aune"}, "Enter the mark this welder puts beside a weld."),
        ({"new_welder_stamp": "SA"}, "Enter the welder&#x27;s name."),
        ({"new_welder_name": "Solveig Aune", "new_welder_stamp": "ab"}, "Stamp ab belongs to Anouk Berglund"),
        ({}, "Choose the welder who welded the coupon."),
    ],
)
def test_a_welder_who_cannot_be_added_is_said_at_the_field_and_nothing_is_stored(
    typed: dict[str, str], said: str, author_client: Client
) -> None:
    welder()
    answer = author_client.post(reverse("welder_test_add"), {**START, **typed, "title": "Deck coupon"})
    assertContains(answer, said)
    assertContains(answer, "Deck coupon")
    assert not WelderTest.objects.exists()
    assert Welder.objects.count() == 1


def test_a_welder_named_in_the_editor_goes_before_the_one_chosen(author_client: Client, author: User) -> None:
    draft = procedure_test(author, state=State.DRAFT)
    typed: dict[str, Any] = {**edit_post(draft, **WELDED), **NEW, "do": "close"}
    answer = author_client.post(reverse("procedure_test_edit", args=[draft.pk]), typed)
    assert answer.url == draft.get_absolute_url()
    assert str(ProcedureTest.objects.get().welder) == "Solveig Aune (SA)"


def test_what_a_certificate_states_of_the_welder_is_entered_on_the_test(
    author_client: Client, author: User
) -> None:
    """ISO 9606-1 states birth and identification; ASME IX asks for neither, and shows no field."""
    Welder.objects.create(name="Solveig Aune", stamp="SA")
    who = Welder.objects.get()
    draft = welder_test(author, who, state=State.DRAFT, edition="iso_9606_1_2012")
    own = {"born_on": "1988-04-02", "born_at": "Port Ellery", "identified_by": "Passport"}
    author_client.post(reverse("welder_test_edit", args=[draft.pk]), {**edit_post(draft, **WELDED), **own})
    who.refresh_from_db()
    assert (who.birth, who.identified_by) == ("1988-04-02, Port Ellery", "Passport")
    entry = AuditEntry.objects.get(record_kind="welder")
    assert entry.data["changes"]["born_at"] == ["", "Port Ellery"]
    author_client.post(
        reverse("welder_test_edit", args=[draft.pk]), edit_post(WelderTest.objects.get(), **WELDED)
    )
    who.refresh_from_db()
    assert who.identified_by == "Passport", "an empty field takes nothing away"
    other = welder_test(author, who, "WT-30", state=State.DRAFT)
    page = author_client.get(reverse("welder_test_edit", args=[other.pk]))
    assert "born_on" not in page.context["head"].fields


def test_a_button_that_adds_a_process_keeps_what_is_typed_above_and_judges_none_of_it(
    author_client: Client, author: User
) -> None:
    draft = welder_test(author, welder(), state=State.DRAFT)
    typed = {**edit_post(draft, welded_on="soon", title="Deck, second try", welder=""), **NEW}
    typed.pop("do")
    answer = author_client.post(reverse("welder_test_edit", args=[draft.pk]), {**typed, "lines": "add:GTAW"})
    assert answer.status_code == 200
    head = answer.context["head"]
    assert not head.errors
    assert (head["title"].value(), head["welded_on"].value()) == ("Deck, second try", "soon")
    assert (head["new_welder_name"].value(), head["welder"].value()) == ("Solveig Aune", "")
    assert [line.process for line in answer.context["forms"].lines] == ["GMAW", "GTAW"]
    draft.refresh_from_db()
    assert draft.title == "Gangway deck coupon"


def test_from_the_results_one_goes_back_to_what_was_welded_with_them_saved(
    author_client: Client, author: User
) -> None:
    draft = procedure_test(author, state=State.DRAFT, results=[])
    sent = results_post(draft, [{"kind": "tension", "specimen": "T1", "width": "3/4"}], do="welded")
    answer = author_client.post(reverse("procedure_test_results", args=[draft.pk]), sent)
    assertRedirects(answer, reverse("procedure_test_edit", args=[draft.pk]), fetch_redirect_response=False)
    draft.refresh_from_db()
    assert draft.results[0]["width"] == "3/4"
