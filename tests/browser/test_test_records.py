"""Tests, welders and code tables in a real browser: the way from coupon to range, on a desk and on a
phone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from qualification.models import ProcedureTest, Shop, State
from qualification.welders.changes import NewUse, record_uses
from tests.browser.sections import go_to_section, in_section_of
from tests.conftest import DESKTOP, PHONE
from tests.shop_records import EDITION, RESULTS, approve, procedure_test, welder, welder_test

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.fixture
def records(author: User, approver: User, shop: Shop) -> dict[str, str]:
    """One record in each situation a page can show; addresses by name."""
    day = timezone.localdate() - timedelta(days=40)
    who = welder()
    passed = procedure_test(author, state=State.DRAFT, welded_on=day)
    approve(passed, author, approver)
    failed = procedure_test(
        author,
        "PT-015",
        State.DRAFT,
        welded_on=day,
        results=[{**row, "openings": "3/16"} if row["specimen"] == "R2" else row for row in RESULTS],
    )
    waiting = procedure_test(
        author,
        "PT-016",
        State.DRAFT,
        welded_on=day,
        results=[{**RESULTS[0], "load": "heavy"}],
        line={"amps": "lots"},
    )
    test = welder_test(author, who, state=State.DRAFT, welded_on=day)
    approve(test, author, approver)
    record_uses([NewUse(who, "GMAW", "semiautomatic", day + timedelta(days=9), "Job J-3107")], author)
    names = {"passed": passed, "failed": failed, "waiting": waiting, "test": test}
    return {name: record.get_absolute_url() for name, record in names.items()} | {
        "edit": reverse("procedure_test_edit", args=[waiting.pk]),
        "results": reverse("procedure_test_results", args=[waiting.pk]),
        "welder": reverse("welder", args=[who.pk]),
        "use": reverse("use_add", args=[who.pk]),
        "strike": reverse("use_strike", args=[who.uses.get().pk]),
        **{
            name: reverse(name)
            for name in (
                "procedure_test_list",
                "procedure_test_add",
                "welder_list",
                "welder_add",
                "welder_test_list",
                "welder_test_add",
                "month",
            )
        },
    }


PAGES = (
    "procedure_test_list",
    "procedure_test_add",
    "passed",
    "failed",
    "waiting",
    "edit",
    "results",
    "welder_list",
    "welder_add",
    "welder",
    "use",
    "strike",
    "month",
    "welder_test_list",
    "welder_test_add",
    "test",
)


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_every_page_of_tests_and_welders_is_accessible(
    width: int, open_page: OpenPage, assert_accessible: Check, author: User, records: dict[str, str]
) -> None:
    page = open_page("/", width=width, as_person=author)
    server = page.url.rstrip("/")
    for name in PAGES:
        page.goto(server + records[name])
        expect(page.locator("h1"), name).to_have_count(1)
        page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")
        assert_accessible(page)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_the_code_tables_are_accessible(
    width: int, dark: bool, open_page: OpenPage, assert_accessible: Check, reader: User, shop: Shop
) -> None:
    page = open_page("/code-tables/?table=acceptance", width=width, as_person=reader, dark=dark)
    page.locator("details.remark summary").first.click()
    assert_accessible(page)


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_from_a_welded_coupon_to_its_range(
    width: int, open_page: OpenPage, assert_accessible: Check, author: User, shop: Shop
) -> None:
    welder()
    shop.code_edition = EDITION
    shop.save()
    page = open_page("/procedure-tests/", width=width, as_person=author)
    page.get_by_role("link", name="Start a procedure test").click()
    page.get_by_label("Title").fill("Deck plank to stringer")
    page.get_by_role("button", name="Start the draft").click()
    expect(page.get_by_role("status").first).to_contain_text(
        "PT-001 rev 0 is started. Enter what was welded."
    )

    page.get_by_label("Welder", exact=True).select_option(label="Anouk Berglund (AB)")
    page.get_by_label("Welding completed on").fill(f"{timezone.localdate() - timedelta(days=3)}")
    in_section_of(page.get_by_label("Weld type")).select_option("groove")
    for label, text in (
        ("Base metal of side A", "6061"),
        ("Base metal of side B", "same"),
        ("Thickness of side A", "1/4"),
        ("Thickness of side B", "same"),
    ):
        in_section_of(page.locator(f"label:has-text('{label}')").first).evaluate(
            "label => document.getElementById(label.htmlFor).focus()"
        )
        page.keyboard.type(text)
    page.get_by_label("Product form", exact=True).select_option("plate")
    expect(page.locator("#check")).to_contain_text("2 tension tests")
    if width == PHONE:
        go_to_section(page, "Add the process")
    page.get_by_role("button", name="GMAW", exact=True).click()
    line = page.locator("#line-0")
    in_section_of(line.get_by_label("Transfer mode")).select_option("pulsed_spray")
    in_section_of(line.get_by_label("Filler classification")).fill("ER5356")
    in_section_of(line.get_by_label("Deposit thickness")).fill("1/4")
    expect(page.locator("#check")).to_contain_text("former 2 1/16 in")
    come_to_rest(page)
    assert_accessible(page)
    page.get_by_role("button", name="Save and enter results").click()

    enter_results(page)
    expect(page.locator("#verdict")).to_contain_text("Passed")
    come_to_rest(page)
    assert_accessible(page)
    page.get_by_role("button", name="Save results").click()
    expect(page.locator("#range-title")).to_be_visible()
    shown = page.locator("tr", has_text="Thickness of both sides").filter(has_text="QW-451.1").first
    expect(shown).to_contain_text("1/16 to 1/2 in (1.59 to 12.7 mm)")
    made = ProcedureTest.objects.get()
    assert made.joint["thickness_a"] == "1/4"
    assert made.results[0]["load"] == "5600 lbf"


def come_to_rest(page: Page) -> None:
    """No check is under way, which greys its answer, and the bar at the foot half hides no control, which axe
    would measure as small."""
    expect(page.locator("form[data-unchecked], .htmx-request")).to_have_count(0)
    page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")


def enter_results(page: Page) -> None:
    """Two tension tests, two face bends and two root bends that pass; the strength appears while one
    types."""
    for index, load in enumerate(("5600 lbf", "5650 lbf")):
        row = page.locator(f".specimen:has(#row-{index})")
        for label, text in (("Width", "3/4"), ("Thickness", "1/4"), ("Highest load", load)):
            row.get_by_label(label).fill(text)
        row.get_by_label("Broke", exact=True).select_option("weld")
    expect(page.locator("#checks-0")).to_contain_text("29866 psi (205.9 MPa)")
    for index in range(2, 6):
        row = page.locator(f".specimen:has(#row-{index})")
        row.get_by_label("Specimen thickness").fill("1/8")
        row.get_by_label("Former diameter").fill("2 1/16")
        row.get_by_label("Weld wholly in the bend").select_option("yes")
        row.get_by_label("Broke before it was bent through").select_option("no")
        row.get_by_label("Openings").fill("none")


def test_a_failed_result_shows_at_once_and_the_record_qualifies_nothing(
    open_page: OpenPage, assert_accessible: Check, author: User, records: dict[str, str]
) -> None:
    page = open_page(records["failed"], width=PHONE, as_person=author)
    expect(page.locator("main")).to_contain_text("This record qualifies nothing")
    expect(page.locator("main")).to_contain_text("Root bend R2: It opened 3/16 in, more than 1/8 in.")
    page.get_by_role("link", name="Enter test results").click()
    page.locator(".specimen:has-text('R2')").get_by_label("Openings").fill("1/16")
    expect(page.locator("#verdict")).to_contain_text("Passed")
    page.locator(".specimen:has-text('R2')").get_by_label("Openings").fill("as wide as a barn")
    expect(page.locator("#note_id_row-5-openings")).to_contain_text(
        "could not be read as a number with a unit"
    )
    expect(page.locator("#verdict")).to_contain_text("needs a look")
    come_to_rest(page)
    assert_accessible(page)


def test_rows_come_and_go_without_a_save(open_page: OpenPage, author: User, records: dict[str, str]) -> None:
    page = open_page(records["results"], as_person=author)
    page.locator(".specimen:has(#row-1)").get_by_label("Width").fill("0.7")
    page.get_by_label("Add a further result").select_option("tension")
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_role("heading", name="Tension test T3")).to_be_visible()
    expect(page.locator(".specimen:has(#row-1)").get_by_label("Width")).to_have_value("0.7")
    page.get_by_role("button", name="Remove Tension test T3").click()
    expect(page.get_by_role("heading", name="Tension test T3")).to_have_count(0)


def test_the_enter_key_saves_and_never_removes_a_row(
    open_page: OpenPage, author: User, records: dict[str, str]
) -> None:
    page = open_page(records["results"], as_person=author)
    page.locator(".specimen:has(#row-0)").get_by_label("Highest load").fill("5600 lbf")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("The results of PT-016 rev 0 are saved.")


def test_the_ways_around_the_editor(open_page: OpenPage, author: User, records: dict[str, str]) -> None:
    page = open_page("/", as_person=author)
    page.goto(page.url.rstrip("/") + records["edit"])
    # Two links lead past everything: the joint is three keys away and not fifty-seven.
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_have_text("Skip to the joint")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    joint = page.locator("section[aria-labelledby='joint-title']")
    expect(joint.locator(":focus")).to_have_count(1)
    # The enter key goes on to the next entry and saves nothing.
    address = page.url
    root = page.locator("#id_joint-root_face")
    root.fill("3/32")
    root.press("Enter")
    expect(page.locator(":focus")).not_to_have_id("id_joint-root_face")
    assert (page.url.split("#")[0], root.input_value()) == (address.split("#")[0], "3/32")
    # A field is gone to by its name, and what folds it away opens.
    finder = page.get_by_label("Go to a field")
    finder.fill("interpass temp")
    finder.press("Enter")
    expect(page.locator("#id_joint-interpass_max")).to_be_focused()
    finder.fill("no such thing")
    finder.press("Enter")
    expect(page.locator("#go-to-said")).to_have_text("No field of that name.")
