"""A report on a checked file as lines of words: the same for page and command line."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.utils import timezone

from wps.documents.checking import FileReport
from wps.documents.reliance import ANSWERS, rely_on
from wps.documents.report_line import BAD, GOOD, OPEN, ReportLine
from wps.signing.places import FIELDS, LABELS
from wps.signing.reasons import COUNTS, FAILED, PASSED, Reason
from wps.signing.trust import JudgedSignature

FORMAT = "coupon-to-paper-verify/1"
"""Version of the report as data; changes when a key changes its meaning or goes away."""
FIELD_WORDS = {field: LABELS[stage] for stage, field in FIELDS.items()} | {
    "SignatureIssuer": "Signature of the issuer"
}


def lines_of(report: FileReport) -> list[ReportLine]:
    """The answer first, then what it rests on, in the order in which people ask."""
    return [
        _rely(report),
        _verdict(report),
        _intact(report),
        _signed(report),
        _trusted(report),
        _added(report),
        _current(report),
        *_content(report),
        *_files(report),
    ]


def _rely(report: FileReport) -> ReportLine:
    found = rely_on(report)
    return ReportLine("May I rely on this?", ANSWERS[found.answer], found.words)


def _verdict(report: FileReport) -> ReportLine:
    verdict, reasons = report.verdict, report.reasons
    shape = {PASSED: GOOD, FAILED: BAD}.get(verdict.indication, OPEN)
    return ReportLine(
        "Verdict by ETSI EN 319 102-1",
        shape,
        f"{verdict.indication}." if not reasons else f"{verdict.indication}, {verdict.sub_indication}.",
        tuple(f"{each.sub_indication}: {each.words}" for each in reasons),
    )


def _intact(report: FileReport) -> ReportLine:
    found = report.signatures.verification
    if not found.signatures:
        return ReportLine(
            "Intact",
            BAD,
            "No signature is in the file, so nothing says whether it was changed. If it had one, it was"
            " removed.",
        )
    broken = [s for s in found.signatures if not s.intact]
    if broken:
        return ReportLine(
            "Intact",
            BAD,
            "No. The bytes were changed after signing.",
            tuple(f"Broken: {_place(s.field)}" for s in broken),
        )
    if any(not s.gap_accounted for s in found.signatures):
        return ReportLine(
            "Intact", BAD, "No. Bytes beside a signature, which no signature covers, were changed."
        )
    if _is_added_to(report):
        return ReportLine(
            "Intact",
            BAD,
            "No. Something was added or changed after signing. Only the bytes that were signed are as they"
            " were.",
        )
    return ReportLine("Intact", GOOD, "Yes. The signed bytes are as they were signed.")


def _is_added_to(report: FileReport) -> bool:
    found = report.signatures.verification
    return found.added_since or not all(s.changes_allowed for s in found.signatures)


def _place(field: str) -> str:
    return FIELD_WORDS.get(field, "".join(each if each.isprintable() else " " for each in field)[:80])


def _signed(report: FileReport) -> ReportLine:
    found = report.signatures
    details = tuple(_signature_words(each) for each in found.judged)
    missing = tuple(f"{_place(name)}: not taken" for name in found.verification.missing_fields)
    if not details:
        return ReportLine("Signed by", BAD, "Nobody.", missing)
    names = ", ".join(each.facts.signer or "somebody not named" for each in found.judged)
    if not found.trusted:
        return ReportLine("Signed by", BAD, f"By their own word: {names}.", details + missing)
    return ReportLine("Signed by", OPEN if missing else GOOD, f"{names}.", details + missing)


def _signature_words(judged: JudgedSignature) -> str:
    facts = judged.facts
    when = (
        f"{timezone.localtime(facts.signed_at):%Y-%m-%d %H:%M}" if facts.signed_at else "at a time not stated"
    )
    dated = "dated by a timestamp server" if facts.timestamped else "by the signer's own clock"
    return f"{_place(facts.field)}: {facts.signer}, {when} {dated}"


def _trusted(report: FileReport) -> ReportLine:
    judged = report.signatures.judged
    if not judged:
        return ReportLine("Trusted here", BAD, "No, there is no signature.")
    details = tuple(f"{_place(each.facts.field)}, {each.facts.signer}: {each.because}" for each in judged)
    return (
        ReportLine("Trusted here", GOOD, "Yes.", details)
        if report.signatures.trusted
        else ReportLine("Trusted here", BAD, "No.", details)
    )


def _added(report: FileReport) -> ReportLine:
    found = report.signatures.verification
    if not found.signatures:
        return ReportLine("Added since", OPEN, "Cannot be determined without a signature.")
    if all(s.intact for s in found.signatures) and not _is_added_to(report):
        return ReportLine("Added since", GOOD, "Nothing but the signatures that follow one another.")
    if _is_added_to(report):
        return ReportLine(
            "Added since", BAD, "Yes. Something beside signatures was added or changed after signing."
        )
    return ReportLine("Added since", OPEN, "Cannot be determined, because a signature is broken.")


def _current(report: FileReport) -> ReportLine:
    standing = report.standing
    verdict = {"current": GOOD, "unknown": OPEN}.get(standing.key, BAD)
    return ReportLine(
        "Still in force",
        verdict,
        f"{standing.name}: {standing.sentence}" if standing.name else standing.sentence,
        standing.details,
    )


def _content(report: FileReport) -> list[ReportLine]:
    lines = []
    if report.content_holds is not None:
        lines.append(ReportLine("Embedded record", GOOD if report.content_holds else BAD, report.content))
    if (found := report.rederived) is not None:
        verdict = {True: GOOD, False: BAD, None: OPEN}[found.matches]
        lines.append(ReportLine("Findings derived again", verdict, found.sentence, found.differences))
    return lines


def _files(report: FileReport) -> list[ReportLine]:
    shape = {"as_issued": GOOD, "other": BAD}.get(report.kept.key, OPEN)
    lines = [ReportLine("Kept here", shape, report.kept.words, (f"SHA-256 {report.sha256}",))]
    if report.is_packet:
        words = (
            "The packet does not hold what it lists, or what it was issued with."
            if report.notes
            else "Each file in the packet is the one it lists."
        )
        lines.append(ReportLine("Files in the packet", BAD if report.notes else GOOD, words, report.notes))
    return lines


def report_content(report: FileReport) -> dict[str, Any]:
    """The report as plain values, as pages show it, `verify --json` prints it and a check in the background
    keeps it."""
    rely, verdict = rely_on(report), report.verdict
    return {
        "format": FORMAT,
        "name": report.name,
        "sha256": report.sha256,
        "holds": report.holds,
        "rely": {"answer": rely.answer, "words": rely.words},
        "indication": verdict.indication,
        "sub_indication": verdict.sub_indication,
        "reasons": [_reason_content(each) for each in report.reasons],
        "signatures": [_signature_content(each) for each in report.signatures.judged],
        "missing_signatures": list(report.signatures.verification.missing_fields),
        "standing": report.standing.key,
        "kept": report.kept.key,
        "lines": [asdict(line) for line in lines_of(report)],
        "inner": [report_content(each) for each in report.inner],
    }


def _reason_content(reason: Reason) -> dict[str, str]:
    return {
        "key": reason.key,
        "indication": reason.indication,
        "sub_indication": reason.sub_indication,
        "words": reason.words,
    }


def _signature_content(judged: JudgedSignature) -> dict[str, Any]:
    facts = judged.facts
    return {
        "field": facts.field,
        "place": _place(facts.field),
        "signer": facts.signer,
        "fingerprint": facts.fingerprint,
        "signed_at": facts.signed_at.isoformat() if facts.signed_at else None,
        "timestamped": facts.timestamped,
        "counts": judged.reason is COUNTS,
        "because": judged.because,
        **_reason_content(judged.reason),
    }
