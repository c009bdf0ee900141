"""How long the pages are, on the demo shop and on a shop of hundreds of records: what decides lies within two
screens, and no list or history makes a page without end. The goals of record pages are near those of their
design; pages of a list may take so much for each of its rows."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from qualification.models import ProcedureTest, Trial, WelderTest
from qualification.views.lists import A_PAGE
from tests.browser.written import show
from tests.conftest import DESKTOP, PHONE
from tests.many_records import add_many
from wps.models import Job, Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SCREEN = 844
A_ROW = {DESKTOP: 105, PHONE: 180}
"""Pixels of one row of a list, all columns read."""
A_WELD = {DESKTOP: 85, PHONE: 100}
"""Pixels of one weld on the page of a job."""
RECORDS = 300
TESTS_OF_ONE = 292
BAND, RANGE, OUTCOME = ".band .button >> nth=0", "[aria-labelledby=range-title]", "#outcome-title"
FINDINGS, EVIDENCE = "[aria-labelledby=findings-title]", "[aria-labelledby=evidence-title]"
ENDS = "element => element.getBoundingClientRect().bottom + window.scrollY"


def test_pages_stay_short_and_say_first_what_decides(
    open_page: Callable[..., Page], signed_in: Callable[[User], Client]
) -> None:
    call_command("demo", verbosity=0)
    welder = add_many(RECORDS, TESTS_OF_ONE)
    person = User.objects.get(username="maren")
    client = signed_in(person)
    job = Job.objects.get(number="2112")
    two = Trial.objects.order_by("pk").values_list("pk", flat=True)[:2]
    goals = {
        Spec.objects.get(number="AL-04").get_absolute_url(): (
            *_designed(1288, 2376),
            BAND,
            FINDINGS,
            EVIDENCE,
        ),
        ProcedureTest.objects.get(number="PT-001").get_absolute_url(): (
            *_designed(1325, 2123),
            BAND,
            RANGE,
            OUTCOME,
        ),
        WelderTest.objects.get(number="WT-011").get_absolute_url(): (1800, 2350, BAND, RANGE, OUTCOME),
        reverse("trial_compare") + "?" + urlencode({"t": two}, doseq=True): _designed(1144, 1663),
        job.get_absolute_url(): tuple(
            1.5 * SCREEN + job.parts.count() * A_WELD[width] for width in (DESKTOP, PHONE)
        ),
        reverse("welder", args=[welder.pk]): (981, 1610, BAND),
        reverse("today"): (3 * SCREEN, 5 * SCREEN),
        **{
            reverse(name): tuple(SCREEN + A_PAGE * A_ROW[width] for width in (DESKTOP, PHONE))
            for name in ("procedure_list", "procedure_test_list", "welder_test_list")
        },
    }
    # Written before the browser asks, so that it waits for no reckoning.
    written = {path: client.get(path).content.decode() for path in goals}
    too_long, too_low = [], []
    for place, width in enumerate((DESKTOP, PHONE)):
        page = open_page(reverse("glossary"), width, person)
        for path, html in written.items():
            show(page, path, html)
            height = page.evaluate("document.documentElement.scrollHeight")
            print(f"{path} at {width}: {height} px (goal {goals[path][place]})")
            too_long += [(path, width, height)] if height > goals[path][place] else []
            ends = {part: page.locator(part).evaluate(ENDS) for part in goals[path][2:]}
            too_low += [(path, width, part, end) for part, end in ends.items() if end > 2 * SCREEN]
    assert (too_long, too_low) == ([], [])


def _designed(*heights: int) -> tuple[float, ...]:
    """The heights of the design, and 3 % for the fonts of a machine."""
    return tuple(height * 1.03 for height in heights)
