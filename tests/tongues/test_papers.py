"""A paper in another language keeps to its sheet, and the record inside is the same."""

from __future__ import annotations

import json

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from qualification.models import Shop, State
from qualification.records import workflow
from tests.documents.paper_checks import OF_A_FORM, beyond_margins, overlaps
from tests.documents.papers import bytes_of, issued
from tests.documents.pdf_geometry import Paper
from tests.shop_records import procedure_test, welder, welder_test
from wps.documents.context import content_of
from wps.documents.issue import rendered
from wps.documents.rederive import rederive
from wps.documents.render import RECORD_FILE
from wps.pdf.attached_files import attached_files

pytestmark = pytest.mark.usefixtures("shop")


def test_a_certificate_in_french_keeps_to_its_sheet(author: User, shop: Shop) -> None:
    record = welder_test(author, welder(), "WT-030", edition="iso_9606_2_2004")
    content = content_of(record)
    paper = Paper(rendered(record, content, content, "a4", language="fr").pdf)
    assert [*beyond_margins(paper.runs(), paper.sizes, OF_A_FORM[0]), *overlaps(paper.runs())] == []


def test_what_is_issued_in_french_is_derived_again(author: User, approver: User) -> None:
    test = procedure_test(author, state=State.DRAFT, welded_on=timezone.localdate())
    workflow.apply("submit", test, author)
    workflow.apply("approve", test, approver, language="fr")
    document = issued(test)
    embedded = json.loads(attached_files(bytes_of(document))[RECORD_FILE])
    assert (document.language, embedded["language"]) == ("fr", "fr")
    assert embedded["content"] == test.snapshot
    assert rederive(embedded).matches
