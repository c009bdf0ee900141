"""A sample of the gallery: its papers keep to their sheets, and each partial says its state. All of them are
looked at by `python -m tests.gallery FOLDER`."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.contrib.auth.models import User

from qualification.models import ProcedureTest, Shop
from tests.documents.pdf_geometry import Paper
from tests.gallery import problems_of
from tests.shop_records import procedure_test
from wps.corrections.work_sheet import Part, work_sheet
from wps.corrections.work_sheet_paper import sheet_paper
from wps.gallery.extremes import extremes
from wps.gallery.papers import of_record
from wps.gallery.partials import partials, write_page

pytestmark = pytest.mark.django_db


def test_a_work_sheet_keeps_to_its_paper(author: User, shop: Shop) -> None:
    record = procedure_test(author)
    sheet = work_sheet(record.edition)
    last = sheet.of(Part.USED)[-5].row.number
    assert problems_of(sheet_paper(sheet, Part.USED, last, "letter")) == []


def test_a_record_has_its_paper_as_if_in_another_state(author: User, shop: Shop) -> None:
    """The first of the record's papers; the others are made when they are asked for."""
    made = of_record("procedure-test", procedure_test(author), ["superseded"], ["a4"])
    name, pdf, pages = next(made)
    assert name == "procedure-test-PT-014-0-superseded-a4"
    text = " ".join(run.text for run in Paper(pdf).runs())
    assert "no longer in force" in text.lower() or "superseded" in text.lower()
    assert (pages > 1, problems_of(pdf)) == (True, [])


def test_every_partial_of_the_gallery_shows_its_states(shop: Shop, tmp_path: Path) -> None:
    shown = {(template, state): html for template, state, html in partials()}
    assert len({template for template, _ in shown}) > 5
    for template, state in shown:
        assert shown[template, state].strip(), f"{template}, {state}"
    verdicts = [html for (template, _), html in shown.items() if template == "_verdict.html"]
    assert len(set(verdicts)) == len(verdicts)
    assert "Superseded" in shown["_title_block.html", "superseded"]
    assert "QW-404.4" in shown["_findings.html", "failed and unknown"]
    write_page(tmp_path)
    page = (tmp_path / "partials.html").read_text("utf-8")
    assert all(html.strip() in page for html in shown.values())
    assert (tmp_path / "static" / "css" / "tokens.css").is_file()


def test_an_empty_and_a_long_record_of_each_kind_are_made_and_taken_back(author: User, shop: Shop) -> None:
    procedure_test(author)
    made = []
    for kind, record in extremes():
        name, pdf, pages = next(of_record(kind, record, (), ["letter"]))
        assert problems_of(pdf) == [], name
        made.append((name, pages))
    assert [name for name, _ in made] == [
        f"procedure-test-{number}-0-not-issued-letter" for number in ("EMPTY", "LONG")
    ]
    assert made[0][1] < made[1][1]
    assert [test.number for test in ProcedureTest.objects.all()] == ["PT-014"]
