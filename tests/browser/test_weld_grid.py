"""The weld list as a grid, by keyboard: type, fill down, paste a block, undo; what cannot be read stays."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from qualification.models import Shop
from tests.conftest import PHONE
from tests.shop_records import job, part
from wps.models import Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OpenPage = Callable[..., Page]
PASTE = """text => {
  const data = new DataTransfer();
  data.setData('text/plain', text);
  document.activeElement.dispatchEvent(new ClipboardEvent('paste', {clipboardData: data, bubbles: true}));
}"""


def cell(page: Page, mark: str, key: str) -> Locator:
    row = page.locator("#welds tbody tr").filter(has=page.locator("td[data-key=mark]", has_text=mark))
    return row.locator(f"td[data-key={key}]")


def stored(of: Job, mark: str) -> str:
    return str(of.parts.get(mark=mark).joint["thickness_a"])


def test_the_list_is_typed_by_keyboard(
    open_page: OpenPage, author: User, shop: Shop, assert_accessible: Callable[[Page], None]
) -> None:
    made = job()
    for n in range(1, 5):
        part(made, f"W-{n}")
    page = open_page(reverse("weld_list", args=[made.pk]), as_person=author)
    saved = page.locator("#grid-state", has_text="Saved.")

    cell(page, "W-1", "thickness_a").click()
    page.keyboard.type("3/8")
    page.keyboard.press("Enter")
    expect(saved).to_be_visible()
    assert stored(made, "W-1") == "3/8"
    page.keyboard.press("ArrowUp")
    for _ in range(2):
        page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Control+d")
    expect(cell(page, "W-3", "thickness_a")).to_have_text("3/8")
    expect(page.locator(".is-busy")).to_have_count(0)
    assert [stored(made, f"W-{n}") for n in range(1, 5)] == ["3/8", "3/8", "3/8", "1/4"]
    page.keyboard.press("Control+z")
    expect(cell(page, "W-3", "thickness_a")).to_have_text("1/4")

    cell(page, "W-4", "mark").click()
    page.keyboard.press("ArrowDown")
    page.evaluate(PASTE, "W-5\t\tLug\nW-6\t\tLug")
    expect(page.locator(".is-busy")).to_have_count(0)
    expect(page.get_by_role("link", name="Open", exact=False)).to_have_count(6)
    assert list(made.parts.filter(title="Lug").values_list("mark", flat=True)) == ["W-5", "W-6"]

    cell(page, "W-6", "position").click()
    page.keyboard.type("1Q")
    page.keyboard.press("Enter")
    expect(page.locator("#grid-problems")).to_contain_text("W-6, Pos")
    expect(cell(page, "W-6", "position")).to_have_text("1Q")
    assert_accessible(page)
    page.keyboard.press("F8")
    page.keyboard.press("F2")
    page.keyboard.type("3G")
    page.keyboard.press("Enter")
    expect(page.locator("#grid-problems")).to_be_hidden()
    assert made.parts.get(mark="W-6").joint["position"] == ["vertical"]
    page.set_viewport_size({"width": PHONE, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE
