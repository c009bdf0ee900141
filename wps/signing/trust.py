"""Which signatures count here: those this shop took, from the person the place is for, with a certificate of
that person that the shop made or accepted.

A certificate alone proves nothing here. Whoever signs in may hold one, and a file can be signed anywhere; so
a signature is first looked up among those taken (`SignatureTaken`), by the bytes it made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.utils import timezone

from qualification.records.audit import name_of
from qualification.roles import READER
from wps.models import IssuedDocument, Packet, PersonalCertificate, SignatureTaken
from wps.signing.people import shop_authority
from wps.signing.places import FIELDS, ISSUERS, ROLE_OF
from wps.signing.reasons import COUNTS, REASONS, Reason
from wps.signing.verify import SignatureFacts, Verification

STAGES = {field: stage for stage, field in FIELDS.items()}
Issued = IssuedDocument | Packet
"""What a file says it is, where that was issued here."""
BY_ITSELF = {"HASH_FAILURE": "changed", "SIG_CRYPTO_FAILURE": "wrong_key"}
OUT_OF_VALIDITY = ("NOT_YET_VALID", "EXPIRED", "OUT_OF_BOUNDS_NO_POE", "OUT_OF_BOUNDS_NOT_REVOKED")


@dataclass(frozen=True)
class JudgedSignature:
    """One signature, and whether it counts here once the shop's own records are asked."""

    facts: SignatureFacts
    trust: Reason
    """Whether it is this shop's signature of the right person, whatever happened to the file since."""
    because: str
    """Why it does or does not count here, as a sentence."""

    @property
    def trusted(self) -> bool:
        return self.trust is COUNTS

    @property
    def reason(self) -> Reason:
        """Why the signature does not hold, what is wrong with the file first."""
        if self.facts.problem in BY_ITSELF:
            return REASONS[BY_ITSELF[self.facts.problem]]
        if not self.facts.intact:
            return REASONS["unreadable"]
        if not self.facts.gap_accounted:
            return REASONS["padding"]
        return self.trust if self.facts.changes_allowed else REASONS["added"]


@dataclass(frozen=True)
class TrustedVerification:
    """A file's signatures with the shop's word on each."""

    verification: Verification
    judged: tuple[JudgedSignature, ...]

    @property
    def trusted(self) -> bool:
        return bool(self.judged) and all(each.trusted for each in self.judged)


def trust_anchors(more_authorities: Sequence[bytes] = ()) -> tuple[list[bytes], list[bytes]]:
    """Certificates of authorities, and those trusted for their own signatures alone; PEM."""
    pinned = PersonalCertificate.objects.filter(by_shop=False).values_list("certificate", flat=True)
    return [shop_authority().pem, *more_authorities], [each.encode() for each in pinned]


def judged_here(verification: Verification, issued: Issued | None = None) -> TrustedVerification:
    """The signatures of a file judged by this shop's records."""
    return TrustedVerification(verification, tuple(_judged(each, issued) for each in verification.signatures))


def _judged(facts: SignatureFacts, issued: Issued | None) -> JudgedSignature:
    known = PersonalCertificate.objects.filter(fingerprint=facts.fingerprint).select_related("person").first()
    if known is None:
        return _foreign(facts, issued)
    if not known.is_accepted:
        return _no(facts, "not_accepted", f"No shop administrator accepted {known}.")
    taken = _taken(facts, known)
    if taken is None:
        return _not_taken(facts, known, issued)
    if not facts.trusted:
        key = "out_of_validity" if facts.problem in OUT_OF_VALIDITY else "unknown_authority"
        return _no(
            facts,
            key,
            "The certificate does not chain to an authority trusted here, or was not valid on the day of"
            " signing.",
        )
    return _as_taken(facts, known, taken)


def _no(facts: SignatureFacts, key: str, because: str) -> JudgedSignature:
    return JudgedSignature(facts, REASONS[key], because)


