"""The whole job once, in a real browser: a coupon is welded and tested, a procedure is written against it,
held back while it reaches too far, approved when it does not, a welder is found for the part, and the paper
printed.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from qualification.models import ProcedureTest, Shop, State
from tests.shop_records import (
    COUPON_JOINT,
    COUPON_LINE,
    EDITION,
    RESULTS,
    SPEC_JOINT,
    SPEC_LINE,
    approve,
    job,
    part,
    welder,
    welder_test,
)
from wps.background import tasks
from wps.models import Spec

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]


def test_from_coupon_to_printed_page(open_page: OpenPage, author: User, approver: User, shop: Shop) -> None:
    shop.code_edition = EDITION
    shop.save()
    welder()
    desk = open_page("/procedure-tests/", as_person=author)
    office = open_page("/", as_person=approver)
    site = office.url.rstrip("/")

    test = weld_and_test_a_coupon(desk)
    office.goto(site + test.get_absolute_url())
    office.get_by_role("button", name="Approve").click()
    expect(office.locator("header.title-block")).to_contain_text("Approved")
    expect(office.locator("main")).to_contain_text("1/16 to 1/2 in (1.59 to 12.7 mm)")

    spec = write_a_procedure_that_reaches_too_far(desk, site)
    refuse(office, site, spec)
    draw_it_back(desk, site, spec)
    office.goto(site + spec.get_absolute_url())
    office.get_by_role("button", name="Approve").click()
    expect(office.locator("header.title-block")).to_contain_text("Approved")
    spec.refresh_from_db()
    assert spec.snapshot["verdict"] == "covered"

    find_a_welder(desk, site, author, approver)
    read_the_paper(office, site, spec)


def weld_and_test_a_coupon(page: Page) -> ProcedureTest:
    """Record the coupon and its results; the range appears only with the last required result."""
    page.get_by_role("link", name="Start a procedure test").click()
    page.get_by_label("Title").fill("Gangway stringer, pulsed")
    page.get_by_role("button", name="Start the draft").click()
    page.get_by_label("Welder", exact=True).select_option(label="Anouk Berglund (AB)")
    page.get_by_label("Welding completed on").fill(f"{timezone.localdate() - timedelta(days=9)}")
    page.get_by_role("button", name="GMAW", exact=True).click()
    enter(page, "joint", COUPON_JOINT)
    enter(page, "line-0", COUPON_LINE)
    page.get_by_role("button", name="Save and enter results").click()
    page.get_by_role("button", name="Save results").click()
    expect(page.locator("main")).to_contain_text("This record qualifies nothing")
    page.get_by_role("link", name="Enter test results").click()
    for index, row in enumerate(RESULTS[:6]):
        specimen = page.locator(f".specimen:has(#row-{index})")
        for key, text in row.items():
            if key not in ("kind", "specimen"):
                put(specimen.locator(f'[name="row-{index}-{key}"]'), text)
    page.get_by_role("button", name="Save results").click()
    record = ProcedureTest.objects.get()
    page.get_by_role("button", name="Submit for review").click()
    expect(page.locator("header.title-block")).to_contain_text("In review")
    return record


def write_a_procedure_that_reaches_too_far(page: Page, site: str) -> Spec:
    """A half inch is qualified; three quarters are claimed, and the check says so while one types."""
    page.goto(site + "/procedures/new/")
    page.get_by_label("Number", exact=True).fill("AL-07")
    page.get_by_label("Title", exact=True).fill("Gangway stringers")
    page.get_by_role("button", name="GMAW", exact=True).click()
    page.get_by_label("PT-001").check()
    enter(page, "joint", {**SPEC_JOINT, "thickness_a": "1/8-3/4"})
    enter(page, "line-0", SPEC_LINE)
    expect(page.locator("#verdict")).to_contain_text("Not covered")
    expect(page.locator("#check")).to_contain_text("QW-451.1")
    page.get_by_role("button", name="Save and view").click()
    expect(page.locator("main")).to_contain_text("1/16 to 1/2 in (1.59 to 12.7 mm)")
    page.get_by_role("button", name="Submit for review").click()
    return Spec.objects.get()


def refuse(page: Page, site: str, spec: Spec) -> None:
    """Approval is refused with the findings, and the approver returns it."""
    page.goto(site + spec.get_absolute_url())
    page.get_by_role("button", name="Approve").click()
    refusal = page.locator(".problem")
    expect(refusal).to_contain_text("Thickness of the thicker side: not covered")
    spec.refresh_from_db()
    assert spec.state == State.IN_REVIEW
    assert spec.snapshot is None
    page.get_by_text("Return to the author …").click()
    page.get_by_label("Reason").first.fill("Claim no more than the coupon carries.")
    page.get_by_role("button", name="Return to the author").click()
    expect(page.locator("header.title-block")).to_contain_text("Draft")


def draw_it_back(page: Page, site: str, spec: Spec) -> None:
    page.goto(f"{site}/procedures/{spec.pk}/edit/")
    put(page.locator('[name="joint-thickness_a"]'), "1/8-1/2")
    expect(page.locator("#verdict")).to_contain_text("Covered")
    page.get_by_role("button", name="Save and view").click()
    page.get_by_role("button", name="Submit for review").click()
    expect(page.locator("header.title-block")).to_contain_text("In review")


def find_a_welder(page: Page, site: str, author: User, approver: User) -> None:
    """The welder of the coupon may weld the part; one whose test has lapsed may not, and the page says
    why."""
    lapsed = welder("RS", "Ruud Stelling")
    approve(
        welder_test(
            author,
            lapsed,
            number="WT-900",
            state=State.DRAFT,
            welded_on=timezone.localdate() - timedelta(days=400),
        ),
        author,
        approver,
    )
    weld = part(job(), spec_number="AL-07")
    page.goto(f"{site}/who-may-weld/?part={weld.pk}")
    answers = page.locator("main")
    expect(answers).to_contain_text("Anouk Berglund")
    expect(answers).to_contain_text("May weld")
    expect(answers).to_contain_text("Ruud Stelling")
    expect(answers).to_contain_text("6 months without use ended")


def read_the_paper(page: Page, site: str, spec: Spec) -> None:
    """The document is rendered once, in the background, from what was approved."""
    assert tasks.run_all() >= 1
    answer = page.request.get(f"{site}/documents/procedure/{spec.pk}.pdf")
    assert answer.ok
    assert answer.headers["content-type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(answer.body()))
    pages = [page.extract_text() for page in reader.pages]
    whole = "\n".join(pages)
    for number, text in enumerate(pages, start=1):
        assert "AL-07 rev 0" in text
        assert f"Page {number} of {len(pages)}" in text
    for words in (
        "Tidewater Gangway Works",
        "Welding procedure specification",
        "Gangway stringers",
        "ASME BPVC Section IX, 2023",
        "PT-001 rev 0",
        "1/8 to 1/2 in (3.18 to 12.7 mm)",
        "1/16 to 1/2 in",
        "Pulsed spray",
        "ER5356",
        "100 % Ar",
        "QW-451.1",
        "Covered by PT-001",
        "Tobias Quell",
        "Maren Oosting",
        "responsible welding person",
    ):
        assert words in whole, words
    assert "record.json" in reader.attachments
    assert bool(reader.trailer["/Root"]["/MarkInfo"]["/Marked"])


def enter(page: Page, scope: str, entries: dict[str, Any]) -> None:
    """Type every entry into its field, opening what is folded away."""
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
    for key, entry in entries.items():
        for text in [entry] if isinstance(entry, str) else entry:
            field = page.locator(f'[name="{scope}-{key}"]')
            if field.count():
                put(field, text)


def put(field: Any, text: str) -> None:
    """Fill, choose or tick, whichever the field takes."""
    first = field.first
    kind = first.evaluate("each => each.type")
    if kind == "select-one":
        first.select_option(text)
    elif kind == "checkbox":
        field.locator(f'xpath=self::*[@value="{text}"]').check()
    elif kind != "hidden":
        first.fill(text)
