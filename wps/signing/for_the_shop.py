"""A signature of the shop itself, for data that goes to another shop: by a key used once, for which the
shop's authority vouches."""

from __future__ import annotations

import base64
import secrets
from dataclasses import dataclass

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, pkcs12
from cryptography.x509.oid import NameOID

from wps.signing.authority import Authority, issue_personal


class NotSigned(ValueError):
    """A signature that does not hold, and why."""


@dataclass(frozen=True)
class Signer:
    """Who signed: names from the certificate, and the SHA-256 of the authority's certificate."""

    person: str
    shop: str
    authority: str


def sign_for_shop(content: bytes, issuer: Authority, person_name: str) -> tuple[bytes, bytes]:
    """Signature (base64) and certificates (PEM: the signer's, then the authority's)."""
    passphrase = secrets.token_urlsafe(24)
    packed = issue_personal(issuer, person_name, "", passphrase)
    key, certificate, _ = pkcs12.load_key_and_certificates(packed, passphrase.encode())
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    assert certificate is not None
    signature = key.sign(content, ec.ECDSA(hashes.SHA256()))
    return base64.b64encode(signature) + b"\n", certificate.public_bytes(Encoding.PEM) + issuer.pem


def signer_of(content: bytes, signature: bytes, certificates: bytes) -> Signer:
    """Who signed the content. Whether to trust that authority is for the reader to say. Raises NotSigned."""
    try:
        leaf, root = x509.load_pem_x509_certificates(certificates)
        key = leaf.public_key()
        if not isinstance(key, ec.EllipticCurvePublicKey):
            raise NotSigned("The signer's certificate has a kind of key that is not used here.")
        root.verify_directly_issued_by(root)
        leaf.verify_directly_issued_by(root)
        if not root.extensions.get_extension_for_class(x509.BasicConstraints).value.ca:
            raise NotSigned("The signer's certificate does not come from an authority.")
        key.verify(base64.b64decode(signature.strip(), validate=True), content, ec.ECDSA(hashes.SHA256()))
    except InvalidSignature as error:
        raise NotSigned("The signature does not fit what was signed: something was changed.") from error
    except (ValueError, TypeError, x509.ExtensionNotFound) as error:
        if isinstance(error, NotSigned):
            raise
        raise NotSigned("The signature or its certificates cannot be read.") from error
    return Signer(
        _name(leaf, NameOID.COMMON_NAME),
        _name(leaf, NameOID.ORGANIZATION_NAME),
        root.fingerprint(hashes.SHA256()).hex(),
    )


def _name(certificate: x509.Certificate, what: x509.ObjectIdentifier) -> str:
    found = certificate.subject.get_attributes_for_oid(what)
    return str(found[0].value) if found else ""
