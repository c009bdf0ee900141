"""Twenty rows of the code tables confirmed at a desk, by the keyboard alone."""

from collections.abc import Callable
from time import monotonic

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from qualification.models import Shop, TableCheck
from tests.conftest import PHONE
from tests.shop_records import EDITION, procedure_test
from wps.corrections.work_sheet import Part, work_sheet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

URL = f"/code-tables/work-sheet/{EDITION}/"
COPY = "2023, office"
FIVE_MINUTES, KEYS_A_SECOND = 300, 2
"""What the pass may take, and how fast somebody types who looks into a book in between."""


def test_twenty_rows_are_confirmed_by_keyboard(
    shop: Shop,
    author: User,
    approver: User,
    open_page: Callable[..., Page],
    assert_accessible: Callable[[Page], None],
) -> None:
    procedure_test(author)
    waiting = work_sheet(EDITION).of(Part.USED)[:20]
    keys = 0
    page = open_page(f"{URL}?part=used", as_person=approver)
    began = monotonic()
    page.get_by_label("Which copy").focus()
    page.keyboard.type(COPY)
    page.keyboard.press("Enter")
    keys += len(COPY) + 1
    for line in waiting:
        expect(page.locator(f"#book-{line.row.number}")).to_be_focused()
        if line.row.place_for("999 mm") is not None:
            own = line.row.numbers[0][1]
            page.keyboard.type(own)
            keys += len(own)
        page.keyboard.press("Enter")
        keys += 1
    expect(page.get_by_text("20 of 20 entered")).to_be_visible()
    expect(page.get_by_role("button", name="Save the confirmed rows")).to_be_focused()
    page.keyboard.press("Enter")
    keys += 1
    expect(page.locator(".notes")).to_contain_text(f"20 rows are confirmed against {COPY}.")
    print(f"20 rows of {EDITION}: {keys} keys, {monotonic() - began:.1f} s of the program")
    assert TableCheck.objects.filter(changes=[]).count() == 20
    assert keys / KEYS_A_SECOND < FIVE_MINUTES
    # The next rows wait, with the copy and the day known.
    expect(page.get_by_label("Which copy")).to_have_value(COPY)
    following = work_sheet(EDITION).of(Part.USED)[0].row.number
    expect(page.locator(f"#book-{following}")).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(page.locator(f"#book-{following}")).not_to_be_focused()
    page.keyboard.press("ArrowUp")
    page.keyboard.type("something else")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Save the confirmed rows").press("Enter")
    expect(page.get_by_role("heading", name="The book says something else")).to_be_visible()
    page.set_viewport_size({"width": PHONE, "height": 844})
    assert_accessible(page)
    page.get_by_role("link", name=f"Correct no. {following}").press("Enter")
    expect(page.get_by_text("The book says: something else")).to_be_visible()
    assert TableCheck.objects.count() == 20
