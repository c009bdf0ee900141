"""Who signs what, in which order, with which certificate; and each refusal in words."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from qualification.models import AuditEntry, Shop
from qualification.records import workflow
from tests import shop_records
from tests.documents.papers import (
    APPROVER_PASSPHRASE,
    AUTHOR_PASSPHRASE,
    approved_spec,
    approved_test,
    bytes_of,
    certificates,
    issued,
    signed,
    verify_here,
)
from tests.documents.timestamp_server import timestamp_server
from wps.documents import vault
from wps.documents.taking_signatures import sign_document
from wps.models import IssuedDocument, PersonalCertificate, SignatureTaken, Stage
from wps.signing.authority import authority, issue_personal
from wps.signing.people import accept, make_certificate, revoke, take_certificate
from wps.signing.sign import SigningRefused

pytestmark = pytest.mark.usefixtures("shop", "small_documents")


def made_for_all(author: User, approver: User) -> IssuedDocument:
    certificates(author, approver)
    return issued(approved_test(author, approver))


def test_the_author_certifies_and_the_approver_follows(
    document: IssuedDocument, author: User, approver: User
) -> None:
    document = sign_document(document, author, AUTHOR_PASSPHRASE)
    assert document.stage == Stage.APPROVER
    document = sign_document(document, approver, APPROVER_PASSPHRASE)
    assert document.stage == Stage.SIGNED
    found = verify_here(bytes_of(document))
    assert [s.signer for s in found.verification.signatures] == ["Maren Oosting", "Tobias Quell"]
    assert found.verification.intact
    assert found.trusted
    assert [e.data["role"] for e in AuditEntry.objects.filter(verb="sign")] == ["author", "approver"]
    assert AuditEntry.objects.filter(verb="sign").last().data["sha256"] == document.sha256


def test_a_witness_with_a_sign_in_signs_last(author: User, approver: User, reader: User) -> None:
    certificates(author, approver)
    make_certificate(reader, "copper rivet moss")
    document = issued(approved_test(author, approver, "PT-015", witness="Ilse Varga"))
    document = sign_document(
        sign_document(document, author, AUTHOR_PASSPHRASE), approver, APPROVER_PASSPHRASE
    )
    assert document.stage == Stage.WITNESS
    document = sign_document(document, reader, "copper rivet moss")
    assert document.stage == Stage.SIGNED
    assert len(verify_here(bytes_of(document)).judged) == 3


def test_a_witness_without_a_sign_in_signs_on_paper(author: User, approver: User) -> None:
    document = signed(approved_test(author, approver, "PT-015", witness="Somebody Else"), author, approver)
    assert document.stage == Stage.SIGNED
    assert verify_here(bytes_of(document)).verification.missing_fields == ()


def test_every_earlier_file_stays_as_it_was(document: IssuedDocument, author: User) -> None:
    before = bytes_of(document)
    after = bytes_of(sign_document(document, author, AUTHOR_PASSPHRASE))
    assert vault.read(vault.digest(before)) == before
    assert after.startswith(before)


@pytest.mark.parametrize(
    ("passphrase", "says"),
    [
        ("", "Enter the passphrase"),
        ("not the passphrase", "The passphrase does not open the certificate"),
    ],
)
def test_a_missing_or_wrong_passphrase_signs_nothing(
    document: IssuedDocument, author: User, passphrase: str, says: str
) -> None:
    with pytest.raises(SigningRefused, match=says):
        sign_document(document, author, passphrase)
    document.refresh_from_db()
    assert document.stage == Stage.AUTHOR
    assert not SignatureTaken.objects.exists()


def test_nobody_signs_in_the_place_of_another(document: IssuedDocument, approver: User) -> None:
    with pytest.raises(SigningRefused, match="Maren Oosting signs next, as author"):
        sign_document(document, approver, APPROVER_PASSPHRASE)


def test_an_expired_certificate_signs_nothing(document: IssuedDocument, author: User) -> None:
    with (
        time_machine.travel(timezone.now() + timedelta(days=365 * 3 + 2)),
        pytest.raises(SigningRefused, match="Expired on"),
    ):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_a_revoked_certificate_signs_nothing(document: IssuedDocument, author: User) -> None:
    revoke(author.certificates.get(), "The laptop was stolen.", author)
    with pytest.raises(SigningRefused, match="Revoked on .* The laptop was stolen"):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_no_certificate_yet(document: IssuedDocument, author: User) -> None:
    PersonalCertificate.objects.filter(person=author).delete()
    with pytest.raises(SigningRefused, match="no certificate to sign with yet"):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_changed_content_is_not_signed(document: IssuedDocument, author: User) -> None:
    from qualification.models import ProcedureTest

    test = ProcedureTest.objects.get()
    ProcedureTest.objects.update(snapshot={**test.snapshot, "title": "Another"})
    with pytest.raises(SigningRefused, match="is not what was approved"):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_a_changed_file_is_not_signed(document: IssuedDocument, author: User) -> None:
    path = vault.path_of(document.sha256)
    path.chmod(0o600)
    path.write_bytes(path.read_bytes()[:-1] + b"x")
    with pytest.raises(SigningRefused, match="was changed after it was stored"):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_a_superseded_revision_is_not_signed(author: User, approver: User) -> None:
    certificates(author, approver)
    test = approved_test(author, approver, "PT-015")
    spec = approved_spec(author, approver, test)
    document = issued(spec)
    shop_records.approve(workflow.start_revision(spec, author, "Wider range."), author, approver)
    with pytest.raises(SigningRefused, match="W-101 rev 0 is superseded"):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_a_short_passphrase_is_refused_and_the_length_said(author: User) -> None:
    with pytest.raises(SigningRefused, match="is 5 characters long. Make it 12 or more"):
        make_certificate(author, "short")


def test_an_own_certificate_is_taken_and_trusted_for_its_own_signatures(
    document: IssuedDocument, author: User, administrator: User, tmp_path: Path
) -> None:
    foreign = issue_personal(
        authority(tmp_path / "foreign", "Northlight Signing House"), "Maren Oosting", "", "own passphrase 1"
    )
    taken = take_certificate(author, foreign, "own passphrase 1")
    assert not taken.by_shop
    accept(taken, taken.fingerprint_words, "", administrator)
    found = verify_here(bytes_of(sign_document(document, author, "own passphrase 1")))
    assert found.trusted
    assert "supplied by the person" in found.judged[0].because
    with pytest.raises(SigningRefused, match="on file already"):
        take_certificate(author, foreign, "own passphrase 1")


def test_a_signature_taken_before_the_revocation_stays_good(document: IssuedDocument, author: User) -> None:
    document = sign_document(document, author, AUTHOR_PASSPHRASE)
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        revoke(author.certificates.get(), "The laptop was stolen.", author)
        found = verify_here(bytes_of(document))
        assert found.trusted
        assert "after this signature was taken here" in found.judged[0].because
        SignatureTaken.objects.all().delete()
        assert not verify_here(bytes_of(document)).trusted


def test_a_timestamp_server_dates_the_signature(document: IssuedDocument, author: User) -> None:
    with timestamp_server() as address:
        Shop.objects.update(timestamp_url=address)
        document = sign_document(document, author, AUTHOR_PASSPHRASE)
    (signature,) = verify_here(bytes_of(document)).verification.signatures
    assert signature.timestamped
    assert signature.intact


def test_wrong_passphrases_are_counted_and_noted(
    document: IssuedDocument, author: User, settings: Settings
) -> None:
    settings.AXES_FAILURE_LIMIT = 2
    for _ in range(2):
        with pytest.raises(SigningRefused, match="does not open the certificate"):
            sign_document(document, author, "guess")
    with pytest.raises(SigningRefused, match="Too many wrong passphrases. Wait 15 minutes"):
        sign_document(document, author, AUTHOR_PASSPHRASE)
    noted = AuditEntry.objects.filter(verb="passphrase_failed")
    assert {(each.actor_name, each.record_id) for each in noted} == {("Maren Oosting", author.pk)}
    settings.AXES_COOLOFF_TIME = timedelta(0)
    sign_document(document, author, AUTHOR_PASSPHRASE)


def test_a_timestamp_server_that_does_not_answer_is_named(document: IssuedDocument, author: User) -> None:
    Shop.objects.update(timestamp_url="http://127.0.0.1:9/tsr")
    with pytest.raises(SigningRefused, match="http://127.0.0.1:9/tsr did not give a timestamp"):
        sign_document(document, author, AUTHOR_PASSPHRASE)


def test_the_pages_of_signing(
    document: IssuedDocument, author_client: Client, approver_client: Client, author: User
) -> None:
    address = document.get_absolute_url()
    assert "Sign as author" in author_client.get(address).content.decode()
    assert "Sign as" not in approver_client.get(address).content.decode()
    refused = author_client.post(f"{address}sign/", {"passphrase": "wrong"})
    assert refused.status_code == 409
    assert "The passphrase does not open the certificate" in refused.content.decode()
    assert "wrong" not in refused.content.decode().split("</main>")[0].split("passphrase does not")[0][-200:]
    done = author_client.post(f"{address}sign/", {"passphrase": AUTHOR_PASSPHRASE}, follow=True)
    assert "Awaiting the approver" in done.content.decode()
    waiting = approver_client.get("/").content.decode()
    assert "Waiting for my signature" in waiting
    assert "sign as approver" in waiting


def test_the_certificate_page(author_client: Client, author: User) -> None:
    had = list(author.certificates.values_list("pk", flat=True))
    page = author_client.post("/certificate/make/", {"make-passphrase": "short", "make-again": "short"})
    assert page.status_code == 422
    assert page.content.decode().count("Passphrase is 5 characters long. Make it 12 or more.") == 2
    author_client.post(
        "/certificate/make/", {"make-passphrase": AUTHOR_PASSPHRASE, "make-again": AUTHOR_PASSPHRASE}
    )
    made = author.certificates.exclude(pk__in=had).get()
    assert AUTHOR_PASSPHRASE.encode() not in bytes(made.pkcs12)
    assert author_client.post(f"/certificate/{made.pk}/revoke/", {"reason": ""}).status_code == 422
    author_client.post(f"/certificate/{made.pk}/revoke/", {"reason": "Passphrase seen by others."})
    made.refresh_from_db()
    assert made.revoked_because == "Passphrase seen by others."


def test_nobody_revokes_the_certificate_of_another_but_an_administrator(
    author: User,
    approver_client: Client,
    administrator_client: Client,
) -> None:
    made = make_certificate(author, AUTHOR_PASSPHRASE)
    assert approver_client.post(f"/certificate/{made.pk}/revoke/", {"reason": "x"}).status_code == 404
    administrator_client.post(f"/certificate/{made.pk}/revoke/", {"reason": "Left the shop."})
    made.refresh_from_db()
    assert made.revoked_by_name == "Hedda Brandsma"
