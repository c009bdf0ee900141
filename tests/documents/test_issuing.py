"""A document is rendered once, from what was approved, and its bytes stay as they are."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from pathlib import Path

import pikepdf
import pytest
from django.contrib.auth.models import User
from django.test import Client
from pypdf import PdfReader

from qualification.models import AuditEntry, Shop
from qualification.records import workflow
from tests.documents.papers import approved_spec, approved_test, bytes_of, issued, no_progress, signed
from wps.background import tasks
from wps.documents import vault
from wps.documents.issuing import ContentChanged, render_issued
from wps.documents.kinds import document_for
from wps.models import BackgroundTask, IssuedDocument, Stage

pytestmark = pytest.mark.usefixtures("shop")
SMALL = pytest.mark.usefixtures("small_documents")


def test_approval_reserves_the_document_and_asks_for_it_in_the_background(
    author: User, approver: User
) -> None:
    document = document_for(approved_test(author, approver))
    assert document is not None
    assert document.stage == Stage.RENDERING
    assert (document.author, document.approver) == (author, approver)
    assert BackgroundTask.objects.filter(kind="issue", subject_id=document.pk, state="waiting").count() == 1


def test_the_document_is_kept_under_its_hash_and_the_hash_is_in_the_audit_trail(
    author: User, approver: User
) -> None:
    test = approved_test(author, approver)
    document = issued(test)
    assert vault.digest(bytes_of(document)) == document.sha256
    entry = AuditEntry.objects.get(verb="issue", record_kind=test.KIND, record_id=test.pk)
    assert entry.data["sha256"] == document.sha256
    assert entry.data["snapshot"] == test.snapshot_hash


def test_rendering_twice_keeps_the_first_bytes(author: User, approver: User) -> None:
    document = issued(approved_test(author, approver))
    render_issued(document.pk, no_progress)
    assert IssuedDocument.objects.get().sha256 == document.sha256


def test_a_changed_snapshot_is_not_rendered(author: User, approver: User) -> None:
    test = approved_test(author, approver)
    document = document_for(test)
    assert document is not None
    type(test).objects.filter(pk=test.pk).update(snapshot={**test.snapshot, "title": "Another"})
    with pytest.raises(ContentChanged, match="is not what was approved"):
        render_issued(document.pk, no_progress)
    tasks.run_all()
    task = BackgroundTask.objects.get()
    assert task.state == "failed"
    assert "is not what was approved" in task.message
    assert not IssuedDocument.objects.get().is_stored


def test_the_page_serves_the_stored_bytes_even_when_the_shop_has_moved(
    author: User, approver: User, reader_client: Client
) -> None:
    test = approved_test(author, approver)
    document = issued(test)
    Shop.objects.update(address="1 Elsewhere")
    assert reader_client.get(f"/documents/procedure-test/{test.pk}.pdf").content == bytes_of(document)


@SMALL
def test_an_approved_record_without_a_document_gets_one_on_asking(
    author: User, approver: User, reader_client: Client
) -> None:
    """As after a restore, or for what was approved before documents were made."""
    test = approved_test(author, approver)
    IssuedDocument.objects.all().delete()
    BackgroundTask.objects.all().delete()
    page = reader_client.get(f"/documents/procedure-test/{test.pk}.pdf", follow=True)
    assert page.redirect_chain[-1][0].split("?")[0] == f"/documents/procedure-test/{test.pk}/"
    assert "No document was made of this revision yet." in page.content.decode()
    assert "Make the document" in page.content.decode()
    page = reader_client.post(f"/documents/procedure-test/{test.pk}/issue/", follow=True).content.decode()
    assert "Make the document of PT-014 rev 0" in page
    tasks.run_all()
    assert reader_client.get(f"/documents/procedure-test/{test.pk}.pdf")["Content-Type"] == "application/pdf"


@SMALL
def test_a_document_whose_making_failed_is_tried_again_on_asking(
    author: User, approver: User, reader_client: Client
) -> None:
    test = approved_test(author, approver)
    BackgroundTask.objects.update(state="failed", message="The disk was full.")
    page = reader_client.get(f"/documents/procedure-test/{test.pk}/").content.decode()
    assert "The disk was full." in page
    assert "Try again" in page
    reader_client.post(f"/documents/procedure-test/{test.pk}/issue/")
    tasks.run_all()
    assert BackgroundTask.objects.filter(state="done").count() == 1
    assert IssuedDocument.objects.get().is_stored


def test_no_document_is_made_of_a_draft(author: User, reader_client: Client) -> None:
    from tests import shop_records

    draft = shop_records.procedure_test(author, state="draft")
    reader_client.post(f"/documents/procedure-test/{draft.pk}/issue/")
    assert not IssuedDocument.objects.exists()
    assert (
        "Make the document"
        not in reader_client.get(f"/documents/procedure-test/{draft.pk}/").content.decode()
    )


def test_a_draft_is_rendered_as_it_stands_and_marked(author: User, reader_client: Client) -> None:
    from tests import shop_records

    draft = shop_records.procedure_test(author, state="draft")
    answer = reader_client.get(f"/documents/procedure-test/{draft.pk}.pdf?paper=a4")
    reader = PdfReader(io.BytesIO(answer.content))
    assert round(float(reader.pages[0].mediabox.width)) == 595
    assert "not issued" in reader.pages[0].extract_text()
    assert not IssuedDocument.objects.exists()


def test_every_page_carries_code_and_number_of_the_record(author: User, approver: User) -> None:
    document = issued(approved_test(author, approver))
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(bytes_of(document))).pages]
    said = f"{document.code[:5]}-{document.code[5:]}"
    assert len(pages) == document.pages
    assert [said in page and "PT-014 rev 0" in page for page in pages] == [True] * len(pages)


def test_only_bundled_fonts_are_embedded_and_all_of_them_are(author: User, approver: User) -> None:
    document = signed(approved_test(author, approver), author, approver)
    names = set()
    with pikepdf.open(io.BytesIO(bytes_of(document))) as pdf:
        for obj in pdf.objects:
            if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor":
                names.add(re.sub(r"^/[A-Z]{6}\+", "", str(obj.FontName)))
                assert "/FontFile2" in obj or "/FontFile3" in obj, obj.FontName
    assert names
    assert {name for name in names if not re.match(r"(IBM)?Plex-?(Sans|Mono)", name)} == set()


def test_a_stored_file_that_was_changed_is_named_and_not_served(
    author: User, approver: User, reader_client: Client
) -> None:
    test = approved_test(author, approver)
    document = issued(test)
    path = vault.path_of(document.sha256)
    path.chmod(0o600)
    path.write_bytes(path.read_bytes() + b"\n")
    answer = reader_client.get(f"/documents/procedure-test/{test.pk}.pdf", follow=True)
    assert "was changed after it was stored" in answer.content.decode()


def test_a_procedure_carries_the_content_of_its_tests(author: User, approver: User) -> None:
    from wps.pdf.attached_files import attached_files

    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    record = attached_files(bytes_of(issued(spec)))["record.json"]
    assert test.snapshot_hash.encode() in record
    assert b'"evidence"' in record


@pytest.mark.parametrize("reader", ["qpdf", "pdfinfo", "pdfsig", "pdfdetach"])
def test_the_outside_readers_are_installed(reader: str) -> None:
    assert shutil.which(reader), (
        "Run ./test, which installs poppler-utils and qpdf, or: sudo apt-get install poppler-utils qpdf"
    )


def test_outside_readers_agree(author: User, approver: User, tmp_path: Path) -> None:
    """poppler and qpdf read structure, signatures and attachment on their own."""
    file = tmp_path / "document.pdf"
    file.write_bytes(bytes_of(signed(approved_test(author, approver), author, approver)))
    assert "No syntax or stream encoding errors" in _run("qpdf", "--check", str(file))
    signatures = _run("pdfsig", "-nocert", str(file))
    assert signatures.count("Signature is Valid") == 2
    assert "Maren Oosting" in signatures
    assert "Tobias Quell" in signatures
    structure = _run("pdfinfo", "-struct", str(file))
    assert structure.splitlines()[0] == "Document"
    assert {"Table", "TH", "H1", "H2"} <= {line.split()[0] for line in structure.splitlines() if line.strip()}
    assert "record.json" in _run("pdfdetach", "-list", str(file))


def _run(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_it_is_tagged_and_bookmarked_and_claims_no_archival_form_it_may_not_keep(
    author: User, approver: User
) -> None:
    """ISO 19005-3 holds as rendered; signature fields and blocks come after, and no validator is at hand."""
    with pikepdf.open(io.BytesIO(bytes_of(issued(approved_test(author, approver))))) as pdf:
        with pdf.open_metadata() as metadata:
            assert not [key for key in metadata if "pdfa" in key]
            assert metadata["dc:title"]
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        assert "/OutputIntents" in pdf.Root
        with pdf.open_outline() as outline:
            titles = [each.title for top in outline.root for each in (top, *top.children)]
        assert "Tests and results" in titles
        (record,) = {str(each.F): each for each in pdf.Root.AF}.values()
        assert (str(record.F), str(record.AFRelationship)) == ("record.json", "/Data")


def test_superseding_leaves_the_stored_bytes_and_its_page_says_so(
    author: User, approver: User, reader_client: Client
) -> None:
    from tests import shop_records

    test = approved_test(author, approver)
    document = issued(test)
    later = workflow.start_revision(test, author, "The laboratory corrected a width.")
    shop_records.approve(later, author, approver)
    assert bytes_of(IssuedDocument.objects.get(pk=document.pk)) == bytes_of(document)
    page = reader_client.get(f"/documents/procedure-test/{test.pk}/").content.decode()
    assert "This revision is superseded" in page
    assert "In force now: revision 1." in page


def test_a_long_circumstance_is_printed_once_below_the_table_and_no_heading_stands_alone(
    author: User, approver: User
) -> None:
    pages = [
        page.extract_text().splitlines()
        for page in PdfReader(io.BytesIO(bytes_of(issued(approved_test(author, approver))))).pages
    ]
    text = "\n".join("\n".join(lines) for lines in pages)
    assert "Where toughness is required" in text
    assert "Note a, where:" in text
    headings = {
        "Tests and results",
        "Qualifies",
        "Signed",
        "Revisions",
    }
    for lines in pages:
        body = [line for line in lines if line.strip()]
        last = [number for number, line in enumerate(body) if line.strip() in headings]
        assert all(
            number < len(body) - 1 and not body[number + 1].startswith(("Page ", "PT-014 rev"))
            for number in last
        )


def test_tables_that_run_over_a_page_repeat_their_heads(author: User, approver: User) -> None:
    pages = [
        page.extract_text()
        for page in PdfReader(io.BytesIO(bytes_of(issued(approved_test(author, approver))))).pages
    ]
    with_rows = [page for page in pages if "QW-404" in page and "Qualified" in page]
    assert with_rows
    assert [page for page in pages if "QW-404.4" in page and "Clause" not in page] == []
