"""What the demo shop has none of, one of each, so that every page has something to show: papers from outside,
lots, lists that came in, an edition of the shop's own, a link for somebody outside, answers, reports."""

from __future__ import annotations

import io
from datetime import timedelta

from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.test import Client
from django.utils import timezone
from pikepdf import Pdf
from PIL import Image

from qualification.codes import own_editions
from qualification.codes.decisions import decide
from qualification.codes.quiet_checks import leave_aside
from qualification.models import State, TableCheck, Trial, TrialPhoto, WelderTest
from qualification.records.audit import name_of
from qualification.rules.tabular.decisions import Question
from qualification.rules.trials.practice import practice
from qualification.welders.continuity import rules_of
from qualification.welders.validity import acts_of, way_of
from tests.access.answers import Values
from tests.ellery_works import add_case, begun, published
from tests.shop_records import RESULTS, procedure_test, spec, welder, welder_test
from tests.validity_records import STEEL, chosen, made
from wps.corrections.moving import move, preview
from wps.corrections.table_change import propose_taking_back
from wps.documents.attachments import keep_attachment
from wps.documents.checking import check_file
from wps.documents.report_words import report_content
from wps.jobs import weld_import
from wps.models import (
    Attachment,
    AttachmentKind,
    BackgroundTask,
    FileCheck,
    IssuedDocument,
    Job,
    Lot,
    LotKind,
    MapMark,
    Step,
    TaskState,
    WeldEvent,
)
from wps.outside import import_columns, list_import
from wps.packets.shared import make_link
from wps.reading.spreadsheet import read_text

EDITION, OPEN, PROCEDURE_TEST = "asme_ix_2023", "aws_d1_2_2014", "procedure-test"
PIPE = {"product_form": "pipe", "diameter": "8-10 in OD"}


def one_of_each(client: Client, person: User) -> Values:
    """Adds to the demo shop what it lacks. The values are those of addresses that a walk cannot guess."""
    job = Job.objects.exclude(parts=None).first()
    assert job is not None
    part = job.parts.earliest("pk")
    drawing = _papers(person, job)
    MapMark.objects.create(
        part=part, drawing=drawing, page=1, across=2000, down=3000, placed_by_name=name_of(person)
    )
    _lists(person, job)
    _answers(person)
    secret = make_link(job, "Inspector Rask", timezone.localdate() + timedelta(days=30), person)
    check = FileCheck.objects.create(
        person=person,
        filename="from-outside.pdf",
        report=report_content(check_file(_pdf(), "from-outside.pdf")),
    )
    own = _own_editions(client)
    failed = BackgroundTask.objects.earliest("pk")
    failed.state = TaskState.FAILED
    failed.save()
    return {
        **_records(person),
        **own,
        "weld_coupons": {"?": f"part={part.pk}"},
        "shared_job": {"secret": secret},
        "verify_code": {"code": IssuedDocument.objects.earliest("pk").code},
        "verify_file": {"pk": check.pk},
        "background_task": {"pk": failed.pk},
        "weld_map": {"job": job.pk},
        "weld_map_picture": {"job": job.pk, "drawing": drawing.pk, "page": 1},
        "weld_map_place": {"job": job.pk, "drawing": drawing.pk, "page": 1},
    }


def _pdf() -> bytes:
    made, stored = Pdf.new(), io.BytesIO()
    made.add_blank_page(page_size=(800, 400))
    made.save(stored)
    return stored.getvalue()


def _picture() -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (80, 60), "white").save(made, "PNG")
    return made.getvalue()


def _papers(person: User, job: Job) -> Attachment:
    """A paper on a record, a weld, a lot and a job, one set aside, and photos; the drawing of the job."""
    part = job.parts.earliest("pk")
    lot = Lot.objects.create(
        kind=LotKind.FILLER,
        number="HE-4471",
        material="ER5356",
        supplier="Quill Alloys",
        recorded_by_name=name_of(person),
    )
    about = {"record_kind": PROCEDURE_TEST, "record_number": "PT-001"}
    scan = keep_attachment(
        _pdf(), "pt-001.pdf", person, kind=AttachmentKind.SCAN, title="Sheet of 2019", **about
    )
    keep_attachment(
        _picture(), "bend.png", person, kind=AttachmentKind.PHOTO, title="Bend 1", specimen="1", **about
    )
    lot.certificate = keep_attachment(
        _pdf(), "mill.pdf", person, kind=AttachmentKind.FILLER, title="Wire", heat="HE-4471", lot=lot
    )
    lot.save()
    keep_attachment(
        _picture(), "g.png", person, kind=AttachmentKind.PHOTO, title="Root side", part=part, job=job
    )
    scan.pk, scan.set_aside_because = None, "Scanned upside down."
    scan.save()
    welded = WeldEvent.objects.create(
        part=part,
        step=Step.WELDED,
        done_on=timezone.localdate(),
        recorded_by_name=name_of(person),
        welder=part.welder,
    )
    welded.lots.add(lot)
    trial = Trial.objects.earliest("pk")
    TrialPhoto.objects.create(
        trial=trial, image=ContentFile(_picture(), "face.png"), caption="Face", taken_by_name=name_of(person)
    )
    return keep_attachment(_pdf(), "deck.pdf", person, kind=AttachmentKind.DRAWING, title="Deck 7-1", job=job)


