"""What a procedure handed out alone embeds: its record, findings and digests of its evidence, and no more."""

from __future__ import annotations

import json

import pytest
from django.contrib.auth.models import User

from qualification.models import ProcedureTest
from tests.documents.packet_records import issue, packet_for
from tests.documents.papers import approved_spec, approved_test, bytes_of, signed
from wps.documents.checking import check_file
from wps.documents.rederive import rederive
from wps.models import IssuedDocument, Spec
from wps.pdf.attached_files import attached_files

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


@pytest.fixture
def document(author: User, approver: User) -> IssuedDocument:
    test = approved_test(author, approver)
    signed(test, author, approver)
    return signed(approved_spec(author, approver, test), author, approver)


def gone() -> None:
    """As on another machine: the content of the test is not on record."""
    ProcedureTest.objects.update(snapshot=None)


def test_neither_welder_nor_results_go_out_with_a_procedure(document: IssuedDocument) -> None:
    test = ProcedureTest.objects.get()
    text = attached_files(bytes_of(document))["record.json"].decode()
    assert json.loads(text)["evidence"] == [{"reference": "PT-014 rev 0", "content_hash": test.snapshot_hash}]
    assert test.welder is not None
    assert test.welder.name not in text
    assert "results" not in json.loads(text)["content"]


def test_its_findings_are_derived_again_from_the_tests_on_record(document: IssuedDocument) -> None:
    report = check_file(bytes_of(document), "W-101.pdf")
    assert report.rederived is not None
    assert report.rederived.matches is True


def test_without_the_tests_that_is_said_and_nothing_is_claimed(document: IssuedDocument) -> None:
    record = json.loads(attached_files(bytes_of(document))["record.json"])
    gone()
    found = rederive(record)
    assert found.matches is None
    assert found.differences == (
        "They rest on PT-014 rev 0, which is neither in the file nor on record here. A packet brings it.",
    )


def test_a_packet_brings_the_evidence(document: IssuedDocument, author: User, approver: User) -> None:
    spec = Spec.objects.get()
    pdf = issue(
        packet_for(author, procedures=[spec.pk], welders=[spec.tests.get().welder_id]), author, approver
    )
    gone()
    procedure, test = check_file(pdf, "packet.pdf").inner
    assert procedure.rederived is not None
    assert test.rederived is not None
    assert (procedure.rederived.matches, test.rederived.matches) == (True, True)


def test_evidence_of_another_content_is_not_taken_for_it(document: IssuedDocument) -> None:
    """Files from before digests were embedded alone hold the content itself."""
    record = json.loads(attached_files(bytes_of(document))["record.json"])
    snapshot = ProcedureTest.objects.get().snapshot
    record["evidence"] = [snapshot]
    gone()
    assert rederive(record).matches is True
    record["evidence"] = [{**snapshot, "title": "Another"}]
    assert rederive(record).differences == (
        "The content of PT-014 rev 0 is not embedded as it was approved.",
    )
