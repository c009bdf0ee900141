"""Tampering stories: what the check says of each, question by question."""

from __future__ import annotations

import io
import json
import subprocess
from pathlib import Path

import pikepdf
import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client

from qualification.records import workflow
from tests import shop_records
from tests.documents.papers import (
    approved_spec,
    approved_test,
    bytes_of,
    certificates,
    flipped,
    issued,
    signed,
    with_file_swapped,
    with_page_added,
)
from wps.documents.checking import FileReport, check_file
from wps.documents.report_line import ReportLine
from wps.documents.report_words import lines_of
from wps.models import IssuedDocument
from wps.pdf.attached_files import attached_files
from wps.pdf.unreadable import NotReadable
from wps.signing.authority import authority, issue_personal
from wps.signing.sign import sign

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


def made_for_all(author: User, approver: User) -> IssuedDocument:
    return signed(approved_spec(author, approver, approved_test(author, approver)), author, approver)


def said(report: FileReport, label: str) -> ReportLine:
    return next(line for line in lines_of(report) if line.label == label)


def test_a_document_as_issued_holds_in_everything(document: IssuedDocument) -> None:
    report = check_file(bytes_of(document), "W-101.pdf")
    assert {line.label: line.verdict for line in lines_of(report)} == dict.fromkeys(
        (
            "May I rely on this?",
            "Verdict by ETSI EN 319 102-1",
            "Intact",
            "Signed by",
            "Trusted here",
            "Added since",
            "Still in force",
            "Embedded record",
            "Findings derived again",
            "Kept here",
        ),
        "covered",
    )
    assert report.holds
    assert said(report, "Signed by").words == "Maren Oosting, Tobias Quell."
    assert lines_of(report)[0].words == (
        "Yes. It is Procedure W-101 rev 0 as this shop issued it, signed by Maren Oosting and Tobias Quell,"
        " and in force today."
    )
    assert said(report, "Verdict by ETSI EN 319 102-1").words == "TOTAL-PASSED."


def test_a_test_record_is_derived_again_too(author: User, approver: User) -> None:
    report = check_file(
        bytes_of(signed(approved_test(author, approver, "PT-015"), author, approver)), "PT-014.pdf"
    )
    assert report.rederived is not None
    assert (report.rederived.matches, report.rederived.same_tables, report.rederived.differences) == (
        True,
        True,
        (),
    )


def _stream_of(pdf: bytes, mark: bytes) -> tuple[int, int]:
    """Where the first stream whose dictionary holds the mark begins, and where it ends."""
    start = pdf.index(b"stream\n", pdf.index(mark)) + len(b"stream\n")
    return start, pdf.index(b"endstream", start)


@pytest.mark.parametrize(
    ("mark", "share", "kept"),
    [
        # The first byte of the record: it unpacks no more, and nothing tells which document it was. A byte
        # further in may leave it readable.
        (b"/EmbeddedFile", 0.0, "unknown"),
        (b"/Length1", 0.5, "not_covered"),  # a font: the file still names its document, and is not it
    ],
)
def test_one_byte_flipped(mark: bytes, share: float, kept: str, document: IssuedDocument) -> None:
    pdf = bytes_of(document)
    start, end = _stream_of(pdf, mark)
    report = check_file(flipped(pdf, start + int(share * (end - start))), "flipped.pdf")
    assert said(report, "Intact").verdict == "not_covered"
    assert "changed after signing" in said(report, "Intact").words
    assert said(report, "Kept here").verdict == kept
    assert not report.holds


def test_a_flip_that_tears_the_page_tree_is_said_as_well(document: IssuedDocument) -> None:
    pdf = bytes_of(document)
    report = check_file(flipped(pdf, pdf.index(b"stream") + 40), "torn.pdf")
    assert said(report, "Intact").verdict == "not_covered"
    assert not report.holds


def test_a_page_added_after_signing(document: IssuedDocument) -> None:
    report = check_file(with_page_added(bytes_of(document)), "longer.pdf")
    assert said(report, "Intact").words.startswith("No. Something was added or changed after signing.")
    assert said(report, "Added since").verdict == "not_covered"
    assert not report.holds


