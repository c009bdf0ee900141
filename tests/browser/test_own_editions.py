"""A shop's own edition from a page of an invented book, in a real browser: entered, published, chosen for a
procedure, exported."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.codes import own_editions
from qualification.models import Shop
from qualification.roles import APPROVER, AUTHOR, grant_roles
from tests.ellery_works import COUPON
from wps.outside.edition_archive import read_archive

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def filled(page: Page, entries: dict[str, str], button: str) -> None:
    """Fill in entries by their labels, choose those that are choices, and press the button."""
    for label, value in entries.items():
        field = page.get_by_label(label, exact=True)
        if field.evaluate("each => each.tagName") == "SELECT":
            field.select_option(label=value)
        else:
            field.fill(value)
    page.get_by_role("button", name=button).click()


ROWS = [
    ({"Table": "Procedure: variables", "What it limits": "Process",
        "Kind of rule": "Only what was tested"},
        {"Clause": "P.1", "The rule in words": "Each process needs a test of its own."}),
    ({"Table": "A new table of bands", "Name of a new table": "plate", "Numbers of": "Length"},
        {"Clause": "P.5", "Smallest, times the tested": "0.5", "Largest, times the tested": "2"}),
    ({"Table": "Procedure: variables", "What it limits": "Thickness of the thinner side",
        "Kind of rule": "By a table of bands of a number"},
        {"Clause": "P.5", "The rule in words": "Half to twice.", "Table of bands": "plate"}),
]  # fmt: skip


def enter_rows(page: Page, edition: str) -> None:
    for about, says in ROWS:
        page.goto(edition)
        page.get_by_role("link", name="Add a row").click()
        filled(page, about, "Show its entries")
        expect(page.get_by_role("button", name="Save the row")).to_be_visible()
        filled(page, says, "Save the row")
        expect(page.locator(".notes")).to_contain_text("The row is saved.")


def enter_cases(page: Page, edition: str) -> None:
    for weld, answer in (
        ("1/2 in", "The test qualifies the weld"),
        ("0.51 in", "The test does not qualify the weld"),
    ):
        page.goto(edition)
        page.get_by_role("link", name="Add a case for procedures").click()
        filled(
            page,
            {
                "What it shows": f"A weld of {weld}",
                "Coupon typed in": COUPON,
                "The weld, where it is not like the coupon": f"Thickness of side A: {weld}",
                "Answer by the book": answer,
            },
            "Save the case",
        )
        expect(page.locator(".notes")).to_contain_text("It comes out as stated.")


def test_a_page_of_a_book_becomes_an_edition_that_a_procedure_is_written_under(
    shop: Shop,
    approver: User,
    open_page: Callable[..., Page],
    assert_accessible: Callable[[Page], None],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(own_editions, "DOCUMENTS", 1)
    grant_roles(approver, [AUTHOR, APPROVER])
    page = open_page("/own-editions/", as_person=approver)
    page.get_by_role("link", name="New edition").click()
    page.get_by_label("GMAW").check()
    filled(
        page,
        {
            "Begin from": "Nothing: start empty",
            "Code": "Ellery Works Code",
            "Edition": "3",
            "Title": "Gates and gangways",
            "Which book": "Office copy 1",
        },
        "Make the draft",
    )
    expect(page.locator("h1")).to_have_text("Ellery Works Code, 3")
    assert_accessible(page)
    edition = page.url
    enter_rows(page, edition)
    assert_accessible(page)
    enter_cases(page, edition)
    page.get_by_role("button", name="Publish").click()
    expect(page.locator(".notes")).to_contain_text("is published")
    assert_accessible(page)
    with page.expect_download() as sent:
        page.get_by_role("link", name="Export").click()
    received = read_archive(sent.value.path().read_bytes())
    assert received.signer.shop == shop.name
    page.goto(edition.replace(edition[edition.index("/own-editions/") :], "/procedures/new/"))
    expect(page.get_by_label("Code edition")).to_contain_text("Ellery Works Code, 3")