def _lists(person: User, job: Job) -> None:
    """A list of welds and one of tests that wait, each with a row that is wrong."""
    welds = read_text("Mark,Procedure,Thickness\nN-1,AL-01,1/4\nN-2,AL-01,thick\nN-1,AL-01,1/4\n")
    weld_import.keep_list(job, "welds", welds, "welds.csv", "us", person)
    tests = read_text(
        "Test,Welder,Date,Process,Thickness\nOLD-1,AB,27/04/2024,GMAW,1/4 in\nOLD-2,ZZ,31/02/2024,GMAW,x\n"
    )
    list_import.keep_list(import_columns.WELDER_TESTS, tests, "old tests.csv", "us", EDITION, person)


def _own_editions(client: Client) -> Values:
    """A draft on the tables of an edition, with a case, and the rows of an invented page, published."""
    draft = begun(client, parent=EDITION)
    add_case(client, draft, "1/2 in", "covered")
    own_editions.DOCUMENTS = 1
    published(client)
    row = {"pk": draft.pk, "file": "procedure", "?": "variable=process&rule=same"}
    return {"own_row_add": row, "own_case": {"pk": draft.pk, "number": 0}}


def _records(person: User) -> Values:
    """A draft of each kind of test, and a procedure on which the tables leave a question open."""
    coupon = procedure_test(person, "PT-950", state=State.DRAFT)
    certificate = welder_test(person, welder(), "WT-950", state=State.DRAFT)
    seen = {"craters_filled": "yes", "undercut": "0 in", "reinforcement": "1/16"}
    results = [each | seen if each["kind"] == "visual" else each for each in RESULTS]
    plate = procedure_test(person, "PT-951", edition=OPEN, results=results)
    pipe = spec(person, plate, number="W-951", edition=OPEN, joint=PIPE)
    free = made(person, STEEL, number="WT-951", welded_on=timezone.localdate())
    kept = made(person, STEEL, number="WT-952", welded_on=timezone.localdate())
    chosen(kept, "9.3 c")
    tests = WelderTest.objects.filter(edition__startswith="iso_9606", state=State.APPROVED)
    ways = {way.by: each.pk for each in tests if (way := way_of(acts_of(each), rules_of(each), each.edition))}
    moved = preview(EDITION, OPEN)
    report = move(EDITION, OPEN, {moved.moves[-1].key}, moved.token, "The contract says so.", person)
    return {
        **{f"procedure_test_{end}": {"pk": coupon.pk} for end in ("edit", "results", "passes")},
        **{f"welder_test_{end}": {"pk": certificate.pk} for end in ("edit", "results")},
        "procedure_decide": {"pk": pipe.pk, "line": 0, "variable": "product_form"},
        **{f"validity_{what}": {"pk": ways["welds"]} for what in ("confirm", "prolong")},
        "validity_way": {"pk": free.pk},
        "validity_conditions": {"pk": kept.pk},
        "edition_move_report": {"pk": report.pk},
        "quiet_check_add": {"key": practice().combinations.rows[1].key},
    }


def _answers(person: User) -> None:
    """A decision by the code, a check left aside, a correction proposed and looked at."""
    today = timezone.localdate()
    question = Question("procedure", "product_form", "procedure row 1", "plate", "plate", "pipe", {})
    decide(
        EDITION, "AL-01", question, ("Product form", "Pipe", "Plate"),
        {"covered": True, "clause": "Clause 99.1", "copy": "Copy 2", "words": "The clause lets it stand."},
        person, today,
    )  # fmt: skip
    check = practice().combinations.rows[0]
    leave_aside(check.key, check.text, "We always back-gouge.", person)
    report = propose_taking_back(TableCheck.objects.earliest("pk"), person)
    report.judged_at = timezone.now()
    report.save()
