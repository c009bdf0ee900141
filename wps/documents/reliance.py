"""May I rely on this? The one answer that follows from everything a check found."""

from __future__ import annotations

from dataclasses import dataclass

from wps.documents.checking import FileReport
from wps.documents.kept import AS_ISSUED, UNKNOWN
from wps.documents.report_line import BAD, GOOD, OPEN
from wps.signing.reasons import FAILED, REASONS, Reason

YES, NO, NOT_YET, CANNOT_SAY = "yes", "no", "not_yet", "cannot_say"
ANSWERS = {YES: GOOD, NO: BAD, NOT_YET: OPEN, CANNOT_SAY: OPEN}
"""The answers, and the shape in which each is shown."""
AWAITS_SIGNATURES = {REASONS["unsigned"], REASONS["incomplete"]}
MOST_REASONS = 3
"""Reasons named in the answer; the rest follow below it."""


@dataclass(frozen=True)
class Reliance:
    """The answer and its reasons in words."""

    answer: str
    words: str


def rely_on(report: FileReport) -> Reliance:
    """The answer for whoever holds this file."""
    if report.holds:
        return Reliance(YES, _yes(report))
    reasons = _gravest_first(report.reasons)
    if reasons and set(reasons) <= AWAITS_SIGNATURES and report.kept.key == AS_ISSUED and _is_current(report):
        return Reliance(
            NOT_YET,
            "Not yet. It is the file this shop issued, but signatures that it needs are missing. Ask the shop"
            " for the signed one.",
        )
    if report.kept.key == UNKNOWN and report.verdict.indication != FAILED:
        return Reliance(
            CANNOT_SAY, " ".join(["Cannot be determined here.", *_words(reasons), "Ask whoever issued it."])
        )
    return Reliance(NO, " ".join(["No.", *_words(reasons), *_beyond_signatures(report)]))


def _yes(report: FileReport) -> str:
    what = report.standing.name or report.name
    signers = " and ".join(dict.fromkeys(each.facts.signer for each in report.signatures.judged))
    return f"Yes. It is {what} as this shop issued it, signed by {signers}, and in force today."


def _gravest_first(reasons: tuple[Reason, ...]) -> list[Reason]:
    return sorted(reasons, key=lambda each: each.indication != FAILED)


def _words(reasons: list[Reason]) -> list[str]:
    return [each.words for each in reasons[:MOST_REASONS]]


def _is_current(report: FileReport) -> bool:
    return report.standing.key == "current"


def _beyond_signatures(report: FileReport) -> list[str]:
    """What keeps from relying on a file whose signatures may hold."""
    found = []
    if report.standing.key != "current":
        found.append(report.standing.sentence)
    if report.content_holds is False:
        found.append(report.content)
    if report.rederived is not None and report.rederived.matches is False:
        found.append("What it states does not follow from its own entries.")
    return found
