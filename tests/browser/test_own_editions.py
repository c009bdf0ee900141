"""A shop's own edition from a page of an invented book, in a real browser: entered, published, chosen for a
procedure, exported, and imported by a second shop."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect
from pytest_django import Settings

from qualification.codes import own_editions
from qualification.models import OwnEdition, ProcedureTest, Shop
from qualification.roles import APPROVER, AUTHOR, grant_roles
from tests.ellery_works import COUPON
from tests.shop_records import procedure_test, spec
from wps.models import Spec
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
    settings: Settings,
    tmp_path: Path,
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
    exported = sent.value.path()
    received = read_archive(exported.read_bytes())
    assert received.signer.shop == shop.name
    written_under(page, edition, approver)
    another_shop(settings, tmp_path)
    taken_in(page, exported, edition, shop.name)
    assert_accessible(page)


def written_under(page: Page, edition: str, approver: User) -> None:
    """The edition is offered for a new procedure, and a procedure under it is judged by it."""
    own = OwnEdition.objects.get()
    page.goto(edition.replace(edition[edition.index("/own-editions/") :], "/procedures/new/"))
    expect(page.get_by_label("Code edition")).to_contain_text("Ellery Works Code, 3")
    test = procedure_test(approver, state="draft", edition=own.key)
    made = spec(approver, test, edition=own.key)
    page.goto(edition.replace(edition[edition.index("/own-editions/") :], made.get_absolute_url()))
    expect(page.locator("main")).to_contain_text("Ellery Works Code, 3")
    page.goto(edition)
    expect(page.locator("section[aria-labelledby=resting-title]")).to_contain_text(made.number)


def another_shop(settings: Settings, tmp_path: Path) -> None:
    """The same server as if it were another shop's: another name, another authority, nothing on file."""
    Spec.objects.all().delete()
    ProcedureTest.objects.all().delete()
    OwnEdition.objects.all().delete()
    Shop.objects.update(name="Harrow Lane Fabrication")
    settings.AUTHORITY_DIR = tmp_path / "another_authority"


def taken_in(page: Page, exported: Path, edition: str, sender: str) -> None:
    """Imported as a draft that says who signed it and under which authority; published only by an act."""
    page.goto(edition[: edition.index("/own-editions/")] + "/own-editions/")
    expect(page.locator("main")).to_contain_text("The shop has no edition of its own.")
    page.get_by_role("link", name="Import an edition").click()
    page.get_by_label("Exported edition").set_input_files(exported)
    page.get_by_role("button", name="Import it as a draft").click()
    expect(page.locator("main")).to_contain_text(f"Received from {sender}")
    expect(page.locator("main")).to_contain_text("compare the fingerprint by phone")
    expect(page.locator(".page-head__intro")).to_contain_text("Draft")
    page.get_by_role("button", name="Publish").click()
    expect(page.locator(".notes")).to_contain_text("is published")
