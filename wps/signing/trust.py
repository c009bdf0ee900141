"""Whom this shop trusts: its own authority, and the certificates its people brought along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wps.models import PersonalCertificate, SignatureTaken
from wps.signing.people import shop_authority
from wps.signing.verify import SignatureFacts, Verification, verify


@dataclass(frozen=True)
class Judged:
    """One signature, and whether it is trusted here once the shop's own records are asked."""

    facts: SignatureFacts
    trusted: bool
    because: str
    """Why it is or is not trusted here, as a sentence."""


@dataclass(frozen=True)
class TrustedVerification:
    """A file's signatures with the shop's word on each."""

    verification: Verification
    judged: tuple[Judged, ...]

    @property
    def trusted(self) -> bool:
        return bool(self.judged) and all(each.trusted for each in self.judged)


def verify_here(pdf: bytes, more_authorities: Sequence[bytes] = ()) -> TrustedVerification:
    """Check a PDF against the shop's authority, its people's certificates and any further authorities (PEM).

    Raises NotReadable when the bytes are no PDF.
    """
    pinned = [
        each.encode()
        for each in PersonalCertificate.objects.filter(by_shop=False).values_list("certificate", flat=True)
    ]
    verification = verify(pdf, [shop_authority().pem, *more_authorities], pinned)
    return TrustedVerification(verification, tuple(_judged(each) for each in verification.signatures))


def _judged(facts: SignatureFacts) -> Judged:
    known = PersonalCertificate.objects.filter(fingerprint=facts.fingerprint).first()
    if known is None:
        if facts.trusted:
            return Judged(facts, True, "The certificate comes from an authority that was named as trusted.")
        return Judged(facts, False, "The certificate comes from an authority this shop does not know.")
    if not facts.trusted:
        return Judged(
            facts,
            False,
            "The certificate does not chain to an authority trusted here, or was not valid on the day of"
            " signing.",
        )
    if known.revoked_at is None:
        origin = "issued by this shop" if known.by_shop else "brought by the person and kept on file here"
        return Judged(facts, True, f"The certificate was {origin}.")
    return _revoked(facts, known)


def _revoked(facts: SignatureFacts, known: PersonalCertificate) -> Judged:
    """The time in a file is the signer's own word, so a revoked certificate counts only where this shop took
    the signature itself before the revocation."""
    taken = SignatureTaken.objects.filter(certificate=known, signed_at__lt=known.revoked_at)
    matches = facts.signed_at is not None and any(
        abs((each.signed_at - facts.signed_at).total_seconds()) < 60 for each in taken
    )
    day = f"{known.revoked_at:%Y-%m-%d}"
    if matches:
        return Judged(
            facts, True, f"The certificate was revoked on {day}, after this signature was taken here."
        )
    return Judged(
        facts,
        False,
        f"The certificate was revoked on {day}, and this shop did not take the signature before that.",
    )
