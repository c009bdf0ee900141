"""Personal certificates: made by the shop's authority or brought along, renewed, revoked."""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import NameOID
from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from qualification.models import Shop
from qualification.records.audit import append, name_of
from qualification.roles import may_administer
from qualification.server_address import server_address
from wps.models import PersonalCertificate
from wps.signing.authority import Authority, authority, issue_personal
from wps.signing.sign import SigningRefused, open_personal

SHORTEST_PASSPHRASE = 12
LARGEST_UPLOAD = 200_000
"""Bytes; a PKCS#12 file holds a key and a few certificates."""
KIND = "certificate"
"""What the audit trail calls a personal certificate."""


def shop_authority() -> Authority:
    """The shop's authority; made on first use."""
    return authority(Path(settings.AUTHORITY_DIR), Shop.current().name)


def newest_certificate(person: User) -> PersonalCertificate | None:
    """The certificate the person signs with, whatever its state; one that waits for acceptance only where
    there is no other. `None` before there is one."""
    found = PersonalCertificate.objects.filter(person=person).order_by("-id")
    return next((each for each in found if not each.waits), found.first())


def certificate_to_sign_with(person: User) -> PersonalCertificate:
    """The person's usable certificate. Raises SigningRefused, saying why there is none."""
    found = newest_certificate(person)
    if found is None:
        raise SigningRefused(
            "There is no certificate to sign with yet. Have one made on the page “My certificate”."
        )
    if found.waits:
        raise SigningRefused(
            "The certificate cannot sign until a shop administrator has accepted it, on the page “My"
            " certificate”. Or have one made by the shop."
        )
    if not found.is_usable:
        raise SigningRefused(
            f"The certificate cannot sign. {found.state_words}. Have a new one made on the page “My"
            " certificate”."
        )
    return found


def make_certificate(person: User, passphrase: str) -> PersonalCertificate:
    """A new key and certificate from the shop's authority; it takes the place of the one before.

    Raises SigningRefused for a passphrase that is too short.
    """
    check_passphrase(passphrase)
    pkcs12 = issue_personal(shop_authority(), name_of(person), person.email, passphrase, list_address())
    return _keep(person, pkcs12, open_personal(pkcs12, passphrase), by_shop=True)


def list_address() -> str:
    """Where others find the list of revoked certificates; empty while the server has no address for
    others."""
    address = server_address()
    return f"{address}{reverse('revocation_list')}" if address else ""


def revoked_by_shop() -> list[tuple[int, datetime]]:
    """Serial number and moment of revocation of the certificates the shop's authority made."""
    found = PersonalCertificate.objects.filter(by_shop=True, revoked_at__isnull=False).order_by(
        "revoked_at", "id"
    )
    return [(int(each.serial, 16), each.revoked_at) for each in found if each.revoked_at is not None]


def check_passphrase(passphrase: str) -> None:
    """Raises SigningRefused for a passphrase shorter than the least length."""
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise SigningRefused(
            f"The passphrase is {len(passphrase)} characters long. Make it {SHORTEST_PASSPHRASE} or more."
        )


def take_certificate(person: User, pkcs12: bytes, passphrase: str) -> PersonalCertificate:
    """A certificate the person brings along, which a shop administrator has still to accept. Raises
    SigningRefused when it cannot be opened or used."""
    if len(pkcs12) > LARGEST_UPLOAD:
        raise SigningRefused(
            f"The file has {len(pkcs12)} bytes. A PKCS#12 file has {LARGEST_UPLOAD} or fewer; choose another."
        )
    certificate = open_personal(pkcs12, passphrase)
    if not isinstance(certificate.public_key(), (rsa.RSAPublicKey, ec.EllipticCurvePublicKey)):
        raise SigningRefused(
            "The certificate has a kind of key that PDF readers do not check. Bring one with an RSA or"
            " elliptic curve key."
        )
    _refuse_other_usage(certificate)
    if PersonalCertificate.objects.filter(
        fingerprint=certificate.fingerprint(hashes.SHA256()).hex()
    ).exists():
        raise SigningRefused(
            "This certificate is on file already. A revoked one cannot be brought back; bring another."
        )
    if not certificate.not_valid_before_utc <= timezone.now() <= certificate.not_valid_after_utc:
        raise SigningRefused(
            f"The certificate is valid from {certificate.not_valid_before_utc:%Y-%m-%d} to"
            f" {certificate.not_valid_after_utc:%Y-%m-%d}, which leaves today out. Bring one that is valid."
        )
    return _keep(person, pkcs12, certificate, by_shop=False)


