"""The home page."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import Shop
from wps import attention
from wps.attention import Matter, Section


def test_it_names_what_is_missing_from_the_letterhead(approver_client: Client) -> None:
    Shop.objects.all().delete()
    answer = approver_client.get("/")
    assertContains(answer, "Describe the shop")
    assertContains(answer, "Choose the code edition")


def test_what_is_done_is_no_longer_named(approver_client: Client, shop: Shop) -> None:
    answer = approver_client.get("/")
    assertNotContains(answer, "Describe the shop")
    shop.code_edition = "ex1_2031"
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
