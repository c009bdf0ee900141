"""Packets: what they bring, what stops them, the file itself, and who holds a copy."""

from __future__ import annotations

import io
import json
import os
import subprocess
from datetime import timedelta
from pathlib import Path

import pikepdf
import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from qualification.models import ProcessUse, Shop
from qualification.records import workflow
from tests import shop_records
from tests.documents.packet_records import assembled, issue, packet_for
from tests.documents.papers import (
    APPROVER_PASSPHRASE,
    approved_spec,
    approved_test,
    bytes_of,
    signed,
    with_file_swapped,
)
from wps.background import tasks
from wps.documents import vault
from wps.documents.attachments import keep_attachment
from wps.documents.checking import check_file
from wps.documents.transmitted import outdated_copies
from wps.models import BackgroundTask, Packet, PacketItem, PacketState, Spec, TaskState
from wps.packets.contents import proposed_for
from wps.packets.issue import LONGEST_STATEMENT, PacketRefused, begin_assembly, obstacles_today, sign_packet
from wps.pdf.attached_files import attached_files

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


@pytest.fixture
def whole(author: User, approver: User) -> Packet:
    """A packet with nothing in its way: a signed procedure, its signed test, a welder who holds the process
    by it."""
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    signed(test, author, approver)
    signed(spec, author, approver)
    out = io.BytesIO()
    Image.new("RGBA", (300, 200), (90, 90, 90, 128)).save(out, "PNG")
    paper = keep_attachment(
        out.getvalue(), "6061 plate.png", author, kind="mill", title="6061 plate", heat="H-2231"
    )
    return packet_for(
        author, procedures=[spec.pk], welders=[test.welder_id], attachments=[paper.pk], asked_for=["mill"]
    )


def test_nothing_stands_in_the_way_of_a_whole_packet(whole: Packet) -> None:
    assert obstacles_today(whole) == []


def test_the_file_has_cover_index_documents_numbers_bookmarks_and_originals(
    whole: Packet, author: User, approver: User, tmp_path: Path
) -> None:
    pdf = issue(whole, author, approver)
    reader = PdfReader(io.BytesIO(pdf))
    texts = [page.extract_text() for page in reader.pages]
    assert [f"page {number} of {len(texts)}" in text for number, text in enumerate(texts, start=1)] == [
        True
    ] * len(texts)
    for words in (
        "Port Ellery",
        "Index",
        "W-101 rev 0",
        "PT-014 rev 0",
        "Mill certificate",
        "H-2231",
        "Anouk Berglund",
        "Holds until",
    ):
        assert any(words in text for text in texts), words
    titles = [str(item.title) for item in reader.outline if not isinstance(item, list)]
    assert {"Procedures", "Procedure tests", "Attachments"} <= set(titles)
    for item in PacketItem.objects.exclude(reference=""):
        assert item.reference in texts[item.first_page - 1]
    for item in PacketItem.objects.select_related("document", "attachment"):
        original = bytes_of(item.document) if item.document else vault.read(item.attachment.sha256, ".png")
        assert attached_files(pdf)[item.filename] == original
    _outside_readers_agree(pdf, tmp_path)


def _outside_readers_agree(pdf: bytes, folder: Path) -> None:
    file = folder / "packet.pdf"
    file.write_bytes(pdf)
    assert "No syntax or stream encoding errors" in _run("qpdf", "--check", str(file))
    assert "Signature is Valid" in _run("pdfsig", "-nocert", str(file))
    assert _run("pdfinfo", "-struct", str(file)).count("Part") >= 2
    _run("pdfdetach", "-savefile", "W-101-rev-0.pdf", "-o", str(folder / "taken.pdf"), str(file))
    assert check_file((folder / "taken.pdf").read_bytes(), "taken.pdf").holds


