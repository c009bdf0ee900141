"""Files that take long to check: kept only until they are, told how far, and seen by whoever brought them."""

from __future__ import annotations

import io
from datetime import timedelta
from pathlib import Path

import pikepdf
import pytest
import time_machine
from django.conf import settings
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from tests.documents.papers import approved_test, bytes_of, signed
from wps.background import tasks
from wps.documents import long_checks, vault
from wps.documents.checking import PACKET_FILE
from wps.models import BackgroundTask, FileCheck

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


def with_files(count: int) -> bytes:
    """A PDF that brings so many files and says it is a packet."""
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        for number in range(count):
            pdf.attachments[f"{number}.pdf"] = pikepdf.AttachedFileSpec(
                pdf, b"%PDF-", filename=f"{number}.pdf"
            )
        pdf.attachments[PACKET_FILE] = pikepdf.AttachedFileSpec(
            pdf, b'{"code": "NONE", "files": []}', filename=PACKET_FILE
        )
        pdf.save(out)
    return out.getvalue()


def bring(client: Client, content: bytes) -> str:
    """Where the page leads after this file was chosen."""
    return client.post("/verify/", {"file": SimpleUploadedFile("packet.pdf", content)}).headers.get(
        "Location", ""
    )


def waiting() -> list[Path]:
    folder = Path(settings.CHECKS_DIR)
    return list(folder.iterdir()) if folder.exists() else []


def test_a_packet_is_checked_in_the_background_and_the_file_removed(
    reader_client: Client, author_client: Client
) -> None:
    task = bring(reader_client, with_files(3))
    assert "Check packet.pdf" in reader_client.get(task).content.decode()
    address = FileCheck.objects.get().get_absolute_url()
    assert reader_client.get(address).headers["Location"] == task
    assert len(waiting()) == 1
    tasks.run_all()
    assert waiting() == []
    page = reader_client.get(address).content.decode()
    assert "No signature is in the file" in page
    assert "Packet holds 2.pdf, which it does not list." in page
    assert author_client.get(address).status_code == 404


def test_one_document_is_answered_at_once(reader_client: Client, author: User, approver: User) -> None:
    pdf = bytes_of(signed(approved_test(author, approver), author, approver))
    assert bring(reader_client, pdf) == ""
    check = FileCheck.objects.get()
    assert (check.stored_as, check.is_over) == ("", True)
    assert waiting() == []


def test_a_file_that_cannot_be_read_is_refused_there_too(
    reader_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(long_checks, "AT_ONCE_BYTES", 10)
    bring(reader_client, b"%PDF-1.7 and nothing more")
    tasks.run_all()
    page = reader_client.get(FileCheck.objects.get().get_absolute_url())
    assert page.status_code == 422
    assert "cannot be read as a PDF" in page.content.decode()
    assert waiting() == []


def test_a_check_begun_again_after_a_restart_ends_the_same(
    reader_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    bring(reader_client, with_files(3))

    def killed(*_: object, **__: object) -> None:
        raise SystemExit

    with monkeypatch.context() as patch:
        patch.setattr(long_checks, "check_file", killed)
        with pytest.raises(SystemExit):
            tasks.run_all()
    BackgroundTask.objects.update(alive_at=None)
    tasks.run_all()
    assert BackgroundTask.objects.get().state == "done"
    assert FileCheck.objects.get().report["holds"] is False


def test_a_file_that_is_gone_is_said_to_be(reader_client: Client) -> None:
    bring(reader_client, with_files(3))
    for path in waiting():
        path.unlink()
    tasks.run_all()
    assert long_checks.GONE in reader_client.get(FileCheck.objects.get().get_absolute_url()).content.decode()


def test_old_checks_are_forgotten_with_their_files(reader_client: Client, author: User) -> None:
    bring(reader_client, with_files(3))
    with time_machine.travel(timezone.now() + long_checks.KEPT + timedelta(hours=1)):
        long_checks.begin_check(io.BytesIO(with_files(3)), "later.pdf", author)
    assert [each.filename for each in FileCheck.objects.all()] == ["later.pdf"]
    assert len(waiting()) == 1


def test_files_to_check_are_not_in_the_vault(reader_client: Client) -> None:
    content = with_files(3)
    bring(reader_client, content)
    assert not vault.path_of(vault.digest(content)).exists()
