"""Records that come in from a spreadsheet take their scans along, all or nothing."""

from __future__ import annotations

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import ProcedureTest, Welder, WelderTest
from qualification.models.audit import AuditEntry
from tests.documents.test_attachments import pdf_of, picture, vault_files
from wps.documents.attachments import bytes_of
from wps.documents.left_over import named_files
from wps.models import Attachment, AttachmentKind, ListImport, ListScan, Spec
from wps.outside import list_scans
from wps.outside.list_import import Look

pytestmark = pytest.mark.django_db
TODAY = date(2031, 5, 2)
ROWS = "Number;Welder;Date\nWT-011;AB;2024-04-27\nWT-012;AB;2024-04-28\n"


@pytest.fixture(autouse=True)
def _welder() -> None:
    Welder.objects.create(name="Anouk Berglund", stamp="AB")


def _send(
    client: Client, *scans: tuple[str, bytes], target: str = "welder_tests", rows: str = ROWS
) -> HttpResponse:
    files = [SimpleUploadedFile(name, content) for name, content in scans]
    sent = {"target": target, "units": "us", "edition": "asme_ix_2023", "pasted": rows, "scans": files}
    return client.post(reverse("import_records"), sent)


def _import(client: Client) -> HttpResponse:
    listed = ListImport.objects.get()
    token = Look(listed, TODAY).token
    return client.post(listed.get_absolute_url(), {"do": "import", "token": token}, follow=True)


def test_three_scans_come_in_with_their_records(author_client: Client) -> None:
    first, second, third = pdf_of(2), picture("PNG"), picture("JPEG")
    answer = _send(
        author_client,
        ("WT-011.pdf", first),
        ("wt_011 p2.png", second),
        ("WT012 rev 0.jpg", third),
        ("x.pdf", first),
    )
    listed = ListImport.objects.get()
    assertRedirects(answer, listed.get_absolute_url())
    assert not Attachment.objects.exists()
    goes = {each.scan.filename: each.number for each in Look(listed, TODAY).scans}
    assert goes == {
        "WT-011.pdf": "WT-011",
        "wt_011 p2.png": "WT-011",
        "WT012 rev 0.jpg": "WT-012",
        "x.pdf": "",
    }
    page = author_client.get(listed.get_absolute_url())
    assertContains(page, "Fits no number. Not attached")
    assertContains(_import(author_client), "3 scans attached.")
    kept = {paper.filename: paper for paper in Attachment.objects.all()}
    assert {name: (paper.record_kind, paper.record_number) for name, paper in kept.items()} == {
        "WT-011.pdf": ("welder-test", "WT-011"),
        "wt_011 p2.png": ("welder-test", "WT-011"),
        "WT012 rev 0.jpg": ("welder-test", "WT-012"),
    }
    assert {paper.kind for paper in kept.values()} == {AttachmentKind.SCAN}
    assert (bytes_of(kept["WT-011.pdf"]), kept["WT-011.pdf"].pages) == (first, 2)
    assert bytes_of(kept["wt_011 p2.png"]) == second
    assert AuditEntry.objects.filter(verb="attach").count() == 3
    assert not ListScan.objects.exists()
    record = WelderTest.objects.get(number="WT-011")
    edit = author_client.get(reverse("welder_test_edit", args=[record.pk]))
    assertContains(edit, reverse("attachment_shown", args=[kept["WT-011.pdf"].pk]))
    # The same list and files again change nothing.
    _send(author_client, ("WT-011.pdf", first), ("WT012 rev 0.jpg", third))
    assertContains(
        author_client.get(ListImport.objects.get().get_absolute_url()), "WT-011 has this file already."
    )
    assertNotContains(_import(author_client), "attached.")
    assert Attachment.objects.count() == 3


def test_nothing_is_kept_when_one_scan_is_refused(author_client: Client) -> None:
    answer = _send(author_client, ("WT-011.pdf", pdf_of()), ("WT-012.pdf", b"words"), ("empty.png", b"  "))
    assertContains(answer, "No scan was taken", status_code=422)
    assertContains(answer, "WT-012.pdf", status_code=422)
    assertContains(answer, "neither a PDF nor a PNG or JPEG picture", status_code=422)
    assertContains(answer, "WT-012;AB;2024-04-28", status_code=422)  # what was typed
    assert not ListImport.objects.exists()
    assert vault_files() == []


