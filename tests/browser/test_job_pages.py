"""Jobs, their welds and who may weld them, in a real browser: accessible, live, and usable on a phone."""

from collections.abc import Callable
from datetime import date

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from qualification.models import Shop, State
from tests.conftest import DESKTOP, PHONE
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.models import Part

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OpenPage = Callable[..., Page]
Check = Callable[[Page], None]


@pytest.fixture
def weld(author: User, shop: Shop) -> Part:
    """A weld with its procedure; one welder may make it, one is qualified for short-circuit only."""
    today: date = timezone.localdate()
    spec(author, procedure_test(author, welded_on=today), state=State.APPROVED)
    welder_test(author, welder("KD", "Kees Dorrit"), welded_on=today)
    short = {"transfer_mode": "short_circuit", "current_programme": "steady"}
    welder_test(author, welder("LV", "Lena Voss"), "WT-022", welded_on=today, line=short)
    made = part(job(), spec_number="W-101")
    part(made.job, "G-13", joint={"thickness_a": "3/4", "groove_angle": "steep"})
    return made


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
@pytest.mark.parametrize(
    "path",
    [
        "/jobs/",
        "/jobs/new/",
        "/jobs/{job}/",
        "/jobs/{job}/welds/{part}/",
        "/who-may-weld/?part={part}",
        "/who-may-weld/described/",
    ],
)
def test_the_pages_are_accessible(
    path: str, width: int, weld: Part, open_page: OpenPage, author: User, assert_accessible: Check
) -> None:
    page = open_page(path.format(job=weld.job_id, part=weld.pk), width=width, as_person=author)
    expect(page.locator("h1")).to_have_count(1)
    assert_accessible(page)


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_the_editor_of_a_weld_is_accessible(
    width: int, weld: Part, open_page: OpenPage, author: User, assert_accessible: Check
) -> None:
    page = open_page(f"/jobs/{weld.job_id}/welds/{weld.pk}/edit/", width=width, as_person=author)
    page.evaluate(
        "window.scrollTo(0, document.body.scrollHeight)"
    )  # where the bar at the foot covers no control
    assert_accessible(page)


def test_a_weld_is_held_against_its_procedure_while_one_types(
    weld: Part, open_page: OpenPage, author: User
) -> None:
    page = open_page(f"/jobs/{weld.job_id}/welds/{weld.pk}/edit/", as_person=author)
    verdict = page.locator("#verdict")
    expect(verdict).to_contain_text("Inside W-101. Covered by PT-014.")
    page.get_by_label("Thickness of side A").fill("5/8")
    expect(verdict).to_contain_text("Outside what W-101 claims: thickness of side A")
    page.get_by_label("Chosen WPS").select_option("")
    expect(verdict).to_contain_text("No WPS is chosen.")
    expect(page.get_by_label("Thickness of side A")).to_have_value("5/8")


def test_a_procedure_is_chosen_from_the_page_of_the_weld(
    weld: Part, open_page: OpenPage, author: User
) -> None:
    Part.objects.filter(pk=weld.pk).update(spec_number="")
    page = open_page(f"/jobs/{weld.job_id}/welds/{weld.pk}/", width=PHONE, as_person=author)
    page.get_by_role("button", name="Choose W-101").click()
    expect(page.locator(".notes")).to_contain_text("is welded by W-101.")
    expect(page.locator(".answer")).to_contain_text("Inside W-101. Covered by PT-014.")


def test_who_may_weld_follows_what_is_described(weld: Part, open_page: OpenPage, reader: User) -> None:
    page = open_page("/who-may-weld/described/", as_person=reader)
    expect(page.locator("#verdict")).to_contain_text("Add the process")
    page.get_by_role("button", name="GMAW", exact=True).click()
    page.locator("#div_id_joint-weld_type").get_by_label("Groove").check()
    for label, text in (
        ("Base metal of side A", "6061"),
        ("Base metal of side B", "same"),
        ("Thickness of side A", "1/4"),
        ("Thickness of side B", "same"),
        ("Filler classification", "ER5356"),
        ("Deposit thickness", "1/4"),
    ):
        page.get_by_label(label).fill(text)
    for name, label in (
        ("joint-product_form", "Plate"),
        ("joint-position", "Vertical"),
        ("line-0-backing", "Without backing"),
        ("line-0-transfer_mode", "Pulsed spray"),
        ("line-0-progression", "Upward"),
    ):
        page.locator(f"#div_id_{name}").get_by_label(label).check()
    page.get_by_label("Operation", exact=True).select_option("semiautomatic")
    expect(page.locator("#verdict")).to_contain_text("2 of 3 may weld it.")
    expect(page.locator("#check")).to_contain_text("Short-circuiting")


def test_one_looks_up_who_may_weld_on_a_day(weld: Part, open_page: OpenPage, reader: User) -> None:
    page = open_page("/who-may-weld/", width=PHONE, as_person=reader)
    page.get_by_label("Weld", exact=True).select_option(str(weld.pk))
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".answers__one", has_text="Kees Dorrit")).to_contain_text("May weld")
    page.get_by_label("Day").fill(f"{timezone.localdate().year + 2}-01-15")
    page.get_by_role("button", name="Show").click()
    expect(page.locator(".answers__one", has_text="Kees Dorrit")).to_contain_text("6 months without use")


def test_a_phone_cuts_what_is_welded_to_a_line_and_paper_does_not(
    weld: Part, open_page: OpenPage, author: User
) -> None:
    page = open_page(f"/jobs/{weld.job_id}/", width=PHONE, as_person=author)
    what = page.locator(".welds__what").first
    expect(what).to_have_css("white-space", "nowrap")
    page.emulate_media(media="print")
    expect(what).to_have_css("white-space", "normal")