def test_the_last_signature_removed(document: IssuedDocument) -> None:
    pdf = bytes_of(document)
    end = pdf.rindex(b"startxref", 0, pdf.rindex(b"%%EOF"))
    before = pdf.rindex(b"%%EOF", 0, end) + len(b"%%EOF\n")
    report = check_file(pdf[:before], "shorter.pdf")
    assert "Signature of the approver: not taken" in said(report, "Signed by").details
    assert not report.holds


def test_all_signatures_removed_by_saving_anew(document: IssuedDocument) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(bytes_of(document))) as pdf:
        del pdf.Root["/AcroForm"]
        pdf.save(out)
    report = check_file(out.getvalue(), "bare.pdf")
    assert said(report, "Intact").words.startswith("No signature is in the file")
    assert said(report, "Embedded record").verdict == "covered"
    assert not report.holds


def test_signed_by_a_foreign_authority(author: User, approver: User, tmp_path: Path) -> None:
    document = issued(approved_test(author, approver, "PT-015"))
    foreign = authority(tmp_path / "foreign", "Tidewater Gangway Works")
    pkcs12 = issue_personal(foreign, "Maren Oosting", "", "some passphrase")
    pdf = sign(
        bytes_of(document),
        "SignatureAuthor",
        pkcs12,
        "some passphrase",
        "I wrote this document",
        certify=True,
    )
    report = check_file(pdf, "foreign.pdf")
    assert said(report, "Intact").verdict == "covered"
    assert said(report, "Trusted here").verdict == "not_covered"
    assert "an authority this shop does not know" in said(report, "Trusted here").details[0]
    trusted = check_file(pdf, "foreign.pdf", [foreign.pem])
    assert said(trusted, "Trusted here").verdict == "not_covered"
    assert "this shop did not take the signature" in said(trusted, "Trusted here").details[0]


def test_a_superseded_and_a_withdrawn_revision(
    document: IssuedDocument, author: User, approver: User
) -> None:
    from wps.models import Spec

    later = workflow.start_revision(Spec.objects.get(), author, "Wider range.")
    shop_records.approve(later, author, approver)
    line = said(check_file(bytes_of(document), "old.pdf"), "Still in force")
    assert (line.verdict, line.words) == (
        "not_covered",
        "Procedure W-101 rev 0: This revision is superseded: a later one is in force.",
    )
    newer = signed(later, author, approver)
    workflow.apply("withdraw", later, approver, "The customer stopped the work.")
    assert (
        "This revision is withdrawn." in said(check_file(bytes_of(newer), "new.pdf"), "Still in force").words
    )


def test_the_embedded_record_swapped(document: IssuedDocument) -> None:
    pdf = bytes_of(document)
    record = json.loads(attached_files(pdf)["record.json"])
    record["content"]["lines"][0]["amps"] = "120-400"
    report = check_file(with_file_swapped(pdf, "record.json", json.dumps(record).encode()), "swapped.pdf")
    assert said(report, "Embedded record").verdict == "not_covered"
    assert not report.holds


def test_a_finding_written_over_is_found_when_derived_again(document: IssuedDocument) -> None:
    """Even where somebody mends the hash beside it, the findings no longer follow from the entries."""
    from qualification.models.record import content_hash

    pdf = bytes_of(document)
    record = json.loads(attached_files(pdf)["record.json"])
    row = next(row for row in record["content"]["findings"][0]["rows"] if row["binds"])
    row["qualified"] = "Anything"
    record["content_hash"] = content_hash(record["content"])
    report = check_file(with_file_swapped(pdf, "record.json", json.dumps(record).encode()), "swapped.pdf")
    assert report.rederived is not None
    assert report.rederived.matches is False
    assert report.rederived.differences == (f"Process line 1: {row['label']} differs.",)
    assert report.content == "The embedded record is not the one that was approved here under this code."


