"""Pages printed from the browser on a printer without color: words nearly black on nearly white, whatever
look the screen has, and a verdict told by its shape and words."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page

from qualification.models import Shop
from tests.conftest import DESKTOP
from tests.shop_records import procedure_test, spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DARKEST_PAPER, LIGHTEST_INK = 0xDD, 0x55
"""Grays (0 black, 255 white) that a laser printer still tells apart at 9 pt; common practice."""
PALE = """
([paper, ink]) => {
  const gray = color => {
    const [red, green, blue, clear] = color.match(/[0-9.]+/g).map(Number);
    return clear === 0 ? null : 0.299 * red + 0.587 * green + 0.114 * blue;
  };
  const found = [];
  for (const each of document.querySelectorAll("body *")) {
    const says = [...each.childNodes].some(node => node.nodeType === 3 && node.data.trim());
    const style = getComputedStyle(each);
    const ground = gray(style.backgroundColor);
    if (!each.getClientRects().length || style.visibility === "hidden") continue;
    if (ground !== null && ground < paper) found.push([each.className, style.backgroundColor]);
    if (says && gray(style.color) > ink) found.push([each.textContent.trim(), style.color]);
  }
  return found;
}
"""


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_a_page_printed_in_gray_is_read(
    dark: bool, open_page: Callable[..., Page], author: User, shop: Shop
) -> None:
    test = procedure_test(author)
    claimed = spec(author, test, joint={"thickness_a": "1/8-2"})
    for record in (test, claimed):
        page = open_page(record.get_absolute_url(), DESKTOP, author, dark=dark)
        page.emulate_media(media="print", color_scheme="dark" if dark else "light")
        assert page.evaluate(PALE, [DARKEST_PAPER, LIGHTEST_INK]) == []
    assert page.locator(".answer .verdict svg").first.is_visible()
    assert page.locator(".answer .verdict").first.inner_text().startswith("Not covered")
