"""Error pages and the headers every page carries."""

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client, override_settings
from django.urls import path
from pytest_django.asserts import assertContains

from wps.urls import handler400, handler403, handler404, handler500  # noqa: F401  the handlers under test
from wps.urls import urlpatterns as pages


def breaks(request: HttpRequest) -> HttpResponse:
    raise RuntimeError("broken on purpose")


urlpatterns = [*pages, path("breaks/", breaks)]


def test_an_unknown_address_has_its_page(client: Client, db: None) -> None:
    assertContains(client.get("/no-such-record/"), "There is no such page", status_code=404)


@override_settings(ROOT_URLCONF="tests.pages.test_errors")
def test_a_fault_has_its_page_without_the_fault_in_it(db: None) -> None:
    answer = Client(raise_request_exception=False).get("/breaks/")
    assertContains(answer, "The program failed", status_code=500)
    assert b"broken on purpose" not in answer.content


def test_a_request_for_another_host_has_its_page(client: Client, db: None) -> None:
    answer = client.get("/sign-in/", headers={"host": "elsewhere.example"})
    assertContains(answer, "The request could not be read", status_code=400)


def test_a_form_without_its_token_has_its_page(db: None) -> None:
    answer = Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "maren"})
    assertContains(answer, "This form has expired", status_code=403)


@pytest.mark.parametrize("address", ["/sign-in/", "/no-such-record/"])
def test_every_page_carries_the_strict_headers(client: Client, db: None, address: str) -> None:
    answer = client.get(address)
    policy = dict(part.strip().split(" ", 1) for part in answer["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert b"<script>" not in answer.content
    assert b"style=" not in answer.content


def test_fonts_are_served_as_fonts(client: Client, db: None) -> None:
    answer = client.get("/static/fonts/plex-sans-regular.ttf")
    assert answer["Content-Type"] == "font/ttf"
