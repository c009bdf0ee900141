"""The shop's own certificate authority: made on first use, kept beside the database, never leaving the
machine.

It vouches only that this shop gave the certificate to this person. A customer who wants a chain to a public
authority has the person upload a certificate from one.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
    pkcs12,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

AUTHORITY_YEARS = 20
PERSON_YEARS = 3
LIST_HOLDS = timedelta(days=7)
"""How long a list of revoked certificates may be relied on."""
CLOCK_SLACK = timedelta(minutes=5)
"""A certificate is valid from a little before it is made, so that a clock a few seconds behind still trusts
it."""


@dataclass(frozen=True)
class Authority:
    """The shop's authority: its certificate and its private key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def pem(self) -> bytes:
        return self.certificate.public_bytes(Encoding.PEM)


def authority(folder: Path, shop_name: str) -> Authority:
    """The authority kept in `folder`; made there on first use, its key readable by the owner only."""
    key_file, certificate_file = folder / "authority.key", folder / "authority.crt"
    if not (key_file.exists() and certificate_file.exists()):
        _make(folder, shop_name)
    key = load_pem_private_key(key_file.read_bytes(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    return Authority(x509.load_pem_x509_certificate(certificate_file.read_bytes()), key)


def _make(folder: Path, shop_name: str) -> None:
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    key, certificate = new_authority(
        shop_name, f"{shop_name} signing authority"[:64], timedelta(days=365 * AUTHORITY_YEARS)
    )
    write_private(folder / "authority.key", pem_of(key))
    (folder / "authority.crt").write_bytes(certificate.public_bytes(Encoding.PEM))


def new_authority(
    shop_name: str, called: str, holds: timedelta, within: x509.NameConstraints | None = None
) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    """Key and certificate of an authority of the shop, which signs no other authority; `within`: the names it
    may vouch for."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, shop_name[:64]),
            x509.NameAttribute(NameOID.COMMON_NAME, called),
        ]
    )
    now = datetime.now(UTC)
    builder = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCK_SLACK)
        .not_valid_after(now + holds)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(key_usage(key_cert_sign=True, crl_sign=True), critical=True)
    )
    if within is not None:
        builder = builder.add_extension(within, critical=True)
    subject = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    return key, builder.add_extension(subject, critical=False).sign(key, hashes.SHA256())


def pem_of(key: ec.EllipticCurvePrivateKey) -> bytes:
    """The private key as it is kept beside the shop's data."""
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def write_private(path: Path, content: bytes) -> None:
    """Write a file only its owner may read."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(content)


def key_usage(**true: bool) -> x509.KeyUsage:
    """The extension with only these uses."""
    names = (
        "digital_signature",
        "content_commitment",
        "key_encipherment",
        "data_encipherment",
        "key_agreement",
        "key_cert_sign",
        "crl_sign",
        "encipher_only",
        "decipher_only",
    )
    return x509.KeyUsage(**{name: true.get(name, False) for name in names})


def issue_personal(
    issuer: Authority, person_name: str, email: str, passphrase: str, list_address: str = ""
) -> bytes:
    """A new key and certificate for a person, as PKCS#12 locked with the person's passphrase. `list_address`
    is where others find the list of revoked certificates; without one the certificate names none."""
    key = ec.generate_private_key(ec.SECP256R1())
    attributes: list[x509.NameAttribute[Any]] = [x509.NameAttribute(NameOID.COMMON_NAME, person_name[:64])]
    attributes += issuer.certificate.subject.get_attributes_for_oid(NameOID.ORGANIZATION_NAME)
    now = datetime.now(UTC)
    end = min(now + timedelta(days=365 * PERSON_YEARS), issuer.certificate.not_valid_after_utc)
    builder = (
        x509.CertificateBuilder()
        .subject_name(x509.Name(attributes))
        .issuer_name(issuer.certificate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCK_SLACK)
        .not_valid_after(end)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_usage(digital_signature=True, content_commitment=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.EMAIL_PROTECTION]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer.key.public_key()), critical=False
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    if email:
        builder = builder.add_extension(x509.SubjectAlternativeName([x509.RFC822Name(email)]), critical=False)
    if list_address:
        point = x509.DistributionPoint([x509.UniformResourceIdentifier(list_address)], None, None, None)
        builder = builder.add_extension(x509.CRLDistributionPoints([point]), critical=False)
    certificate = builder.sign(issuer.key, hashes.SHA256())
    return pkcs12.serialize_key_and_certificates(
        person_name.encode(),
        key,
        certificate,
        [issuer.certificate],
        BestAvailableEncryption(passphrase.encode()),
    )


def revocation_list(issuer: Authority, revoked: Iterable[tuple[int, datetime]]) -> bytes:
    """The authority's list of revoked certificates (RFC 5280), DER: serial number and moment of each. It is
    made anew whenever somebody asks, and says so by the time at which it wants to be asked for again."""
    now = datetime.now(UTC)
    builder = (
        x509.CertificateRevocationListBuilder()
        .issuer_name(issuer.certificate.subject)
        .last_update(now - CLOCK_SLACK)
        .next_update(now + LIST_HOLDS)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer.key.public_key()), critical=False
        )
        .add_extension(x509.CRLNumber(int(now.timestamp())), critical=False)
    )
    for serial, at in revoked:
        builder = builder.add_revoked_certificate(
            x509.RevokedCertificateBuilder().serial_number(serial).revocation_date(at).build()
        )
    return builder.sign(issuer.key, hashes.SHA256()).public_bytes(Encoding.DER)
