"""The report of a trial, and the waveform in the document of a test that was made from one."""

from __future__ import annotations

import html
import io
import json
import re
from datetime import timedelta
from pathlib import Path

import pikepdf
import pypdf
import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from qualification.models import Origin, ProcedureTest, Shop, Trial, TrialPhoto
from qualification.trials.document import trial_document
from qualification.waveforms.logs import arrays_of, keep_upload, work_through
from tests import shop_records
from tests.trial_records import trial, weld_pass
from tests.waveforms import pulsed_csv
from wps.documents.appendix import appendix_context
from wps.documents.context import content_of, document_context
from wps.documents.render import render_html
from wps.documents.trial_report import report_context


def picture(colour: str = "grey", size: tuple[int, int] = (2400, 1800)) -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return SimpleUploadedFile("bead.jpg", out.getvalue())


@pytest.fixture
def made(author: User, shop: Shop) -> Trial:
    """Accepted, two passes, a photo, and a measured waveform of the first pass."""
    made = trial(author, verdict="accepted", line={"seen_wetting": "good"}, note="Toes tied in at last.")
    first = weld_pass(made, 1)
    weld_pass(made, 2, arc_time="20 s", amps="165")
    TrialPhoto.objects.create(trial=made, image=picture(), caption="Root side", taken_by_name="Maren Oosting")
    log = keep_upload(made, SimpleUploadedFile("scope.csv", pulsed_csv()), first, author)
    work_through(log.pk)
    return made


def text_of(markup: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def report(of: Trial) -> str:
    return render_html("documents/trial.html", report_context(trial_document(of)), "letter")


def test_the_pdf_holds_everything_and_reads_its_drawings_aloud(made: Trial, reader_client: Client) -> None:
    answer = reader_client.get(reverse("trial_report", args=[made.pk]))
    assert answer.headers["Content-Type"] == "application/pdf"
    assert 'filename="T-001-trial.pdf"' in answer.headers["Content-Disposition"]
    assert len(answer.content) < 600_000
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages]
    text = " ".join(" ".join(pages).split())
    for said in (
        "It qualifies nothing",
        "Toes tied in at last.",
        "The arc put in 19.7",
        "QW-409.1(c)",
        "Solvent vapour burns",
    ):
        assert said in text
    with pikepdf.open(io.BytesIO(answer.content)) as pdf:
        spoken = [
            str(each.Alt) for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and "/Alt" in each
        ]
        embedded = json.loads(pdf.attachments["trial.json"].get_file().read_bytes())
    assert any(each.startswith("The whole log of scope.csv. From ") for each in spoken)
    assert any(each.startswith("A closer look of scope.csv. From ") for each in spoken)
    assert "Photo 1 of trial T-001: Root side" in spoken
    assert (embedded["number"], len(embedded["waveforms"][0]["plots"])) == ("T-001", 2)


def test_each_thing_a_trial_holds_stands_in_its_report(made: Trial) -> None:
    content, text = trial_document(made), text_of(report(made))
    for group in content["entered"]:
        if group["heading"] != "Result":
            for row in group["rows"]:
                assert row["label"] in text
                assert row["words"] in text
    for row in content["passes"]:
        assert row["travel"] in text
    for label, words in content["results"]:
        assert f"{label} {words}" in text
    for row in (*content["heat"], *content["reckoned"]):
        assert " ".join(row["value"].split()) in text
    assert [wave["file"] for wave in content["waveforms"]] == ["scope.csv"]
    for row in content["waveforms"][0]["rows"]:
        assert " ".join(row["value"].split()) in text


def test_every_figure_and_caution_names_its_page_or_says_it_is_unconfirmed(made: Trial) -> None:
    context = report_context(trial_document(made))
    assert context["pages"]
    cautions = [said for step in context["cautions"] for said in step["said"]]
    assert all(each["marks"] for each in (*context["heat"], *cautions))
    assert {step["step"] for step in context["cautions"]} == {
        "Preparation and cleaning",
        "Gas",
        "While welding",
        "After welding",
    }
    numbers = {int(mark) for each in cautions for mark in re.findall(r"\d+", each["marks"])}
    assert numbers <= {number for number, _ in context["pages"].values()}


def test_what_is_missing_is_said(author: User, shop: Shop) -> None:
    bare = trial(author)
    text = text_of(report(bare))
    for said in ("No pass is recorded.", "Nothing is noted of the result.", "Welder Not stated"):
        assert said in text
    assert "Measured waveform" not in text


def test_a_waveform_that_gave_no_figures_says_why(author: User, shop: Shop) -> None:
    made = trial(author, passes=1)
    log = keep_upload(made, SimpleUploadedFile("idle.csv", b"a,b\nno,numbers\n"), None, author)
    work_through(log.pk)
    assert "idle.csv: No lines with two or more columns of numbers" in text_of(report(made))


def test_a_photo_whose_file_is_gone_stops_no_report(made: Trial) -> None:
    Path(made.photos.get().image.path).unlink()
    assert "The file of this photo is not there any more." in text_of(report(made))


def test_without_its_readings_a_waveform_is_drawn_whole_only(made: Trial) -> None:
    arrays_of(made.logs.get()).unlink()
    assert [plot["title"] for plot in trial_document(made)["waveforms"][0]["plots"]] == ["The whole log"]


def test_the_trials_page_leads_to_its_report(made: Trial, reader_client: Client) -> None:
    page = reader_client.get(made.get_absolute_url()).content.decode()
    assert f'href="{reverse("trial_report", args=[made.pk])}"' in page


def test_a_test_made_from_a_measured_trial_prints_the_waveform(
    made: Trial, author: User, author_client: Client
) -> None:
    author_client.post(reverse("trial_to_test", args=[made.pk]))
    test = ProcedureTest.objects.get()
    content = content_of(test)
    paper = text_of(render_html("documents/test.html", document_context(content), "letter"))
    assert "scope.csv , trial" in paper or "scope.csv, trial" in paper
    document = render_html("documents/appendix.html", appendix_context(content), "letter")
    assert "Measured waveform: scope.csv" in document
    assert document.count('src="data:image/svg+xml;base64,') == 2
    assert 'alt="The whole log of scope.csv. From ' in document
    assert "The arc put in 19.7" in text_of(document)


def test_approval_freezes_the_waveform_with_the_test(
    made: Trial, author: User, approver: User, shop: Shop
) -> None:
    welded = timezone.localdate() - timedelta(days=30)
    test = shop_records.procedure_test(author, "PT-020", state="draft", welded_on=welded)
    Origin.objects.create(
        record_kind=test.KIND, record_id=test.pk, line=0, variable="amps", entry="150", reading="as shown"
    ).trials.add(made)
    shop_records.approve(test, author, approver)
    made.logs.all().delete()
    (wave,) = content_of(test)["waveforms"]
    assert wave["file"] == "scope.csv"
    assert len(json.dumps(wave)) < 60_000


def test_a_test_of_its_own_prints_no_waveform(author: User, shop: Shop) -> None:
    content = content_of(shop_records.procedure_test(author))
    assert content["waveforms"] == []
    assert "Measured waveform" not in render_html(
        "documents/appendix.html", appendix_context(content), "letter"
    )
