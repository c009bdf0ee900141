"""A job of 1,000 welds in a real browser: the grid, the matrix and the log at a desk, the log on a phone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from qualification.models import Shop, State
from tests.conftest import PHONE
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.models import Job, Part, WeldEvent

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OpenPage = Callable[..., Page]
WELDS, DIFFERENT = 1000, 20


@pytest.fixture
def large(author: User, shop: Shop) -> Job:
    """Marks G-0001 to G-1000 of 20 thicknesses, one in ten beyond what is on file; two welders."""
    today = timezone.localdate()
    spec(author, procedure_test(author, welded_on=today), state=State.APPROVED)
    welder_test(author, welder("KD", "Kees Dorrit"), welded_on=today)
    welder_test(author, welder("LV", "Lena Voss"), "WT-022", welded_on=today)
    made = job()
    first = part(made, "G-0001", spec_number="W-101")
    sizes = [f"{0.125 + 0.01 * n:.3f}" if n % 10 else "3" for n in range(DIFFERENT)]
    Part.objects.bulk_create(
        Part(
            job=made,
            mark=f"G-{n:04}",
            title=first.title,
            units=first.units,
            spec_number="W-101",
            joint={**first.joint, "thickness_a": sizes[n % DIFFERENT]},
            lines=[{**first.lines[0], "deposit_thickness": sizes[n % DIFFERENT]}],
        )
        for n in range(2, WELDS + 1)
    )
    return made


def test_any_of_a_thousand_welds_is_found_and_typed_over(
    large: Job, open_page: OpenPage, author: User
) -> None:
    page = open_page(reverse("weld_list", args=[large.pk]), as_person=author)
    expect(page.get_by_role("navigation", name="Pages", exact=True)).to_contain_text("1 to 100 of 1000")
    page.get_by_role("link", name="Next").click()
    expect(page.get_by_role("navigation", name="Pages", exact=True)).to_contain_text("101 to 200 of 1000")
    page.get_by_label("Find a weld").fill("G-0777")
    page.get_by_role("button", name="Find", exact=True).last.click()
    rows = page.locator("#welds tbody tr[data-pk]")
    expect(rows).to_have_count(1)
    rows.locator("td[data-key=thickness_a]").click()
    page.keyboard.type("3/8")
    page.keyboard.press("Enter")
    expect(page.locator("#grid-state", has_text="Saved.")).to_be_visible()
    assert large.parts.get(mark="G-0777").joint["thickness_a"] == "3/8"


def test_the_matrix_of_a_thousand_welds_says_what_is_left_and_why(
    large: Job, open_page: OpenPage, author: User
) -> None:
    page = open_page(reverse("matrix", args=[large.pk]), as_person=author)
    totals = page.locator("dl.totals")
    expect(totals).to_contain_text(f"{WELDS} in {DIFFERENT} rows")
    page.get_by_role("link", name="By weld").click()
    expect(page.locator("dl.totals")).to_contain_text(f"{WELDS} in {WELDS} rows")
    expect(page.locator("table.matrix tbody tr:not(.matrix__group)")).to_have_count(100)
    page.locator("table.matrix td.matrix__cell a").first.click()
    expect(page.locator("#opened")).to_contain_text("hickness")
    page.locator("ul.chips").get_by_role("link", name="Not covered").click()
    expect(page.locator("tr.matrix__group").first).to_contain_text("No procedure")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_a_thousand_welds_are_logged_at_a_desk_and_the_next_step_on_a_phone(
    large: Job, open_page: OpenPage, phone: Callable[..., Page], author: User
) -> None:
    page = open_page(reverse("weld_log", args=[large.pk]), as_person=author)
    page.get_by_label("Welds", exact=True).fill("G-0001-G-1000")
    page.get_by_label("What was done").select_option("fit_up")
    page.get_by_label("Checked by").fill("HK")
    page.get_by_role("button", name="Log these welds").click()
    expect(page.get_by_role("status").first).to_contain_text("1000 welds are logged")
    assert WeldEvent.objects.filter(step="fit_up").count() == WELDS

    last = large.parts.get(mark="G-1000")
    small = phone(reverse("weld_log_one", args=[large.pk, last.pk]), author)
    small.get_by_label("What was done").select_option("nde_asked")
    small.get_by_label("NDE method").select_option(index=1)
    assert small.evaluate("document.documentElement.scrollWidth") <= PHONE
    small.get_by_role("button", name="Save", exact=True).click()
    logged = small.locator("section[aria-labelledby=events-title] li")
    expect(logged).to_have_count(2)  # the page comes anew once the entry has arrived
    assert last.events.count() == 2
