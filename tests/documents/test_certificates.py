"""The life of a certificate: renewed, run out, revoked, brought along; and each refusal."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from importlib import import_module
from pathlib import Path

import pytest
import time_machine
from asn1crypto import crl as asn1_crl
from asn1crypto import pem
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ed25519
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, NoEncryption, pkcs12
from cryptography.x509.oid import NameOID
from django.apps import apps
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext
from pytest_django import Settings

from qualification.models import AuditEntry
from tests.documents.papers import (
    APPROVER_PASSPHRASE,
    AUTHOR_PASSPHRASE,
    approved_test,
    bytes_of,
    certificates,
    issued,
    verify_here,
)
from wps.documents.taking_signatures import sign_document
from wps.models import IssuedDocument, SignatureTaken
from wps.signing.authority import authority, issue_personal
from wps.signing.people import (
    accept,
    make_certificate,
    newest_certificate,
    revoke,
    shop_authority,
    take_certificate,
)
from wps.signing.sign import SigningRefused

pytestmark = pytest.mark.usefixtures("shop", "small_documents")

OWN = "own passphrase 1"


@pytest.fixture
def document(author: User, approver: User) -> IssuedDocument:
    certificates(author, approver)
    return issued(approved_test(author, approver))


def foreign(folder: Path) -> bytes:
    return issue_personal(authority(folder / "foreign", "Northlight Signing House"), "Maren Oosting", "", OWN)


def made_by_hand(
    *, days: tuple[int, int] = (-1, 300), usage: str = "digital_signature", key: object = None
) -> bytes:
    """A PKCS#12 file with a certificate that vouches for itself."""
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec

    key = key or ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Maren Oosting")])
    now = datetime.now(UTC)
    false = dict.fromkeys(
        (
            "digital_signature",
            "content_commitment",
            "key_encipherment",
            "data_encipherment",
            "key_agreement",
            "key_cert_sign",
            "crl_sign",
            "encipher_only",
            "decipher_only",
        ),
        False,
    )
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now + timedelta(days=days[0]))
        .not_valid_after(now + timedelta(days=days[1]))
        .add_extension(x509.KeyUsage(**{**false, usage: True}), critical=True)
        .sign(key, None if isinstance(key, ed25519.Ed25519PrivateKey) else hashes.SHA256())
    )
    return pkcs12.serialize_key_and_certificates(
        b"own", key, certificate, None, BestAvailableEncryption(OWN.encode())
    )


def test_a_renewed_certificate_signs_and_the_one_before_stays_good(
    document: IssuedDocument, author: User, approver: User
) -> None:
    first = bytes_of(sign_document(document, author, AUTHOR_PASSPHRASE))
    renewed = make_certificate(author, "another long phrase")
    assert newest_certificate(author) == renewed
    other = issued(approved_test(author, approver, "PT-015"))
    with pytest.raises(SigningRefused, match="does not open"):
        sign_document(other, author, AUTHOR_PASSPHRASE)
    assert verify_here(bytes_of(sign_document(other, author, "another long phrase"))).trusted
    assert verify_here(first).trusted
    assert AuditEntry.objects.filter(verb="certify").count() == 3


def test_a_signature_stays_good_after_its_certificate_ran_out(document: IssuedDocument, author: User) -> None:
    """It was valid on the day of signing; that day is the signer's own word unless a timestamp server gave
    it."""
    pdf = bytes_of(sign_document(document, author, AUTHOR_PASSPHRASE))
    with time_machine.travel(timezone.now() + timedelta(days=365 * 4)):
        assert verify_here(pdf).trusted
        make_certificate(author, "another long phrase")
        assert newest_certificate(author).is_usable


def test_nothing_is_revoked_without_a_reason_or_twice(document: IssuedDocument, author: User) -> None:
    own = author.certificates.get()
    with pytest.raises(SigningRefused, match="Say in one sentence why"):
        revoke(own, " ", author)
    revoke(own, "The laptop was stolen.", author)
    with pytest.raises(SigningRefused, match="revoked already"):
        revoke(own, "Again.", author)


