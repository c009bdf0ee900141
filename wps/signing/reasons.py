"""Verdicts and their named reasons as ETSI EN 319 102-1 lists them (clause 5.1.3), each beside a sentence of
our own.

The names come from pyHanko's list of them; which of our findings is called by which name is decided here.
"""

from __future__ import annotations

from dataclasses import dataclass

from pyhanko.sign.ades.report import AdESFailure, AdESIndeterminate, AdESPassed, AdESStatus, AdESSubIndic

INDICATIONS = {
    AdESStatus.PASSED: "TOTAL-PASSED",
    AdESStatus.INDETERMINATE: "INDETERMINATE",
    AdESStatus.FAILED: "TOTAL-FAILED",
}
PASSED, INDETERMINATE, FAILED = INDICATIONS.values()


@dataclass(frozen=True)
class Reason:
    """One finding about a signature or a file, by a name that does not change."""

    key: str
    standard: AdESSubIndic
    words: str

    @property
    def indication(self) -> str:
        """The verdict in the standard's words."""
        return INDICATIONS[self.standard.status]

    @property
    def sub_indication(self) -> str:
        """The reason in the standard's words; empty where it passed."""
        return "" if self.standard is AdESPassed.OK else str(self.standard.standard_name)


_F, _I = AdESFailure, AdESIndeterminate
COUNTS = Reason("counts", AdESPassed.OK, "Signed and valid.")
REASONS = {
    each.key: each
    for each in (
        COUNTS,
        Reason("unreadable", _F.FORMAT_FAILURE, "A signature cannot be read."),
        Reason("changed", _F.HASH_FAILURE, "The signed bytes were changed after signing."),
        Reason(
            "wrong_key", _F.SIG_CRYPTO_FAILURE, "A signature was not made with the key of its certificate."
        ),
        Reason("added", _F.FORMAT_FAILURE, "Something was added or changed after signing."),
        Reason(
            "padding", _F.FORMAT_FAILURE, "Bytes that no signature covers were changed, beside a signature."
        ),
        Reason("unsigned", _I.NO_SIGNING_CERTIFICATE_FOUND, "It bears no signature."),
        Reason("incomplete", _I.SIG_CONSTRAINTS_FAILURE, "A signature that it needs is missing."),
        Reason(
            "unknown_authority",
            _I.NO_CERTIFICATE_CHAIN_FOUND,
            "A certificate comes from an authority this shop does not know.",
        ),
        Reason(
            "not_accepted",
            _I.NO_CERTIFICATE_CHAIN_FOUND,
            "A certificate was never accepted by a shop administrator.",
        ),
        Reason(
            "out_of_validity",
            _I.OUT_OF_BOUNDS_NO_POE,
            "A certificate was not valid on the day of signing.",
        ),
        Reason("revoked", _F.REVOKED, "A certificate was revoked before it signed."),
        Reason(
            "revoked_no_proof",
            _I.REVOKED_NO_POE,
            "A certificate is revoked, and nothing proves that it signed before that.",
        ),
        Reason("not_taken", _I.SIG_CONSTRAINTS_FAILURE, "This shop did not take a signature that is on it."),
        Reason(
            "other_person",
            _I.SIG_CONSTRAINTS_FAILURE,
            "Somebody signed in the place of another person.",
        ),
        Reason("no_role", _I.SIG_CONSTRAINTS_FAILURE, "Somebody signed without the role that it takes."),
        Reason("not_ours", _F.HASH_FAILURE, "It is not the file this shop issued."),
        Reason(
            "not_issued_here", _I.SIGNED_DATA_NOT_FOUND, "No document with its code was issued by this shop."
        ),
        Reason("earlier_stage", _I.SIG_CONSTRAINTS_FAILURE, "It is an earlier copy with fewer signatures."),
        Reason("inner", _I.SIG_CONSTRAINTS_FAILURE, "A document in the packet does not hold."),
        Reason("listing", _F.HASH_FAILURE, "The packet does not hold the files it was issued with."),
    )
}
"""Every finding that can be named. New ones may be added; a key never changes its meaning."""
ORDER = {PASSED: 0, INDETERMINATE: 1, FAILED: 2}


def worst(found: list[Reason]) -> Reason:
    """The gravest of several, the first of its kind; passed where there is none."""
    return max(found, key=lambda each: ORDER[each.indication], default=COUNTS)
