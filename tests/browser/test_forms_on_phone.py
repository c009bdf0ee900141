"""The long forms on a phone, by thumb: one section at a time, nothing to push sideways, and a way to any
field that takes few keys."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, expect

from qualification.models import Shop, State
from tests.conftest import PHONE
from tests.shop_records import procedure_test, spec, welder, welder_test

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SCREEN = 844
KINDS = ["procedure", "procedure test", "welder test"]
LONGEST = 4 * SCREEN
"""Pixels of the longest section; most take one screen or two."""
TAB_STOPS = 10
SHOW_ALL = "document.querySelectorAll('.part--away').forEach(each => each.classList.remove('part--away'))"
HEIGHT, WIDTH = "document.documentElement.scrollHeight", "document.documentElement.scrollWidth"


def address(kind: str, author: User) -> str:
    test = procedure_test(author, state=State.DRAFT)
    if kind == "procedure":
        return reverse("procedure_edit", args=[spec(author, test).pk])
    if kind == "procedure test":
        return reverse("procedure_test_edit", args=[test.pk])
    return reverse("welder_test_edit", args=[welder_test(author, welder(), state=State.DRAFT).pk])


@pytest.mark.parametrize("kind", KINDS)
def test_a_form_is_walked_by_thumb(
    kind: str, shop: Shop, author: User, open_page: Callable[..., Page]
) -> None:
    page = open_page(address(kind, author), width=PHONE, as_person=author)
    _sections_are_short_and_narrow(page, kind)
    _the_joint_is_few_keys_away(page)
    _a_field_is_found_and_the_enter_key_stays_where_one_is(page)


def _sections_are_short_and_narrow(page: Page, kind: str) -> None:
    names = page.locator("#part option").all_text_contents()
    heights, wide = {}, []
    for index, name in enumerate(names):
        page.locator("#part").select_option(index=index)
        heights[name] = page.evaluate(HEIGHT)
        wide += [name] if page.evaluate(WIDTH) > PHONE else []
    page.evaluate(SHOW_ALL)
    whole = page.evaluate(HEIGHT)
    print(f"{kind}: {len(names)} sections, {sorted(heights.values())} px; all at once {whole} px")
    assert (wide, [name for name, height in heights.items() if height > LONGEST]) == ([], [])
    assert sorted(heights.values())[len(heights) // 2] <= 2 * SCREEN
    page.reload()


def _the_joint_is_few_keys_away(page: Page) -> None:
    reached = "document.activeElement.id.startsWith('id_joint-')"
    for stops in range(1, TAB_STOPS):
        page.keyboard.press("Tab")
        if "joint" in page.locator(":focus").inner_text().lower() and page.locator(":focus.skip").count():
            page.keyboard.press("Enter")
        if page.evaluate(reached):
            print(f"the joint is {stops} keys away")
            return
    pytest.fail(f"the joint is {TAB_STOPS} keys away or more")


def _a_field_is_found_and_the_enter_key_stays_where_one_is(page: Page) -> None:
    finder = page.get_by_label("Go to a field")
    finder.fill("thickness of side a")
    button = page.get_by_role("button", name=re.compile("^Go$"))
    box = button.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 44
    button.click()
    field = page.locator("#id_joint-thickness_a")
    expect(field).to_be_focused()
    expect(field).to_be_in_viewport()
    at = page.evaluate("window.scrollY")
    field.press("Enter")
    expect(field).not_to_be_focused()
    expect(page.locator(":focus")).to_be_in_viewport()
    assert abs(page.evaluate("window.scrollY") - at) < SCREEN