@pytest.mark.parametrize(
    ("file", "passphrase", "says"),
    [
        (made_by_hand(), "not the passphrase", "passphrase does not open the certificate"),
        (b"no certificate at all", OWN, "is no PKCS#12 file"),
        (made_by_hand(days=(-300, -1)), OWN, "which leaves today out. Bring one that is valid"),
        (made_by_hand(days=(1, 300)), OWN, "which leaves today out"),
        (made_by_hand(usage="key_encipherment"), OWN, "not meant for signing"),
        (
            made_by_hand(key=ed25519.Ed25519PrivateKey.generate()),
            OWN,
            "kind of key that PDF readers do not check",
        ),
        (b"x" * 200_001, OWN, "PKCS#12 file has 200000 or fewer"),
    ],
    ids=[
        "wrong passphrase",
        "no PKCS#12",
        "run out",
        "not valid yet",
        "other usage",
        "unusual key",
        "too large",
    ],
)
def test_what_cannot_sign_is_not_taken(file: bytes, passphrase: str, says: str, author: User) -> None:
    with pytest.raises(SigningRefused, match=says):
        take_certificate(author, file, passphrase)
    assert not author.certificates.exists()


def test_a_file_without_a_certificate_is_refused(author: User) -> None:
    empty = pkcs12.serialize_key_and_certificates(
        b"own", None, None, [shop_authority().certificate], NoEncryption()
    )
    with pytest.raises(SigningRefused, match="holds no private key"):
        take_certificate(author, empty, "")


def test_the_page_takes_an_own_certificate_and_refuses_in_words(
    author_client: Client, author: User, tmp_path: Path
) -> None:
    def send(file: bytes, passphrase: str) -> str:
        return author_client.post(
            "/certificate/upload/",
            {"upload-file": SimpleUploadedFile("own.p12", file), "upload-passphrase": passphrase},
            follow=True,
        ).content.decode()

    pkcs12_file = foreign(tmp_path)
    assert "does not open the certificate" in send(pkcs12_file, "not the passphrase")
    assert "PKCS#12 file is empty" in send(b"", OWN)
    assert "Your certificate is on file." in send(pkcs12_file, OWN)
    assert "on file already" in send(pkcs12_file, OWN)
    assert OWN.encode() not in bytes(author.certificates.get().pkcs12)


def test_a_certificate_brought_along_signs_once_an_administrator_accepted_it(
    author: User, administrator: User, approver: User, tmp_path: Path
) -> None:
    taken = take_certificate(author, foreign(tmp_path), OWN)
    document = issued(approved_test(author, approver))
    with pytest.raises(SigningRefused, match="until a shop administrator has accepted it"):
        sign_document(document, author, OWN)
    for person, fingerprint, says in (
        (approver, taken.fingerprint, "takes a shop administrator"),
        (administrator, "", "The fingerprint is not that of this certificate"),
        (administrator, taken.fingerprint[:-1], "The fingerprint is not that of this certificate"),
    ):
        with pytest.raises(SigningRefused, match=says):
            accept(taken, fingerprint, "", person)
    accept(taken, taken.fingerprint_words.upper(), "", administrator)
    assert verify_here(bytes_of(sign_document(document, author, OWN))).trusted
    with pytest.raises(SigningRefused, match="does not wait for acceptance"):
        accept(taken, taken.fingerprint, "", administrator)
    entry = AuditEntry.objects.get(verb="accept_certificate")
    assert (entry.actor_name, entry.data["fingerprint"]) == ("Hedda Brandsma", taken.fingerprint)


def test_a_certificate_in_another_name_takes_a_reason(
    reader: User, administrator: User, tmp_path: Path
) -> None:
    taken = take_certificate(reader, foreign(tmp_path), OWN)
    with pytest.raises(SigningRefused, match="names Maren Oosting, the account Ilse Varga. Say why"):
        accept(taken, taken.fingerprint, " ", administrator)
    accept(taken, taken.fingerprint, "Her name before marriage.", administrator)
    assert taken.accepted_because == "Her name before marriage."


def test_a_certificate_that_waits_leaves_the_one_before_in_use(author: User, tmp_path: Path) -> None:
    own = make_certificate(author, AUTHOR_PASSPHRASE)
    take_certificate(author, foreign(tmp_path), OWN)
    assert newest_certificate(author) == own


def test_a_revoked_certificate_is_not_accepted(author: User, administrator: User, tmp_path: Path) -> None:
    taken = take_certificate(author, foreign(tmp_path), OWN)
    revoke(taken, "Not the right one.", author)
    with pytest.raises(SigningRefused, match="does not wait for acceptance. Revoked on"):
        accept(taken, taken.fingerprint, "", administrator)


