"""A report on a checked file as lines of words: the same for page and command line."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django.utils import timezone

from wps.documents.checking import FileReport
from wps.documents.issuing import FIELDS, LABELS
from wps.signing.trust import Judged

FIELD_WORDS = {field: LABELS[stage] for stage, field in FIELDS.items()} | {
    "SignatureIssuer": "Signature of the issuer"
}
GOOD, BAD, OPEN = "covered", "not_covered", "unknown"
"""Shapes of verdicts, as pages show them."""


@dataclass(frozen=True)
class Line:
    """One question and its answer."""

    label: str
    verdict: str
    words: str
    details: tuple[str, ...] = ()


def lines_of(report: FileReport) -> list[Line]:
    """The answers in the order in which people ask."""
    return [
        _intact(report),
        _signed(report),
        _trusted(report),
        _added(report),
        _current(report),
        *_content(report),
        *_files(report),
    ]


def _intact(report: FileReport) -> Line:
    found = report.signatures.verification
    if not found.signatures:
        return Line(
            "Intact",
            BAD,
            "No signature is in the file, so nothing says whether it was changed. If it had one, it was"
            " removed.",
        )
    broken = [s for s in found.signatures if not s.intact]
    if broken:
        return Line(
            "Intact",
            BAD,
            "No. The bytes were changed after signing.",
            tuple(f"Broken: {FIELD_WORDS.get(s.field, s.field)}" for s in broken),
        )
    return Line("Intact", GOOD, "Yes. The signed bytes are as they were signed.")


def _signed(report: FileReport) -> Line:
    found = report.signatures
    details = tuple(_signature_words(each) for each in found.judged)
    missing = tuple(f"{FIELD_WORDS.get(name, name)}: not taken" for name in found.verification.missing_fields)
    if not details:
        return Line("Signed by", BAD, "Nobody.", missing)
    names = ", ".join(each.facts.signer for each in found.judged)
    return Line("Signed by", OPEN if missing else GOOD, f"{names}.", details + missing)


def _signature_words(judged: Judged) -> str:
    facts = judged.facts
    when = (
        f"{timezone.localtime(facts.signed_at):%Y-%m-%d %H:%M}" if facts.signed_at else "at a time not stated"
    )
    dated = "dated by a timestamp server" if facts.timestamped else "by the signer's own clock"
    return f"{FIELD_WORDS.get(facts.field, facts.field)}: {facts.signer}, {when} {dated}"


def _trusted(report: FileReport) -> Line:
    judged = report.signatures.judged
    if not judged:
        return Line("Trusted here", BAD, "No, there is no signature.")
    details = tuple(f"{each.facts.signer}: {each.because}" for each in judged)
    return (
        Line("Trusted here", GOOD, "Yes.", details)
        if report.signatures.trusted
        else Line("Trusted here", BAD, "No.", details)
    )


def _added(report: FileReport) -> Line:
    found = report.signatures.verification
    if not found.signatures:
        return Line("Added since", OPEN, "Cannot be told without a signature.")
    if (
        all(s.intact for s in found.signatures)
        and not found.added_since
        and all(s.changes_allowed for s in found.signatures)
    ):
        return Line("Added since", GOOD, "Nothing but the signatures that follow one another.")
    if found.added_since or not all(s.changes_allowed for s in found.signatures):
        return Line(
            "Added since", BAD, "Yes. Something beside signatures was added or changed after signing."
        )
    return Line("Added since", OPEN, "Cannot be told, because a signature is broken.")


def _current(report: FileReport) -> Line:
    standing = report.standing
    verdict = {"current": GOOD, "unknown": OPEN}.get(standing.key, BAD)
    return Line(
        "Still in force",
        verdict,
        f"{standing.name}: {standing.sentence}" if standing.name else standing.sentence,
        standing.details,
    )


def _content(report: FileReport) -> list[Line]:
    lines = []
    if report.content_holds is not None:
        lines.append(Line("Embedded record", GOOD if report.content_holds else BAD, report.content))
    if (found := report.rederived) is not None:
        verdict = {True: GOOD, False: BAD, None: OPEN}[found.matches]
        lines.append(Line("Findings derived again", verdict, found.sentence, found.differences))
    return lines


def _files(report: FileReport) -> list[Line]:
    lines = [
        Line(
            "Kept here",
            GOOD if report.same_bytes.startswith("The file is,") else OPEN,
            report.same_bytes,
            (f"SHA-256 {report.sha256}",),
        )
    ]
    if report.inner or report.notes:
        words = (
            "Each file in the packet is the one it lists."
            if not report.notes
            else "The packet does not hold what it lists."
        )
        lines.append(Line("Files in the packet", BAD if report.notes else GOOD, words, report.notes))
    return lines


def report_content(report: FileReport) -> dict[str, Any]:
    """The report as plain values, as pages show it and a check in the background keeps it."""
    return {
        "name": report.name,
        "holds": report.holds,
        "lines": [asdict(line) for line in lines_of(report)],
        "inner": [report_content(each) for each in report.inner],
    }
