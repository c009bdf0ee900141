"""What a PDF's signatures say, as separate facts: intact, who, trusted here, anything added since."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from asn1crypto import pem
from asn1crypto import x509 as asn1
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.fields import enumerate_sig_fields
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

DAMAGED = "The file cannot be read as a PDF. It is damaged, or of another kind."


class NotReadable(ValueError):
    """The file cannot be read as a PDF; the message says why."""


@dataclass(frozen=True)
class SignatureFacts:
    """One signature."""

    field: str
    signer: str
    fingerprint: str
    """SHA-256 of the signer's certificate, hexadecimal."""
    signed_at: datetime | None
    intact: bool
    """The signed bytes are as they were signed."""
    trusted: bool
    """The certificate chains to an authority this shop trusts and was valid when used."""
    changes_allowed: bool
    """Whatever was added after this signature is what a further signature adds, and nothing else."""
    covers_whole_file: bool
    timestamped: bool

    @property
    def holds(self) -> bool:
        return self.intact and self.trusted and self.changes_allowed


@dataclass(frozen=True)
class Verification:
    """All signatures of one file, in order."""

    signatures: tuple[SignatureFacts, ...]
    missing_fields: tuple[str, ...]
    """Signature fields that are there and empty."""
    added_since: bool
    """Bytes follow the last signature."""

    @property
    def intact(self) -> bool:
        return (
            bool(self.signatures)
            and all(s.intact and s.changes_allowed for s in self.signatures)
            and not self.added_since
        )

    @property
    def trusted(self) -> bool:
        return bool(self.signatures) and all(s.trusted for s in self.signatures)


def verify(pdf: bytes, authorities: Sequence[bytes], pinned: Sequence[bytes] = ()) -> Verification:
    """Check every signature of a PDF against `authorities`, PEM certificates trusted here. `pinned`
    certificates are trusted for their own signatures only: whoever holds one cannot issue others.

    Nothing is fetched. Raises NotReadable when the bytes are no PDF or are encrypted.
    """
    try:
        reader = PdfFileReader(io.BytesIO(pdf), strict=False)
        if reader.encrypted:
            raise NotReadable("The file is encrypted; ask for one that is not.")
        embedded = list(reader.embedded_signatures)
    except NotReadable:
        raise
    except Exception as error:  # a damaged file fails in any layer, down to the decompressor
        raise NotReadable(DAMAGED) from error
    roots, single = ([asn1.Certificate.load(_der(each)) for each in given] for given in (authorities, pinned))
    found = tuple(
        _facts(each, [*roots, *(c for c in single if c.sha256 == each.signer_cert.sha256)])
        for each in embedded
    )
    return Verification(found, _empty_fields(reader), bool(found) and not found[-1].covers_whole_file)


def _der(certificate: bytes) -> bytes:
    return pem.unarmor(certificate)[2] if pem.detect(certificate) else certificate


def _facts(embedded: Any, roots: list[asn1.Certificate]) -> SignatureFacts:
    certificate = embedded.signer_cert
    try:
        context = ValidationContext(
            trust_roots=roots,
            allow_fetching=False,
            other_certs=list(embedded.other_embedded_certs or ()),
            moment=embedded.self_reported_timestamp,
            best_signature_time=embedded.self_reported_timestamp,
        )
        status = validate_pdf_signature(embedded, context)
    except Exception:  # whatever keeps a signature from being checked leaves it unproven, in every layer
        return SignatureFacts(
            field=embedded.field_name,
            signer=_name(certificate),
            fingerprint=certificate.sha256.hex(),
            signed_at=None,
            intact=False,
            trusted=False,
            changes_allowed=False,
            covers_whole_file=False,
            timestamped=False,
        )
    level = status.modification_level
    allowed = level is not None and level <= ModificationLevel.FORM_FILLING and bool(status.docmdp_ok)
    return SignatureFacts(
        field=embedded.field_name,
        signer=_name(certificate),
        fingerprint=certificate.sha256.hex(),
        signed_at=status.signer_reported_dt,
        intact=bool(status.intact and status.valid),
        trusted=bool(status.trusted),
        changes_allowed=allowed,
        covers_whole_file=embedded.evaluate_signature_coverage().name == "ENTIRE_FILE",
        timestamped=status.timestamp_validity is not None,
    )


def _name(certificate: asn1.Certificate) -> str:
    return str(certificate.subject.native.get("common_name", ""))


def _empty_fields(reader: PdfFileReader) -> tuple[str, ...]:
    return tuple(name for name, value, _ in enumerate_sig_fields(reader, filled_status=False))
