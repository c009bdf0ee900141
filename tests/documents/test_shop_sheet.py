"""The sheet at the arc: one page, large numbers, steps, and a loud word where it is not in force."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime
from html import unescape

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from qualification.models import Shop, State
from tests.documents.pdf_geometry import Paper
from tests.shop_records import SPEC_LINE, procedure_test, spec
from wps.documents.context import content_of
from wps.documents.shop_sheet import shop_sheet, shop_sheet_pdf, warning_of
from wps.models import Job, Part, Spec

pytestmark = pytest.mark.usefixtures("shop")


def plain(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def approved(author: User, number: str = "W-101") -> Spec:
    return spec(author, procedure_test(author), number=number, state=State.APPROVED)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_sheet_is_one_page_with_large_settings(paper: str, author: User) -> None:
    made = spec(author, procedure_test(author))
    made.lines = [{**SPEC_LINE, "amps": "90-110"}, {**SPEC_LINE, "amps": "140-175"}]
    printed = Paper(shop_sheet_pdf(made, paper).pdf)
    assert len(printed.sizes) == 1
    sizes = {run.text.strip(): run.size for run in printed.runs() if run.text.strip()}
    assert round(sizes["90–110"]) == round(sizes["140–175"]) == 18
    assert min(sizes.values()) >= 9.49


def test_numbers_stand_in_one_unit_and_both_sides_once(author: User) -> None:
    sheet = shop_sheet(content_of(approved(author)))
    assert len(sheet.metals) == 1
    assert not [each for each in (*sheet.metals, *(s.words for s in sheet.first)) if "mm)" in each]
    assert "Lowest preheat" in [each.label for each in sheet.first]
    assert "Highest interpass temperature" in [each.label for each in sheet.between]


def test_what_two_processes_do_apart_says_whose_it_is(author: User) -> None:
    made = spec(author, procedure_test(author))
    made.lines = [{**SPEC_LINE, "cleaning": "acetone"}, {**SPEC_LINE, "cleaning": "brush"}]
    steps = [each for each in shop_sheet(content_of(made)).first if each.label.startswith("Cleaning")]
    assert [(each.process, each.words) for each in steps] == [("GMAW", "acetone"), ("GMAW", "brush")]


def test_a_superseded_sheet_says_so_loudly_and_leads_to_the_one_in_force(
    author: User, reader_client: Client
) -> None:
    old = approved(author)
    old.state = State.SUPERSEDED
    old.save()
    now = spec(author, number="W-101", revision=1, state=State.APPROVED)
    now.approved_at = datetime(2031, 2, 3, tzinfo=UTC)
    now.save()
    assert warning_of(now) == ""
    assert warning_of(old) == "SUPERSEDED by rev 1, 2031-02-03. Do not weld to this sheet."
    page = reader_client.get(reverse("shop_sheet", args=[old.pk])).content.decode()
    assert "Do not weld to this sheet." in page
    assert f'href="{reverse("shop_sheet", args=[now.pk])}"' in page
    assert "Do not weld" not in reader_client.get(reverse("shop_sheet", args=[now.pk])).content.decode()


@pytest.mark.parametrize("state", [State.DRAFT, State.IN_REVIEW, State.WITHDRAWN])
def test_only_an_approved_revision_is_in_force(state: State, author: User) -> None:
    assert "Do not weld to this sheet." in warning_of(spec(author, state=state))


def test_the_sheet_of_a_weld_names_its_job_mark_and_drawing(author: User, reader_client: Client) -> None:
    made = approved(author)
    job = Job.objects.create(number="2107", title="Gangway", edition="asme_ix_2023")
    weld = Part.objects.create(
        job=job, mark="G-3", title="Stringer splice", drawing="GW-101", spec_number=made.number
    )
    address = reverse("shop_sheet", args=[made.pk])
    text = plain(reader_client.get(f"{address}?weld={weld.pk}").content.decode())
    assert "Job 2107, weld G-3: Stringer splice, drawing GW-101" in text
    weld.spec_number = "W-999"
    weld.save()
    assert reader_client.get(f"{address}?weld={weld.pk}").status_code == 404


def test_cautions_are_of_the_metal_and_leave_out_who_decides(author: User, shop: Shop) -> None:
    cautions = shop_sheet(content_of(approved(author))).cautions
    assert any("Aluminum shows no color" in each for each in cautions)
    assert not any("replaces none of them" in each for each in cautions)


def several_joints(author: User, steps: int) -> list[str]:
    """The text of each page of a sheet with as many steps of cleaning."""
    several = {"weld_type": ["groove", "fillet"], "joint_form": ["butt", "tee"], "fillet_size": "1/4"}
    made = spec(author, joint=several, line={"cleaning": "Brush, wipe, let dry. " * steps})
    pages = PdfReader(io.BytesIO(shop_sheet_pdf(made, "letter").pdf)).pages
    return [page.extract_text() for page in pages]


@pytest.mark.parametrize("steps", [1, 20])
def test_each_of_several_joints_has_its_symbol_on_the_one_page(steps: int, author: User) -> None:
    """The groove's angle stands on the drawing, and again in the symbol beside it."""
    (page,) = several_joints(author, steps)
    assert page.count("60–75°") == 2
    assert "Turn over" not in page


def test_a_sheet_of_two_pages_says_so_on_the_first_and_has_the_settings_there(author: User) -> None:
    first, *rest = several_joints(author, 150)
    assert "Turn over: goes on overleaf" in first
    assert "Set, and stay inside" in first
    assert "".join((first, *rest)).count("wipe") == 150, "nothing is cut off"
    assert len(rest) == 1
    assert "Turn over" not in rest[0]
