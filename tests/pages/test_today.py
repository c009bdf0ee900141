"""The home page."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import Shop, State
from qualification.records import workflow
from tests.shop_records import procedure_test
from wps.today import attention
from wps.today.matters import Matter, Rank, Section


def test_it_names_what_is_missing_from_the_letterhead(approver_client: Client) -> None:
    Shop.objects.all().delete()
    answer = approver_client.get("/")
    assertContains(answer, "Describe the shop")
    assertContains(answer, "Choose the code edition")


def test_what_is_done_is_no_longer_named(approver_client: Client, shop: Shop) -> None:
    answer = approver_client.get("/")
    assertNotContains(answer, "Describe the shop")
    assertContains(answer, "Set the address of the server")
    shop.code_edition, shop.server_address = "ex1_2031", "https://welding.tidewater.example"
    shop.save()
    assertContains(approver_client.get("/"), "The letterhead is complete.")


def test_what_one_cannot_mend_is_not_named(author_client: Client) -> None:
    assertNotContains(author_client.get("/"), "Describe the shop")


def test_sections_with_matters_stand_first(monkeypatch: pytest.MonkeyPatch, reader: User) -> None:
    quiet = Section("Quiet", "Nothing waits.", ())
    busy = Section("Busy", "Nothing waits.", (Matter("Weld the coupon", "/"),))
    monkeypatch.setattr(
        attention, "SOURCES", [lambda person: quiet, lambda person: None, lambda person: busy]
    )
    assert [section.title for section in attention.sections_for(reader)] == ["Busy", "Quiet"]


def test_what_is_in_order_is_said_in_one_list(monkeypatch: pytest.MonkeyPatch, reader_client: Client) -> None:
    busy = Section("Busy", "", (Matter("Weld the coupon", "/"),))
    sections = [Section("Quiet", "Every gauge is calibrated.", ()), busy, Section("Silent", "", ())]
    monkeypatch.setattr(attention, "SOURCES", [lambda person, made=made: made for made in sections])
    answer = reader_client.get("/")
    assertContains(answer, "<li>Every gauge is calibrated.</li>", html=True)
    assertNotContains(answer, "Quiet")
    assertNotContains(answer, "Silent")


def test_without_a_role_there_is_nothing_to_see(outsider: User, client: Client) -> None:
    client.force_login(outsider)
    answer = client.get("/")
    assertContains(answer, "You have no role yet", status_code=403)
    assertContains(answer, "You have none.", status_code=403)
    assertNotContains(answer, 'aria-label="Main"', status_code=403)


def test_the_navigation_shows_pages_that_exist_and_where_one_is(approver_client: Client) -> None:
    answer = approver_client.get(reverse("shop"))
    assertContains(answer, '<a href="/shop/" aria-current="page">Shop</a>', count=2, html=True)
    assertContains(answer, '<a href="/">Today</a>', count=2, html=True)


def test_the_next_three_steps_are_the_most_pressing(
    monkeypatch: pytest.MonkeyPatch, reader_client: Client
) -> None:
    """Work that stopped, then what is about to, then what waits; several of one sort are one."""
    ends = Matter("Ends in 23 days", "/", rank=Rank.ENDS_SOON)
    sections = [
        Section("Later", "", (Matter("Choose the code edition", "/"),)),
        Section(
            "Sign", "", (Matter("a", "/"), Matter("b", "/")), Matter("2 documents", "/"), rank=Rank.WAITS
        ),
        Section("Lapse", "", (ends, Matter("Lapsed", "/")), rank=Rank.STOPPED, button="Look"),
    ]
    monkeypatch.setattr(attention, "SOURCES", [lambda person, made=made: made for made in sections])
    answer = reader_client.get("/")
    steps = answer.context["steps"]
    assert [step.what for step in steps] == ["Lapsed", "Ends in 23 days", "2 documents"]
    assert [step.button for step in steps] == ["Look", "Look", "Open"]
    assertContains(answer, "Next 3 steps")
    assertContains(answer, "All 5")


def test_an_empty_shop_is_led_to_its_first_paper(author_client: Client, shop: Shop, author: User) -> None:
    answer = author_client.get("/")
    assert [step.what for step in answer.context["steps"]] == ["Write the first paper"]
    procedure_test(author)
    assert "Write the first paper" not in author_client.get("/").content.decode()


def test_a_returned_draft_says_why_on_the_home_page(
    author_client: Client, author: User, approver: User
) -> None:
    draft = procedure_test(author, state=State.DRAFT)
    workflow.apply("submit", draft, author)
    workflow.apply("return", draft, approver, "State the heat of side A.")
    assertContains(author_client.get("/"), "returned by Tobias Quell: “State the heat of side A.”")
    workflow.apply("submit", draft, author)
    workflow.apply("take_back", draft, author)
    assertNotContains(author_client.get("/"), "State the heat of side A.")


@pytest.mark.parametrize(("count", "in_sight"), [(7, 7), (8, 6)])
def test_of_many_matters_the_first_stand_in_sight_and_none_is_lost(count: int, in_sight: int) -> None:
    section = Section("Drafts", "", tuple(Matter(f"W-{n}", f"/{n}/") for n in range(count)))
    assert (len(section.first), len(section.rest)) == (in_sight, count - in_sight)
    assert (*section.first, *section.rest) == section.matters
