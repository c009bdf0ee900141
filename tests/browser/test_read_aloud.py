"""What a screen reader tells on the way of the main job, and what the keyboard reaches in sight: the tree of
names and roles is asserted, and no bar lies over the field that has the focus."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlsplit

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from qualification.models import Shop, State
from tests.conftest import DESKTOP, PHONE
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]

THE_TEST = """
- main:
  - heading "PT-014 Gangway deck coupon" [level=1]
  - region "Verdict and next step":
    - paragraph: Passed
    - button "Start a procedure from it"
  - region /Range of qualification/:
    - heading /Range of qualification/ [level=2]
    - region /GMAW/:
      - table
"""
THE_PROCEDURE = """
- main:
  - heading "W-101 Gangway deck, pulsed" [level=1]
  - region "Verdict and next step":
    - paragraph: /Covered by PT-014/
    - button "Submit for review"
    - link "Edit the draft"
  - region "Coverage by supporting tests":
    - heading "Coverage by supporting tests" [level=2]
  - region "Evidence":
    - list:
      - listitem:
        - link "PT-014 rev 0"
  - region "Settings"
  - region "The weld"
"""
THE_WELD = """
- main:
  - heading "G-12 Deck plate to stringer" [level=1]
  - region "Verdict and next step":
    - paragraph: Inside W-102. Covered by PT-014.
    - link "Log at the weld"
    - link "Edit the weld"
  - region "The weld"
  - region "Procedures that fit":
    - list:
      - listitem:
        - link "W-102"
  - region "Who may weld it today":
    - list:
      - listitem:
        - link /Kees Dorrit/
  - region "Assigned":
    - combobox "WPS"
    - combobox "Welder"
    - button "Assign"
"""
COVERED_BY_THE_FOOT = """
() => {
  const bar = document.querySelector(".desk__bar");
  const hidden = [];
  for (const field of document.querySelectorAll("main input, main select, main textarea")) {
    if (!field.checkVisibility() || field.disabled || bar.contains(field)) continue;
    field.focus();
    const [at, foot] = [field.getBoundingClientRect(), bar.getBoundingClientRect()];
    if (at.top < foot.bottom && at.bottom > foot.top + 1) hidden.push(field.name);
  }
  return hidden;
}
"""


def test_the_main_job_as_it_is_read_aloud(open_page: OpenPage, author: User, shop: Shop) -> None:
    today = timezone.localdate()
    test = procedure_test(author, welded_on=today)
    draft = spec(author, test)
    spec(author, test, number="W-102", state=State.APPROVED)
    welder_test(author, welder("KD", "Kees Dorrit"), welded_on=today)
    weld = part(job(), spec_number="W-102")
    page = open_page(test.get_absolute_url(), as_person=author)
    site = "{0.scheme}://{0.netloc}".format(urlsplit(page.url))
    expect(page.locator("main")).to_match_aria_snapshot(THE_TEST)
    page.goto(site + draft.get_absolute_url())
    expect(page.locator("main")).to_match_aria_snapshot(THE_PROCEDURE)
    page.goto(site + weld.get_absolute_url())
    expect(page.locator("main")).to_match_aria_snapshot(THE_WELD)


@pytest.mark.parametrize(
    ("width", "height"), [(DESKTOP // 2, 844 // 2), (DESKTOP // 2, 700), (PHONE, 844)], ids=str
)
def test_the_bar_at_the_foot_covers_no_field_that_has_the_focus(
    width: int, height: int, open_page: OpenPage, author: User, shop: Shop
) -> None:
    """Half of 1280 px by 844 is what a window of that size shows at 200 %."""
    draft = spec(author, procedure_test(author))
    page = open_page(f"/procedures/{draft.pk}/edit/", width=width, as_person=author)
    page.set_viewport_size({"width": width, "height": height})
    expect(page.locator(".desk__bar")).to_be_visible()
    assert page.evaluate(COVERED_BY_THE_FOOT) == []