def _run(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def test_the_packet_and_every_file_in_it_hold(
    whole: Packet,
    author: User,
    approver: User,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    report = check_file(issue(whole, author, approver), "packet.pdf")
    assert report.holds
    assert {each.name: each.holds for each in report.inner} == {
        "W-101-rev-0.pdf": True,
        "PT-014-rev-0.pdf": True,
    }
    file = tmp_path / "packet.pdf"
    file.write_bytes(vault.read(whole.sha256))
    call_command("verify", str(file))
    printed = capsys.readouterr().out
    assert "Files in the packet: Each file in the packet is the one it lists." in printed
    assert "  W-101-rev-0.pdf" in printed
    workflow.apply("withdraw", Spec.objects.get(), approver, "Stopped.")
    with pytest.raises(SystemExit):
        call_command("verify", str(file))
    assert "Documents in this packet are no longer current." in capsys.readouterr().out


def test_one_inner_file_replaced(whole: Packet, author: User, approver: User) -> None:
    pdf = issue(whole, author, approver)
    report = check_file(
        with_file_swapped(pdf, "W-101-rev-0.pdf", attached_files(pdf)["PT-014-rev-0.pdf"]), "packet.pdf"
    )
    assert (
        "Packet file W-101-rev-0.pdf is not the one the packet lists: it was replaced or changed."
        in report.notes
    )
    assert not report.signatures.verification.intact
    assert not report.holds


def test_only_embedded_fonts(whole: Packet, author: User, approver: User) -> None:
    with pikepdf.open(io.BytesIO(issue(whole, author, approver))) as pdf:
        fonts = [
            obj
            for obj in pdf.objects
            if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor"
        ]
        assert fonts
        assert all("/FontFile2" in font or "/FontFile3" in font for font in fonts)


def test_an_unsigned_document_needs_a_statement_which_is_printed(author: User, approver: User) -> None:
    test = approved_test(author, approver)
    signed(test, author, approver)
    spec = approved_spec(author, approver, test)
    tasks.run_all()
    packet = packet_for(author, procedures=[spec.pk], welders=[test.welder_id])
    with pytest.raises(PacketRefused, match="awaiting the author's signature. Have them signed first"):
        begin_assembly(packet, "The customer asked for a first look.", author)
    Shop.objects.update(unsigned_in_packets=True)
    with pytest.raises(PacketRefused, match="State why"):
        begin_assembly(packet, " ", author)
    with pytest.raises(PacketRefused, match="is 601 characters long. Shorten it to 600 or fewer."):
        begin_assembly(packet, f" {'a' * (LONGEST_STATEMENT + 1)} ", author)
    pdf = issue(packet, author, approver, "The customer asked for a first look.")
    cover = PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert "Procedure W-101 rev 0: awaiting the author's signature." in cover
    assert "The customer asked for a first look." in cover
    assert (
        json.loads(attached_files(pdf)["packet.json"])["statement"] == "The customer asked for a first look."
    )
    report = check_file(pdf, "packet.pdf")
    assert [each.holds for each in report.inner] == [False, True]
    assert not report.holds, "a packet is as good as what is in it"


def test_each_obstacle_has_its_sentence(author: User, approver: User) -> None:
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    assert "Procedure W-101 rev 0: its document has not been made, so it is left out." in obstacles_today(
        packet_for(author, procedures=[spec.pk])
    )
    Packet.objects.all().delete()
    workflow.apply("withdraw", spec, approver, "Stopped.")
    found = obstacles_today(packet_for(author, procedures=[spec.pk], asked_for=["nde"]))
    assert "Procedure W-101 rev 0 is withdrawn." in found
    assert "No welder is listed." in found
    assert "NDE report: the recipient asks for one, and none is in the packet." in found


def test_a_lapsed_welder(author: User, approver: User) -> None:
    test = approved_test(author, approver, welded_on=timezone.localdate() - timedelta(days=400))
    spec = approved_spec(author, approver, test)
    (sentence,) = [
        each
        for each in obstacles_today(packet_for(author, procedures=[spec.pk], welders=[test.welder_id]))
        if "Welder Anouk" in each
    ]
    assert "GMAW" in sentence
    assert "lapsed" in sentence
    ProcessUse.objects.create(
        welder=test.welder,
        process="GMAW",
        operation="semiautomatic",
        used_on=timezone.localdate() - timedelta(days=300),
        evidence="Job 1",
        recorded_by_name="M",
    )
    assert obstacles_today(Packet.objects.get())


def test_a_job_proposes_its_procedures_and_welders_and_names_what_is_missing(
    author: User, approver: User
) -> None:
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    job = shop_records.job()
    shop_records.part(job, "G-12", spec_number="W-101")
    shop_records.part(job, "G-13")
    assert proposed_for(job, timezone.localdate()) == {
        "procedures": [spec.pk],
        "welders": [test.welder_id],
        "attachments": [],
    }
    out = io.BytesIO()
    Image.new("RGB", (30, 20)).save(out, "PNG")
    papers = {
        name: keep_attachment(out.getvalue(), "paper.png", author, kind="nde", title=name, **about).pk
        for name, about in {
            "of the job": {"job": job},
            "of the test": {"record_kind": "procedure-test", "record_number": test.number},
            "of the procedure": {"record_kind": "procedure", "record_number": "W-101"},
            "of another": {"record_kind": "procedure", "record_number": "W-999"},
            "set aside": {"job": job, "set_aside_because": "Of another weld."},
        }.items()
    }
    assert set(proposed_for(job, timezone.localdate())["attachments"]) == {
        papers[name] for name in ("of the job", "of the test", "of the procedure")
    }
    packet = packet_for(author, **proposed_for(job, timezone.localdate()))
    packet.job = job
    packet.save()
    assert "Weld G-13 of job J-3107 names no procedure." in obstacles_today(packet)


def test_what_changes_between_assembly_and_signature_stops_it(
    whole: Packet, author: User, approver: User
) -> None:
    assembled(whole, author)
    shop_records.approve(workflow.start_revision(Spec.objects.get(), author, "Wider."), author, approver)
    with pytest.raises(PacketRefused, match="Procedure W-101 rev 0 is superseded. Assemble it again"):
        sign_packet(whole, approver, APPROVER_PASSPHRASE, "portal")


def test_a_packet_whose_worker_died_is_assembled_by_the_next(
    whole: Packet, author: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed half way: what was written is not kept, and the next worker begins again from nothing."""
    begin_assembly(whole, "", author)
    kept = set(vault.path_of("0" * 64).parent.iterdir())

    def killed(*_: object) -> None:
        raise SystemExit

    with monkeypatch.context() as patch:
        patch.setattr("wps.packets.readable.Readable.finish", killed)
        with pytest.raises(SystemExit):
            tasks.run_all()
    task = BackgroundTask.objects.get(kind="packet")
    assert (task.state, set(vault.path_of("0" * 64).parent.iterdir())) == (TaskState.RUNNING, kept)
    BackgroundTask.objects.update(alive_at=timezone.now() - tasks.LEASE - timedelta(seconds=1))
    tasks.run_all()
    whole.refresh_from_db()
    task.refresh_from_db()
    assert (task.state, whole.state) == (TaskState.DONE, PacketState.READY)


def test_a_packet_that_was_changed_on_disk_is_neither_signed_nor_sent(
    whole: Packet, author: User, approver: User, reader_client: Client
) -> None:
    path = vault.path_of(assembled(whole, author).assembled_sha256)
    path.chmod(0o600)
    path.write_bytes(path.read_bytes() + b"\n")
    page = reader_client.get(f"/packets/{whole.pk}.pdf")
    assert page.status_code == 409
    assert "was changed after it was stored" in page.content.decode()
    with pytest.raises(PacketRefused, match="Or assemble the packet again"):
        sign_packet(whole, approver, APPROVER_PASSPHRASE, "portal")


def test_a_paper_whose_pages_cannot_be_copied_is_named(
    whole: Packet, author: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(content: bytes) -> bytes:
        raise ValueError("odd picture")

    monkeypatch.setattr("wps.packets.assembly.picture_page", broken)
    assembled(whole, author)
    assert whole.state == PacketState.DRAFT
    message = BackgroundTask.objects.get(kind="packet").message
    assert (
        "The pages of Mill certificate: 6061 plate (heat H-2231) cannot be copied into the packet." in message
    )


def test_a_packet_that_nobody_could_check_later_is_not_kept(
    whole: Packet, author: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wps.packets.assembly.LARGEST_FILE", 10_000)
    kept = set(vault.path_of("0" * 64).parent.iterdir())
    assembled(whole, author)
    assert "Leave attachments out, or make two packets." in BackgroundTask.objects.get(kind="packet").message
    assert (whole.state, set(vault.path_of("0" * 64).parent.iterdir())) == (PacketState.DRAFT, kept)


def test_the_code_of_a_packet_answers_anybody(
    whole: Packet, author: User, approver: User, client: Client
) -> None:
    address = f"/verify/{whole.code}/"
    assert "has not been issued" in client.get(address).content.decode()
    issue(whole, author, approver)
    assert "All documents in this packet are current." in client.get(address).content.decode()
    shop_records.approve(workflow.start_revision(Spec.objects.get(), author, "Wider."), author, approver)
    page = client.get(address).content.decode()
    assert "Documents in this packet are no longer current." in page
    assert "Port Ellery</" not in page
    assert "W-101" not in page


def test_what_a_killed_process_left_unfinished_is_removed_after_a_day(whole: Packet) -> None:
    folder = vault.path_of("0" * 64).parent
    old, new = folder / f"{vault.UNFINISHED}old", folder / f"{vault.UNFINISHED}new"
    for path in (old, new):
        path.write_bytes(b"half")
    os.utime(old, (0, 0))
    call_command("work")
    assert (old.exists(), new.exists()) == (False, True)


def test_superseding_a_document_lists_who_holds_an_old_copy(
    whole: Packet, author: User, approver: User, author_client: Client
) -> None:
    issue(whole, author, approver)
    assert outdated_copies() == []
    shop_records.approve(workflow.start_revision(Spec.objects.get(), author, "Wider."), author, approver)
    ((transmittal, documents),) = outdated_copies()
    assert (transmittal.recipient, [each.reference for each in documents]) == ("Port Ellery", ["W-101 rev 0"])
    assert "Port Ellery holds W-101 rev 0" in author_client.get("/").content.decode()
    assert "no longer current" in author_client.get(whole.get_absolute_url()).content.decode()
    author_client.post(f"/packets/told/{transmittal.pk}/")
    assert outdated_copies() == []


def test_the_pages_of_a_packet(
    whole: Packet, author_client: Client, approver_client: Client, reader_client: Client
) -> None:
    address = whole.get_absolute_url()
    assert "Open items" in reader_client.get(address).content.decode()
    refused = reader_client.post(f"{address}assemble/", {})
    assert "takes an author or an approver" in refused.content.decode()
    task = author_client.post(f"{address}assemble/", {}, follow=True).content.decode()
    assert "Assemble Packet P-001" in task
    tasks.run_all()
    file = approver_client.get(f"/packets/{whole.pk}.pdf")
    assert (file["Content-Type"], file["Content-Disposition"]) == (
        "application/pdf",
        'inline; filename="P-001-not-issued.pdf"',
    )
    assert file.getvalue().startswith(b"%PDF")
    assert (
        "Say to whom"
        in approver_client.post(
            f"{address}sign/", {"passphrase": APPROVER_PASSPHRASE, "way": ""}
        ).content.decode()
    )
    done = approver_client.post(
        f"{address}sign/", {"passphrase": APPROVER_PASSPHRASE, "way": "portal"}, follow=True
    )
    assert "All documents in this packet are current." in done.content.decode()
    changed = author_client.get(f"{address}edit/", follow=True)
    assert "stays as it is" in changed.content.decode()