def test_changed_tables_are_said(document: IssuedDocument) -> None:
    from wps.documents.rederive import rederive

    record = json.loads(attached_files(bytes_of(document))["record.json"])
    record["content"]["code"]["fingerprint"] = "0" * 64
    assert "on code tables that were changed since" in rederive(record).sentence


def test_a_foreign_pdf_and_other_files(reader_client: Client) -> None:
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(out)
    report = check_file(out.getvalue(), "other.pdf")
    assert report.standing.key == "unknown"
    for content in (b"", b"no pdf at all", out.getvalue()[:200]):
        with pytest.raises(NotReadable):
            check_file(content, "broken.pdf")
    page = reader_client.post("/verify/", {"file": SimpleUploadedFile("x.pdf", b"no pdf at all")})
    assert page.status_code == 422
    assert "cannot be read as a PDF" in page.content.decode()


def test_the_page_says_what_the_command_says(
    document: IssuedDocument, reader_client: Client, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf = bytes_of(document)
    page = reader_client.post("/verify/", {"file": SimpleUploadedFile("W-101.pdf", pdf)}).content.decode()
    file = tmp_path / "W-101.pdf"
    file.write_bytes(pdf)
    call_command("verify", str(file))
    printed = capsys.readouterr().out
    for line in lines_of(check_file(pdf, "W-101.pdf")):
        assert line.words in page
        assert line.words in printed


def test_the_command_ends_with_one_for_a_bad_file_and_two_for_none(
    document: IssuedDocument, tmp_path: Path
) -> None:
    file = tmp_path / "longer.pdf"
    file.write_bytes(with_page_added(bytes_of(document)))
    with pytest.raises(SystemExit) as ended:
        call_command("verify", str(file))
    assert ended.value.code == 1
    with pytest.raises(CommandError, match="cannot be read") as refused:
        call_command("verify", str(tmp_path / "absent.pdf"))
    assert refused.value.returncode == 2


def test_a_code_answers_anybody_and_tells_no_more_than_the_paper(
    document: IssuedDocument, client: Client
) -> None:
    page = client.get(f"/verify/{document.code[:5].lower()}-{document.code[5:].lower()}/").content.decode()
    assert "Procedure W-101 rev 0" in page
    assert "This revision is current." in page
    for secret in ("Maren", "Tobias Quell</dd>"[:6], "Gangway deck", document.sha256):
        assert secret not in page.split("<footer")[0]
    unknown = client.get("/verify/ZZZZZZZZZZ/")
    assert unknown.status_code == 404
    assert "No document with this code was issued here." in unknown.content.decode()


def test_checking_a_file_takes_a_sign_in(client: Client) -> None:
    assert client.get("/verify/").status_code == 302


def test_outside_readers_see_the_tampering_too(document: IssuedDocument, tmp_path: Path) -> None:
    """What poppler says of the same stories."""
    pdf = bytes_of(document)
    bare = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        del opened.Root["/AcroForm"]
        opened.save(bare)
    assert _pdfsig(pdf, tmp_path).count("Signature is Valid") == 2
    assert "Total document signed" in _pdfsig(pdf, tmp_path)
    in_a_font = sum(_stream_of(pdf, b"/Length1")) // 2
    assert _pdfsig(flipped(pdf, in_a_font), tmp_path).count("Digest Mismatch") == 2
    assert "Total document signed" not in _pdfsig(with_page_added(pdf), tmp_path)
    assert "Signature is Valid" not in _pdfsig(bare.getvalue(), tmp_path)
    assert "Signature is Valid" not in _pdfsig(with_file_swapped(pdf, "record.json", b"{}"), tmp_path)


def _pdfsig(pdf: bytes, folder: Path) -> str:
    file = folder / "seen.pdf"
    file.write_bytes(pdf)
    return subprocess.run(
        ["pdfsig", "-nocert", str(file)], capture_output=True, text=True, check=False
    ).stdout


def test_signing_needs_certificates_of_both(author: User, approver: User) -> None:
    certificates(author, approver)
    assert author.certificates.get().by_shop
    assert approver.certificates.get().by_shop
