"""What a PDF's signatures say, as separate facts: intact, who, trusted, anything added since."""

from __future__ import annotations

import hashlib
import io
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from asn1crypto import pem
from asn1crypto import x509 as asn1
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.ades.report import AdESFailure, AdESIndeterminate
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.fields import enumerate_sig_fields
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from wps.pdf.unreadable import DAMAGED, ENCRYPTED, NotReadable
from wps.signing.contents import end_of, gap_is_accounted_for

LONGEST_NAME = 160
"""Letters of a name in a certificate that are shown."""


# Findings about a file somebody brought belong in its report; the library logs them with tracebacks as well.
for _library in ("pyhanko", "pyhanko_certvalidator"):
    logging.getLogger(_library).setLevel(logging.CRITICAL)


@dataclass(frozen=True)
class SignatureFacts:
    """One signature."""

    field: str
    signer: str
    fingerprint: str
    """SHA-256 of the signer's certificate, hexadecimal; empty where none can be read."""
    signed_at: datetime | None
    intact: bool
    """The signed bytes are as they were signed."""
    trusted: bool
    """The certificate chains to an authority this shop trusts and was valid when used."""
    changes_allowed: bool
    """Whatever was added after this signature is what a further signature adds, and nothing else."""
    covers_whole_file: bool
    timestamped: bool
    gap_accounted: bool
    """What the signature cannot cover, its own place in the file, holds the signature and zeros only."""
    revision_sha256: str
    """SHA-256 of the file up to where this signature ends, hexadecimal; empty where that cannot be told."""
    problem: str
    """Why it does not hold by itself, as ETSI EN 319 102-1 names the reason; empty where nothing is wrong."""

    @property
    def unchanged(self) -> bool:
        """Nothing about the file was changed since this signature but by signatures after it."""
        return self.intact and self.changes_allowed and self.gap_accounted

    @property
    def holds(self) -> bool:
        return self.unchanged and self.trusted


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
        return bool(self.signatures) and all(s.unchanged for s in self.signatures) and not self.added_since

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
            raise NotReadable(ENCRYPTED)
        embedded = list(reader.embedded_signatures)
        empty = _empty_fields(reader)
    except NotReadable:
        raise
    except Exception as error:  # a damaged file fails in any layer, down to the decompressor
        raise NotReadable(DAMAGED) from error
    roots, single = ([asn1.Certificate.load(_der(each)) for each in given] for given in (authorities, pinned))
    found = tuple(_facts(each, pdf, roots, single) for each in embedded)
    return Verification(found, empty, bool(found) and not found[-1].covers_whole_file)


def _der(certificate: bytes) -> bytes:
    return pem.unarmor(certificate)[2] if pem.detect(certificate) else certificate


def _facts(
    embedded: Any, pdf: bytes, roots: list[asn1.Certificate], single: list[asn1.Certificate]
) -> SignatureFacts:
    try:
        return _read(embedded, pdf, roots, single)
    except Exception:  # whatever keeps a signature from being checked leaves it unproven, in every layer
        signer, fingerprint = _named(embedded)
        return SignatureFacts(
            field=str(embedded.field_name),
            signer=signer,
            fingerprint=fingerprint,
            signed_at=None,
            intact=False,
            trusted=False,
            changes_allowed=False,
            covers_whole_file=False,
            timestamped=False,
            gap_accounted=False,
            revision_sha256="",
            problem=AdESFailure.FORMAT_FAILURE.standard_name,
        )


def _read(
    embedded: Any, pdf: bytes, roots: list[asn1.Certificate], single: list[asn1.Certificate]
) -> SignatureFacts:
    certificate = embedded.signer_cert
    context = ValidationContext(
        trust_roots=[*roots, *(each for each in single if each.sha256 == certificate.sha256)],
        allow_fetching=False,
        other_certs=list(embedded.other_embedded_certs or ()),
        moment=embedded.self_reported_timestamp,
        best_signature_time=embedded.self_reported_timestamp,
    )
    status = validate_pdf_signature(embedded, context)
    level = status.modification_level
    allowed = level is not None and level <= ModificationLevel.FORM_FILLING and bool(status.docmdp_ok)
    gap, end = gap_is_accounted_for(pdf, embedded.byte_range), end_of(embedded.byte_range)
    return SignatureFacts(
        field=str(embedded.field_name),
        signer=_name(certificate),
        fingerprint=certificate.sha256.hex(),
        signed_at=status.signer_reported_dt,
        intact=bool(status.intact and status.valid),
        trusted=bool(status.trusted),
        changes_allowed=allowed,
        covers_whole_file=embedded.evaluate_signature_coverage().name == "ENTIRE_FILE",
        timestamped=status.timestamp_validity is not None,
        gap_accounted=gap,
        revision_sha256=hashlib.sha256(pdf[:end]).hexdigest() if 0 < end <= len(pdf) else "",
        problem=_problem(status, allowed and gap),
    )


def _problem(status: Any, unchanged: bool) -> str:
    if not status.intact:
        return AdESFailure.HASH_FAILURE.standard_name
    if not status.valid:
        return AdESFailure.SIG_CRYPTO_FAILURE.standard_name
    if not unchanged:
        return AdESFailure.FORMAT_FAILURE.standard_name
    if status.trusted:
        return ""
    found = status.trust_problem_indic or AdESIndeterminate.NO_CERTIFICATE_CHAIN_FOUND
    return str(found.standard_name)


def _named(embedded: Any) -> tuple[str, str]:
    """Name and fingerprint of the signer, as far as they can be read."""
    try:
        certificate = embedded.signer_cert
        return _name(certificate), certificate.sha256.hex()
    except Exception:
        return "", ""


def _name(certificate: asn1.Certificate) -> str:
    """The name in the certificate, on one line: whoever made it may have written anything."""
    found = certificate.subject.native.get("common_name", "")
    name = found if isinstance(found, str) else ", ".join(str(each) for each in found or ())
    return "".join(letter if letter.isprintable() else " " for letter in name)[:LONGEST_NAME].strip()


def _empty_fields(reader: PdfFileReader) -> tuple[str, ...]:
    return tuple(str(name) for name, _, _ in enumerate_sig_fields(reader, filled_status=False))