def _foreign(facts: SignatureFacts, issued: Issued | None) -> JudgedSignature:
    if facts.trusted and issued is None:
        return JudgedSignature(
            facts, COUNTS, "The certificate comes from an authority that was named as trusted."
        )
    if facts.trusted:
        return _no(
            facts,
            "not_taken",
            "The certificate comes from an authority that was named as trusted, but this shop did not take"
            " the signature.",
        )
    return _no(
        facts,
        "unknown_authority",
        "The certificate comes from an authority this shop does not know."
        f"{_names_somebody_here(facts.signer)}",
    )


def _names_somebody_here(name: str) -> str:
    """A name proves nothing: anybody can have one written into a certificate."""
    same = any(
        name_of(person).casefold() == name.casefold() for person in User.objects.filter(is_active=True)
    )
    return f" It bears the name of {name}, but it is not that person's certificate here." if same else ""


def _taken(facts: SignatureFacts, known: PersonalCertificate) -> SignatureTaken | None:
    """The signature as this shop wrote it down: same bytes, same field, same certificate."""
    if not facts.revision_sha256:
        return None
    return (
        SignatureTaken.objects.filter(
            sha256=facts.revision_sha256, field=facts.field, certificate=known, person=known.person
        )
        .select_related("document", "person")
        .first()
    )


def _not_taken(facts: SignatureFacts, known: PersonalCertificate, issued: Issued | None) -> JudgedSignature:
    if known.revoked_at is not None:
        after = facts.signed_at is not None and facts.signed_at >= known.revoked_at
        return _no(
            facts,
            "revoked" if after else "revoked_no_proof",
            f"The certificate was revoked on {_day(known)}, and this shop did not take the signature before"
            " that.",
        )
    owner = _owner(facts.field, issued)
    if owner is not None and owner.pk != known.person_id:
        return _no(
            facts,
            "other_person",
            f"The certificate belongs to {name_of(known.person)}; this place is for {name_of(owner)}.",
        )
    return _no(
        facts,
        "not_taken",
        f"The certificate belongs to {name_of(known.person)}, but this shop did not take the signature: it"
        " was made elsewhere, or on other bytes.",
    )


def _owner(field: str, issued: Issued | None) -> User | None:
    """Whose signature the field of the document is for."""
    if not isinstance(issued, IssuedDocument) or field not in STAGES:
        return None
    owner: User | None = getattr(issued, STAGES[field].value)
    return owner


def _as_taken(facts: SignatureFacts, known: PersonalCertificate, taken: SignatureTaken) -> JudgedSignature:
    owner = _owner(taken.field, taken.document)
    if taken.document is not None and (owner is None or owner.pk != taken.person_id):
        return _no(
            facts,
            "other_person",
            f"{taken.person_name} signed, but this place is for {name_of(owner) if owner else 'nobody'}.",
        )
    if not _held(taken):
        return _no(facts, "no_role", f"{taken.person_name} did not hold the role for this when signing.")
    if known.revoked_at is not None and known.revoked_at <= taken.signed_at:
        return _no(facts, "revoked", f"The certificate was revoked on {_day(known)}, before this signature.")
    origin = "issued by this shop" if known.by_shop else "supplied by the person and accepted here"
    if known.revoked_at is not None:
        return JudgedSignature(
            facts,
            COUNTS,
            f"The certificate was revoked on {_day(known)}, after this signature was taken here.",
        )
    return JudgedSignature(
        facts,
        COUNTS,
        f"Taken here on {timezone.localtime(taken.signed_at):%Y-%m-%d %H:%M}; the certificate was {origin}.",
    )


def _held(taken: SignatureTaken) -> bool:
    """Whether the person held a role that the place takes; whoever writes or approves may also witness.
    Signatures taken before roles were written down were taken under the same rule."""
    if taken.roles is None:
        return True
    role = ROLE_OF[STAGES[taken.field]] if taken.field in STAGES else None
    if role == READER:
        return bool(taken.roles)
    return any(each in taken.roles for each in ((role,) if role else ISSUERS))


def _day(certificate: PersonalCertificate) -> str:
    assert certificate.revoked_at is not None
    return f"{timezone.localtime(certificate.revoked_at):%Y-%m-%d}"