def _refuse_other_usage(certificate: x509.Certificate) -> None:
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return
    if not (usage.digital_signature or usage.content_commitment):
        raise SigningRefused(
            "The certificate is not meant for signing. Bring one whose key usage names digital signature or"
            " non-repudiation."
        )


def _keep(
    person: User, pkcs12: bytes, certificate: x509.Certificate, *, by_shop: bool
) -> PersonalCertificate:
    with transaction.atomic():
        made = PersonalCertificate.objects.create(
            person=person,
            person_name=name_of(person),
            pkcs12=pkcs12,
            certificate=certificate.public_bytes(Encoding.PEM).decode(),
            subject=certificate.subject.rfc4514_string()[:300],
            issuer=certificate.issuer.rfc4514_string()[:300],
            serial=f"{certificate.serial_number:x}"[:60],
            fingerprint=certificate.fingerprint(hashes.SHA256()).hex(),
            valid_from=certificate.not_valid_before_utc,
            valid_until=certificate.not_valid_after_utc,
            by_shop=by_shop,
        )
        append(
            "certify",
            KIND,
            made.pk,
            str(made)[:120],
            name_of(person),
            {"fingerprint": made.fingerprint, "by_shop": by_shop},
        )
    return made


def name_in(certificate: PersonalCertificate) -> str:
    """The name of a person in the certificate; empty where it names none."""
    subject = x509.load_pem_x509_certificate(certificate.certificate.encode()).subject
    found = subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(found[0].value) if found else ""


def is_in_the_name_of(certificate: PersonalCertificate) -> bool:
    """Whether it names the person whose account it belongs to."""
    return _plain(name_in(certificate)) == _plain(name_of(certificate.person))


def _plain(name: str) -> str:
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def accept(certificate: PersonalCertificate, fingerprint: str, because: str, person: User) -> None:
    """Let a certificate from another authority sign and count here, once a shop administrator has compared
    its fingerprint with what its owner says. Raises SigningRefused, saying why."""
    if not may_administer(person):
        raise SigningRefused("Accepting a certificate takes a shop administrator.")
    if not certificate.waits:
        raise SigningRefused(f"It does not wait for acceptance. {certificate.state_words}.")
    typed = re.sub(r"[^0-9a-f]", "", fingerprint.lower())
    if typed != certificate.fingerprint:
        raise SigningRefused(
            "The fingerprint is not that of this certificate. Ask its owner to read it out from where the"
            " certificate was made, and enter it whole."
        )
    if not is_in_the_name_of(certificate) and not because.strip():
        raise SigningRefused(
            f"The certificate names {name_in(certificate) or 'nobody'}, the account"
            f" {name_of(certificate.person)}. Say why it is this person's, or revoke it."
        )
    with transaction.atomic():
        current = PersonalCertificate.objects.select_for_update(no_key=True).get(pk=certificate.pk)
        current.accepted_at, current.accepted_by_name, current.accepted_because = (
            timezone.now(),
            name_of(person),
            because.strip()[:200],
        )
        current.save()
        append(
            "accept_certificate",
            KIND,
            current.pk,
            str(current)[:120],
            name_of(person),
            {
                "fingerprint": current.fingerprint,
                "name": name_in(current),
                "account": current.person.get_username(),
                "reason": current.accepted_because,
            },
        )
    certificate.refresh_from_db()


def revoke(certificate: PersonalCertificate, reason: str, person: User) -> None:
    """Revoke for good. Raises SigningRefused without a reason, or for one revoked already."""
    if not reason.strip():
        raise SigningRefused("Say in one sentence why the certificate is revoked.")
    with transaction.atomic():
        current = PersonalCertificate.objects.select_for_update(no_key=True).get(pk=certificate.pk)
        if current.revoked_at is not None:
            raise SigningRefused(f"It is revoked already. {current.state_words}.")
        current.revoked_at, current.revoked_because, current.revoked_by_name = (
            timezone.now(),
            reason.strip()[:200],
            name_of(person),
        )
        current.save()
        append(
            "revoke",
            KIND,
            current.pk,
            str(current)[:120],
            name_of(person),
            {"fingerprint": current.fingerprint, "reason": reason.strip()},
        )
    certificate.refresh_from_db()
