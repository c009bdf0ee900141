"""Personal certificates: made by the shop's authority or brought along, renewed, revoked."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from qualification.audit import append, name_of
from qualification.models import Shop
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
    """The certificate the person signs with, whatever its state; `None` before there is one."""
    return PersonalCertificate.objects.filter(person=person).order_by("-id").first()


def certificate_to_sign_with(person: User) -> PersonalCertificate:
    """The person's usable certificate. Raises SigningRefused, saying why there is none."""
    found = newest_certificate(person)
    if found is None:
        raise SigningRefused(
            "There is no certificate to sign with yet. Have one made on the page “My certificate”."
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
    """Where others find the list of revoked certificates; empty while the shop's address was not set, since
    the address of this machine leads nobody else here."""
    return f"{settings.ADDRESS}{reverse('revocation_list')}" if settings.ADDRESS_IS_SET else ""


def revoked_by_shop() -> list[tuple[int, datetime]]:
    """Serial number and moment of revocation of the certificates the shop's authority made."""
    found = PersonalCertificate.objects.filter(by_shop=True, revoked_at__isnull=False).order_by(
        "revoked_at", "id"
    )
    return [(int(each.serial, 16), each.revoked_at) for each in found]


def check_passphrase(passphrase: str) -> None:
    """Raises SigningRefused for a passphrase shorter than the least length."""
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise SigningRefused(
            f"The passphrase is {len(passphrase)} characters long. Make it {SHORTEST_PASSPHRASE} or more."
        )


def take_certificate(person: User, pkcs12: bytes, passphrase: str) -> PersonalCertificate:
    """A certificate the person brings along. Raises SigningRefused when it cannot be opened or used."""
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