def test_the_administrator_accepts_on_the_page(
    author: User,
    author_client: Client,
    administrator_client: Client,
    tmp_path: Path,
) -> None:
    taken = take_certificate(author, foreign(tmp_path), OWN)
    assert taken.fingerprint_words in author_client.get("/certificate/").content.decode()
    assert "Certificate of Maren Oosting" in administrator_client.get("/").content.decode()
    shown = administrator_client.get("/certificate/").content.decode()
    assert "in the name of Maren Oosting" in shown
    assert taken.fingerprint_words not in shown  # it comes from the owner, not from the page
    address = f"/certificate/{taken.pk}/accept/"
    assert author_client.post(address, {"fingerprint": taken.fingerprint}).status_code == 403
    assert administrator_client.post(address, {"fingerprint": "ab"}).status_code == 422
    administrator_client.post(address, {"fingerprint": taken.fingerprint})
    taken.refresh_from_db()
    assert taken.is_usable
    assert "Certificates to accept" not in administrator_client.get("/").content.decode()


def test_signatures_taken_before_get_what_they_were_taken_on(
    document: IssuedDocument, author: User, approver: User
) -> None:
    document = sign_document(document, author, AUTHOR_PASSPHRASE)
    document = sign_document(document, approver, APPROVER_PASSPHRASE)
    expected = list(SignatureTaken.objects.order_by("id").values_list("field", "before_sha256"))
    SignatureTaken.objects.update(field="", before_sha256="", roles=None)
    import_module("wps.migrations.0007_signatures_taken").write_down_what_was_signed(apps, None)
    assert list(SignatureTaken.objects.order_by("id").values_list("field", "before_sha256")) == expected
    assert verify_here(bytes_of(document)).trusted


def test_a_certificate_brought_along_vouches_for_nobody_else(
    author: User, approver: User, administrator: User, tmp_path: Path
) -> None:
    """Whoever brings a certificate does not bring its authority: another one from there is foreign."""
    taken = take_certificate(author, foreign(tmp_path), OWN)
    accept(taken, taken.fingerprint, "", administrator)
    document = issued(approved_test(author, approver))
    from wps.signing.sign import sign

    other = foreign(tmp_path)
    pdf = sign(bytes_of(document), "SignatureAuthor", other, OWN, "I wrote this document", certify=True)
    assert not verify_here(pdf).trusted


def test_the_list_of_revoked_certificates_is_open_and_holds_no_names(
    author: User, approver: User, client: Client, tmp_path: Path
) -> None:
    certificates(author, approver)
    take_certificate(author, foreign(tmp_path), OWN)
    own, brought = author.certificates.order_by("id")
    revoke(own, "The laptop was stolen.", author)
    revoke(brought, "No longer needed.", author)
    answer = client.get("/certificate/authority.crl")
    assert answer["Content-Type"] == "application/pkix-crl"
    found = x509.load_der_x509_crl(answer.content)
    assert found.is_signature_valid(shop_authority().key.public_key())
    assert [f"{each.serial_number:x}" for each in found] == [own.serial]
    assert found.next_update_utc > datetime.now(UTC) + timedelta(days=6)
    assert b"Oosting" not in answer.content


def test_an_outside_reader_learns_of_the_revocation_from_the_list(
    document: IssuedDocument,
    author: User,
    client: Client,
    settings: Settings,
) -> None:
    """pyHanko as a recipient would use it: trusting the shop's authority, asking for its list."""
    settings.ADDRESS = "https://shop.example"
    certificate = x509.load_pem_x509_certificate(
        make_certificate(author, "another long phrase").certificate.encode()
    )
    (point,) = certificate.extensions.get_extension_for_class(x509.CRLDistributionPoints).value
    assert point.full_name[0].value == "https://shop.example/certificate/authority.crl"
    pdf = bytes_of(sign_document(document, author, "another long phrase"))
    assert _outside(pdf, client)
    revoke(newest_certificate(author), "The laptop was stolen.", author)
    with time_machine.travel(timezone.now() + timedelta(minutes=10)):
        assert not _outside(pdf, client)


def _outside(pdf: bytes, client: Client) -> bool:
    (signature,) = PdfFileReader(io.BytesIO(pdf)).embedded_signatures
    context = ValidationContext(
        trust_roots=[asn1.Certificate.load(pem.unarmor(shop_authority().pem)[2])],
        allow_fetching=False,
        revocation_mode="hard-fail",
        crls=[asn1_crl.CertificateList.load(client.get("/certificate/authority.crl").content)],
    )
    return bool(validate_pdf_signature(signature, context).trusted)


def test_without_an_address_of_the_shop_certificates_name_no_list(author: User) -> None:
    certificate = x509.load_pem_x509_certificate(
        make_certificate(author, AUTHOR_PASSPHRASE).certificate.encode()
    )
    with pytest.raises(x509.ExtensionNotFound):
        certificate.extensions.get_extension_for_class(x509.CRLDistributionPoints)