def test_scans_are_added_afterwards_and_left_out(author_client: Client) -> None:
    _send(author_client)
    listed = ListImport.objects.get()
    url = listed.get_absolute_url()

    def add(*scans: tuple[str, bytes]) -> HttpResponse:
        files = [SimpleUploadedFile(name, content) for name, content in scans]
        return author_client.post(url, {"do": "scans", "scans": files})

    refused = add(("WT-011.pdf", pdf_of()), ("WT-012.pdf", pdf_of()[:300]))
    assertContains(refused, "is broken", status_code=422)
    assert (vault_files(), ListScan.objects.count()) == ([], 0)
    before = Look(listed, TODAY).token
    assertRedirects(add(("WT-011.pdf", pdf_of()), ("WT-012.pdf", pdf_of(2))), url)
    assert {scan.sha256 for scan in listed.scans.all()} <= named_files()
    add(("WT-011.pdf", pdf_of(3)))  # the same name: in the earlier one's place
    assert listed.scans.get(filename="WT-011.pdf").pages == 3
    stale = author_client.post(url, {"do": "import", "token": before})
    assertContains(stale, "has changed since", status_code=422)
    assert not WelderTest.objects.exists()
    author_client.post(url, {"leave_out": listed.scans.get(filename="WT-012.pdf").pk})
    _import(author_client)
    assert [(paper.record_number, paper.pages) for paper in Attachment.objects.all()] == [("WT-011", 3)]


def test_nothing_is_attached_when_the_import_fails(
    author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    _send(author_client, ("WT-011.pdf", pdf_of()), ("WT-012.pdf", pdf_of(2)))
    listed, kept = ListImport.objects.get(), list_scans.attach_kept

    def fails(*said: object, **about: object) -> Attachment:
        if about["record_number"] == "WT-012":
            raise OSError("the disk is full")
        return kept(*said, **about)  # type: ignore[arg-type]

    monkeypatch.setattr(list_scans, "attach_kept", fails)
    with pytest.raises(OSError, match="full"):
        _import(author_client)
    assert (Attachment.objects.count(), WelderTest.objects.count()) == (0, 0)
    assert listed.scans.count() == 2


def test_a_paper_of_a_record_that_the_list_does_not_name_goes_nowhere(
    author_client: Client, author: User
) -> None:
    WelderTest.objects.create(number="WT-011-2", author=author, welder=Welder.objects.get())
    _send(
        author_client, ("WT-011-2.pdf", pdf_of()), ("WT-011 WT-012.pdf", pdf_of()), ("WT-012-2.pdf", pdf_of())
    )
    listed = ListImport.objects.get()
    found = {each.scan.filename: (list(each.fits), each.number) for each in Look(listed, TODAY).scans}
    assert found == {
        "WT-011-2.pdf": (["WT-011-2"], ""),
        "WT-011 WT-012.pdf": (["WT-011", "WT-012"], ""),
        "WT-012-2.pdf": (["WT-012"], "WT-012"),
    }
    page = author_client.get(listed.get_absolute_url())
    assertContains(page, "Fits WT-011-2, which this list does not name")
    assertContains(page, "Fits several: WT-011, WT-012")


@pytest.mark.parametrize(("most", "status"), [(3, 302), (2, 302), (1, 422)])
def test_files_in_one_go_are_limited(
    most: int, status: int, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(list_scans, "MOST_AT_ONCE", most)
    answer = _send(author_client, ("WT-011.pdf", pdf_of()), ("WT-012.pdf", pdf_of()))
    assert answer.status_code == status
    if status == 422:
        assertContains(answer, "These are 2 files", status_code=422)
        assert vault_files() == []


@pytest.mark.parametrize(("spare", "status"), [(1, 302), (0, 302), (-1, 422)])
def test_bytes_in_one_go_are_limited(
    spare: int, status: int, author_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = pdf_of()
    monkeypatch.setattr(list_scans, "MOST_BYTES_AT_ONCE", 2 * len(content) + spare)
    assert _send(author_client, ("WT-011.pdf", content), ("WT-012.pdf", content)).status_code == status


def test_scans_come_with_records_only(author_client: Client) -> None:
    answer = _send(author_client, ("AB.pdf", pdf_of()), target="welders", rows="Name;Stamp\nDora Ekman;DE\n")
    assertContains(answer, "Scans come in with procedures", status_code=422)
    _send(author_client, target="welders", rows="Name;Stamp\nDora Ekman;DE\n")
    assertNotContains(author_client.get(ListImport.objects.get().get_absolute_url()), "Add these scans")


@pytest.mark.parametrize(
    ("target", "kind", "model"),
    [("tests", "procedure-test", ProcedureTest), ("procedures", "procedure", Spec)],
)
def test_procedures_and_their_tests_take_scans_too(
    target: str, kind: str, model: type[ProcedureTest] | type[Spec], author_client: Client
) -> None:
    rows = "Number;Process\nAL-01;GMAW\n"
    if target == "tests":
        rows = "Number;Welder;Date\nAL-01;AB;2024-04-27\n"
    _send(author_client, ("al 01.pdf", pdf_of()), target=target, rows=rows)
    _import(author_client)
    paper = Attachment.objects.get()
    assert (paper.record_kind, paper.record_number) == (kind, "AL-01")
    record = model.objects.get(number="AL-01")
    name = "procedure_edit" if target == "procedures" else "procedure_test_edit"
    page = author_client.get(reverse(name, args=[record.pk]))
    assertContains(page, reverse("attachment_shown", args=[paper.pk]))
    assertContains(page, "Record on paper: al 01.pdf")
