"""Certificates for HTTPS on the shop's own network: an authority that phones install once, and a certificate
of the server, made anew whenever the addresses of the machine change.

The authority is another one than that of signatures, and its certificate is bound to names and addresses of
local networks: whoever stole its key could not pretend to be a bank to the phones that trust it.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from wps.signing.authority import CLOCK_SLACK, key_usage, new_authority, pem_of, write_private

AUTHORITY_DAYS = 3650
SERVER_DAYS = 397
"""Browsers take no certificate of a server that is valid for longer."""
RENEW_DAYS = 60
LOCAL_NAMES = ("localhost", "local", "lan", "internal", "home.arpa")
LOCAL_NETWORKS = (
    "127.0.0.0/8",
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "::1/128",
    "fc00::/7",
    "fe80::/10",
)
"""Addresses that no one has on the open internet (RFC 1918, 3927, 4193, 4291)."""


@dataclass(frozen=True)
class ServerFiles:
    """Files the server reads, and whether phones that had the authority need the new one."""

    certificate: Path
    key: Path
    replaces_authority: bool


def authority_file(folder: Path) -> Path:
    """Where the authority's certificate lies, once the program was shared."""
    return folder / "network-authority.crt"


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 in pairs, as phones show it."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def read_authority(folder: Path) -> x509.Certificate | None:
    """The authority's certificate; `None` before the program was shared."""
    try:
        return x509.load_pem_x509_certificate(authority_file(folder).read_bytes())
    except (FileNotFoundError, ValueError):
        return None


def server_files(folder: Path, shop_name: str, names: Sequence[str]) -> ServerFiles:
    """Certificate and key for a server reached under `names` (host names and addresses); kept in `folder` and
    made anew when the names changed or the end comes near."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    certificate_file, key_file = folder / "server.crt", folder / "server.key"
    authority = earlier = read_authority(folder)
    if authority is None or _ends_soon(authority) or not all(_allows(authority, name) for name in names):
        authority = _make_authority(folder, shop_name, names)
    if authority is not earlier or not _still_serves(certificate_file, key_file, names):
        _make_server(folder, authority, names)
    return ServerFiles(certificate_file, key_file, earlier is not None and authority is not earlier)


def general_name(name: str) -> x509.GeneralName:
    """An address as an address, anything else as a host name."""
    with suppress(ValueError):
        return x509.IPAddress(ipaddress.ip_address(name))
    return x509.DNSName(name)


def _ends_soon(certificate: x509.Certificate) -> bool:
    return certificate.not_valid_after_utc < datetime.now(UTC) + timedelta(days=RENEW_DAYS)


def _allows(authority: x509.Certificate, name: str) -> bool:
    allowed = (
        authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    )
    wanted = general_name(name)
    for each in allowed:
        if isinstance(wanted, x509.IPAddress) and isinstance(each, x509.IPAddress):
            network: Any = each.value
            if wanted.value in network:
                return True
        elif (
            isinstance(wanted, x509.DNSName)
            and isinstance(each, x509.DNSName)
            and f".{wanted.value}".lower().endswith(f".{each.value}".lower())
        ):
            return True
    return False


def _still_serves(certificate_file: Path, key_file: Path, names: Sequence[str]) -> bool:
    if not (certificate_file.exists() and key_file.exists()):
        return False
    certificate = x509.load_pem_x509_certificate(certificate_file.read_bytes())
    stated = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return set(stated) == {general_name(name) for name in names} and not _ends_soon(certificate)


def _make_authority(folder: Path, shop_name: str, names: Sequence[str]) -> x509.Certificate:
    local = [x509.IPAddress(ipaddress.ip_network(each)) for each in LOCAL_NETWORKS]
    own = [_exactly(each) for each in names]
    allowed = [*map(x509.DNSName, LOCAL_NAMES), *local, *own]
    key, certificate = new_authority(
        shop_name,
        f"{shop_name[:46]} network authority",
        timedelta(days=AUTHORITY_DAYS),
        x509.NameConstraints(list(dict.fromkeys(allowed)), None),
    )
    write_private(folder / "network-authority.key", pem_of(key))
    authority_file(folder).write_bytes(certificate.public_bytes(Encoding.PEM))
    return certificate


def _exactly(name: str) -> x509.GeneralName:
    """A name as an authority allows it: an address as a network of one."""
    with suppress(ValueError):
        return x509.IPAddress(ipaddress.ip_network(name))
    return x509.DNSName(name)


def _make_server(folder: Path, authority: x509.Certificate, names: Sequence[str]) -> None:
    issuer = load_pem_private_key((folder / "network-authority.key").read_bytes(), None)
    assert isinstance(issuer, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    now = datetime.now(UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCK_SLACK)
        .not_valid_after(min(now + timedelta(days=SERVER_DAYS), authority.not_valid_after_utc))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(list(map(general_name, names))), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer.public_key()), critical=False
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(issuer, hashes.SHA256())
    )
    write_private(folder / "server.key", pem_of(key))
    (folder / "server.crt").write_bytes(certificate.public_bytes(Encoding.PEM))
