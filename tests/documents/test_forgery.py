"""What a forger would try: none of it holds, and each is named for what it is."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client

from qualification.models import Shop
from qualification.records import workflow
from qualification.roles import AUTHOR, READER, grant_roles
from tests import shop_records
from tests.documents.forgers import (
    PASSPHRASE,
    fields_emptied,
    home_made,
    overpainted,
    padding_changed,
    repainted,
    signed_outside,
    with_files,
    with_list,
)
from tests.documents.packet_records import issue, packet_for
from tests.documents.papers import (
    APPROVER_PASSPHRASE,
    AUTHOR_PASSPHRASE,
    approved_spec,
    approved_test,
    bytes_of,
    certificates,
    issued,
    signed,
    with_page_added,
)
from wps.documents import vault
from wps.documents.checking import FileReport, check_file
from wps.documents.reliance import rely_on
from wps.documents.report_words import lines_of, report_content
from wps.documents.taking_signatures import sign_document
from wps.models import IssuedDocument, PersonalCertificate, SignatureTaken, Spec
from wps.packets.assembly import FIELD as ISSUER
from wps.signing.authority import authority
from wps.signing.people import accept, make_certificate, shop_authority, take_certificate
from wps.signing.sign import SigningRefused
from wps.signing.verify import verify

pytestmark = pytest.mark.usefixtures("shop", "small_documents")

AUTHOR_FIELD, APPROVER_FIELD = "SignatureAuthor", "SignatureApprover"
Check = Callable[..., FileReport]


def made_for_all(author: User, approver: User) -> IssuedDocument:
    """A signed procedure."""
    return signed(approved_spec(author, approver, approved_test(author, approver)), author, approver)


@pytest.fixture
def unsigned(document: IssuedDocument) -> bytes:
    """Its file from before anybody signed, as anybody who reads here could have saved it."""
    return vault.read(document.rendered_sha256)


def refused(pdf: bytes, *keys: str, more: list[bytes] | None = None) -> FileReport:
    """Check a forged file: it does not hold, and is named for what it is."""
    report = check_file(pdf, "forged.pdf", more or [])
    assert not report.holds
    assert set(keys) <= {each.key for each in report.reasons}
    assert report.verdict.indication != "TOTAL-PASSED"
    assert rely_on(report).answer == "no"
    assert lines_of(report)[0].label == "May I rely on this?"
    assert lines_of(report)[0].verdict == "not_covered"
    return report


def reasons_by_field(report: FileReport) -> dict[str, str]:
    return {each.facts.field: each.reason.key for each in report.signatures.judged}


def test_the_paper_itself_holds(document: IssuedDocument) -> None:
    report = check_file(bytes_of(document), "W-101.pdf")
    assert report.holds
    assert report.verdict.indication == "TOTAL-PASSED"


def test_with_a_certificate_of_ones_own(unsigned: bytes, reader: User) -> None:
    own = bytes(make_certificate(reader, PASSPHRASE).pkcs12)
    report = refused(
        signed_outside(repainted(unsigned), (AUTHOR_FIELD, own), (APPROVER_FIELD, own)),
        "not_ours",
        "other_person",
    )
    assert reasons_by_field(report) == {AUTHOR_FIELD: "other_person", APPROVER_FIELD: "other_person"}
    assert "belongs to Ilse Varga; this place is for Maren Oosting" in report.signatures.judged[0].because


def test_in_a_colleagues_name_from_inside(
    unsigned: bytes, reader: User, administrator: User, tmp_path: Path
) -> None:
    made = [home_made(tmp_path / name, name) for name in ("Maren Oosting", "Tobias Quell")]
    for each in made:
        take_certificate(reader, each, PASSPHRASE)
    forged = signed_outside(repainted(unsigned), (AUTHOR_FIELD, made[0]), (APPROVER_FIELD, made[1]))
    report = refused(forged, "not_ours", "not_accepted")
    assert {each.reason.sub_indication for each in report.signatures.judged} == {"NO_CERTIFICATE_CHAIN_FOUND"}
    for each in PersonalCertificate.objects.filter(by_shop=False):
        accept(each, each.fingerprint, "Signs for both.", administrator)
    assert reasons_by_field(refused(forged, "not_ours")) == {
        AUTHOR_FIELD: "other_person",
        APPROVER_FIELD: "other_person",
    }


def test_in_the_same_name_from_outside(unsigned: bytes, tmp_path: Path) -> None:
    made = [home_made(tmp_path, name) for name in ("Maren Oosting", "Tobias Quell")]
    forged = signed_outside(repainted(unsigned), (AUTHOR_FIELD, made[0]), (APPROVER_FIELD, made[1]))
    report = refused(forged, "not_ours", "unknown_authority")
    assert "bears the name of Maren Oosting, but it is not that person's" in (
        report.signatures.judged[0].because
    )
    trusting = refused(forged, "not_ours", "not_taken", more=[authority(tmp_path / "home", "Home").pem])
    assert not trusting.signatures.trusted


@pytest.mark.parametrize("paint", [repainted, bytes], ids=["repainted", "as issued"])
def test_one_certificate_in_both_places(
    unsigned: bytes, author: User, paint: Callable[[bytes], bytes]
) -> None:
    own = bytes(author.certificates.get().pkcs12)
    forged = signed_outside(
        paint(unsigned), (AUTHOR_FIELD, own), (APPROVER_FIELD, own), passphrase=AUTHOR_PASSPHRASE
    )
    report = refused(forged, "not_ours", "not_taken", "other_person")
    assert reasons_by_field(report) == {AUTHOR_FIELD: "not_taken", APPROVER_FIELD: "other_person"}


def test_with_the_right_certificates_but_not_taken_here(
    unsigned: bytes, author: User, approver: User
) -> None:
    """Both signed, with their own certificates, a paper that says something else than what was approved."""
    forged = repainted(unsigned)
    forged = signed_outside(
        forged, (AUTHOR_FIELD, bytes(author.certificates.get().pkcs12)), passphrase=AUTHOR_PASSPHRASE
    )
    report = refused(forged, "not_ours", "not_taken", "incomplete")
    assert report.verdict.sub_indication == "HASH_FAILURE"


def test_a_packet_signed_again(document: IssuedDocument, author: User, approver: User, reader: User) -> None:
    spec = Spec.objects.get()
    packet = packet_for(author, procedures=[spec.pk], welders=[spec.tests.get().welder_id])
    Shop.objects.update(unsigned_in_packets=True)
    pdf = issue(packet, author, approver, "A first look.")
    inside = next(name for name in packet.items.values_list("filename", flat=True) if "W-101" in name)
    own = bytes(make_certificate(reader, PASSPHRASE).pkcs12)
    swapped = with_files(fields_emptied(pdf), **{inside: b"%PDF-1.7 another"})
    report = refused(signed_outside(swapped, (ISSUER, own)), "not_ours", "not_taken", "listing")
    assert any("is not the one this shop issued in Packet P-001" in note for note in report.notes)


def test_a_packet_listed_anew(document: IssuedDocument, author: User, approver: User) -> None:
    """Its list says what it holds, and is not the list it was issued with."""
    spec = Spec.objects.get()
    packet = packet_for(author, procedures=[spec.pk], welders=[spec.tests.get().welder_id])
    Shop.objects.update(unsigned_in_packets=True)
    pdf = issue(packet, author, approver, "A first look.")
    inside = next(name for name in packet.items.values_list("filename", flat=True) if "W-101" in name)
    other = repainted(vault.read(document.rendered_sha256))

    def relist(listed: dict[str, Any]) -> None:
        for each in listed["files"]:
            if each["filename"] == inside:
                each["sha256"] = vault.digest(other)

    forged = with_list(with_files(fields_emptied(pdf), **{inside: other}), relist)
    own = bytes(approver.certificates.get().pkcs12)
    report = refused(
        signed_outside(forged, (ISSUER, own), passphrase=APPROVER_PASSPHRASE),
        "not_ours",
        "not_taken",
        "inner",
    )
    assert report.notes == (f"Packet file {inside} is not the one this shop issued in Packet P-001.",)


def test_an_old_revision_shown_again(document: IssuedDocument, author: User, approver: User) -> None:
    later = workflow.start_revision(Spec.objects.get(), author, "Wider range.")
    shop_records.approve(later, author, approver)
    report = check_file(bytes_of(document), "old.pdf")
    assert not report.holds
    assert report.verdict.indication == "TOTAL-PASSED"  # what was signed was signed; it is in force no more
    assert rely_on(report).answer == "no"
    assert rely_on(report).words == "No. This revision is superseded: a later one is in force."


@pytest.mark.parametrize("signatures", [0, 1])
def test_cut_off_before_signing(document: IssuedDocument, signatures: int) -> None:
    earlier = [document.rendered_sha256, *document.signatures.values_list("sha256", flat=True)]
    report = refused_or_not_yet(vault.read(earlier[signatures]), "earlier_stage", "incomplete")
    assert ("unsigned" in {each.key for each in report.reasons}) == (signatures == 0)


def refused_or_not_yet(pdf: bytes, *keys: str) -> FileReport:
    report = check_file(pdf, "cut.pdf")
    assert not report.holds
    assert set(keys) <= {each.key for each in report.reasons}
    assert rely_on(report).answer != "yes"
    return report


def test_signatures_taken_out(document: IssuedDocument) -> None:
    refused(fields_emptied(bytes_of(document)), "not_ours", "unsigned", "incomplete")


def test_a_digit_in_the_padding(document: IssuedDocument) -> None:
    pdf = padding_changed(bytes_of(document))
    report = refused(pdf, "not_ours", "padding")
    assert report.signatures.judged[-1].facts.intact  # no signature covers the digit
    assert "Bytes beside a signature" in next(
        line.words for line in lines_of(report) if line.label == "Intact"
    )


def test_a_digit_in_the_padding_where_only_the_file_is_at_hand(document: IssuedDocument) -> None:
    pdf, trusted = bytes_of(document), [shop_authority().pem]
    assert verify(pdf, trusted).intact
    found = verify(padding_changed(pdf), trusted)
    assert not found.intact
    assert [each.problem for each in found.signatures] == ["", "FORMAT_FAILURE"]


@pytest.mark.parametrize("spoil", [overpainted, with_page_added])
def test_painted_over_after_signing(document: IssuedDocument, spoil: Callable[[bytes], bytes]) -> None:
    report = refused(spoil(bytes_of(document)), "not_ours", "added")
    words = {line.label: line.words for line in lines_of(report)}
    assert words["Intact"].startswith("No. Something was added or changed after signing.")
    assert "Yes" not in words["May I rely on this?"]
    assert report.verdict.indication == "TOTAL-FAILED"


def test_painted_over_and_hidden_again_by_a_last_revision(document: IssuedDocument) -> None:
    refused(overpainted(overpainted(bytes_of(document))), "not_ours", "added")


def test_the_command_and_the_page_name_the_same(
    document: IssuedDocument, reader_client: Client, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf = overpainted(bytes_of(document))
    file = tmp_path / "over.pdf"
    file.write_bytes(pdf)
    with pytest.raises(SystemExit) as ended:
        call_command("verify", str(file), "--json", "--pdf", str(tmp_path / "report.pdf"))
    assert ended.value.code == 1
    printed = json.loads(capsys.readouterr().out)
    assert printed == json.loads(json.dumps(report_content(check_file(pdf, "over.pdf"))))
    assert (printed["holds"], printed["indication"], printed["rely"]["answer"]) == (
        False,
        "TOTAL-FAILED",
        "no",
    )
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF-")
    page = reader_client.post("/verify/", {"file": SimpleUploadedFile("over.pdf", pdf)})
    assert printed["rely"]["words"] in page.content.decode()
    kept = reader_client.get(f"/verify/file/{page.context['check'].pk}.json")
    assert json.loads(kept.content) == printed
    paper = reader_client.get(f"/verify/file/{page.context['check'].pk}.pdf")
    assert paper["Content-Type"] == "application/pdf"


def test_the_report_is_for_whoever_brought_the_file(
    document: IssuedDocument, reader_client: Client, author_client: Client
) -> None:
    page = reader_client.post("/verify/", {"file": SimpleUploadedFile("w.pdf", bytes_of(document))})
    pk = page.context["check"].pk
    assert author_client.get(f"/verify/file/{pk}.json").status_code == 404
    assert author_client.get(f"/verify/file/{pk}.pdf").status_code == 404


def test_what_is_written_down_of_a_signature(document: IssuedDocument) -> None:
    first, second = SignatureTaken.objects.order_by("id")
    assert [each.field for each in (first, second)] == [AUTHOR_FIELD, APPROVER_FIELD]
    assert (first.before_sha256, second.before_sha256) == (document.rendered_sha256, first.sha256)
    assert second.sha256 == document.sha256
    assert (first.roles, second.roles) == (["author"], ["approver"])


def test_a_signature_without_the_role_it_takes_does_not_count(document: IssuedDocument) -> None:
    SignatureTaken.objects.filter(field=APPROVER_FIELD).update(roles=["reader"])
    report = check_file(bytes_of(document), "W-101.pdf")
    assert reasons_by_field(report) == {AUTHOR_FIELD: "counts", APPROVER_FIELD: "no_role"}
    assert not report.holds


def test_who_lost_the_role_does_not_sign(author: User, approver: User) -> None:
    certificates(author, approver)
    document = issued(approved_test(author, approver, "PT-015"))
    grant_roles(author, [READER])
    with pytest.raises(SigningRefused, match="Signing as author takes the role author"):
        sign_document(document, User.objects.get(pk=author.pk), AUTHOR_PASSPHRASE)
    grant_roles(author, [AUTHOR])
    assert sign_document(document, User.objects.get(pk=author.pk), AUTHOR_PASSPHRASE).stage == "approver"


def test_a_lone_owner_signs_in_both_places(shop: object, administrator: User) -> None:
    """Where the shop lets authors approve their own, one person fills both fields, here, and it holds."""
    from qualification.models import Shop

    Shop.objects.update(allow_self_approval=True)
    make_certificate(administrator, AUTHOR_PASSPHRASE)
    document = issued(approved_test(administrator, administrator, "PT-015"))
    for _ in range(2):
        document = sign_document(document, administrator, AUTHOR_PASSPHRASE)
    assert check_file(bytes_of(document), "PT-014.pdf").holds
