"""Who may weld, in words for a page: one entry per welder, and what would close the gap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from qualification.models import Welder
from qualification.rules import wording
from qualification.rules.facts import Weld
from qualification.rules.findings import Verdict
from qualification.rules.planning import coupons_that_would_cover
from qualification.rules.ranges import Side
from qualification.rules.tables import Edition
from qualification.who_may_weld import Answer, LineAnswer

NO_COUPON = (
    "No single test coupon was found that would cover it. "
    "State what the weld leaves open, or cover it by several coupons."
)


@dataclass(frozen=True)
class LineInWords:
    """One process line for one welder."""

    number: int
    process: str
    verdict: str
    words: str
    by: str
    until: str
    rows: Sequence[wording.Row]
    """What the closest test does not cover."""
    continuity: Sequence[str]


@dataclass(frozen=True)
class AnswerInWords:
    """One welder's answer."""

    welder: Welder
    verdict: str
    words: str
    lines: Sequence[LineInWords]


@dataclass(frozen=True)
class Gap:
    """A process line that somebody may not weld, and coupons that would cover it."""

    number: int
    process: str
    sentences: Sequence[str]


def in_words(answers: Iterable[Answer], units: str) -> list[AnswerInWords]:
    """Each answer with its reasons."""
    return [
        AnswerInWords(
            answer.welder,
            "covered" if answer.may else answer.verdict.key,
            _headline(answer),
            [_line(line, units) for line in answer.lines],
        )
        for answer in answers
    ]


def _headline(answer: Answer) -> str:
    if answer.may:
        return "May weld"
    if answer.some_lines:
        return f"May weld {' and '.join(line.process for line in answer.some_lines)} only"
    return "May not weld" if answer.verdict is Verdict.NOT_COVERED else "Cannot be told"


def _line(line: LineAnswer, units: str) -> LineInWords:
    may = line.verdict <= Verdict.COVERED
    words = "May weld" if may else "Lapsed" if line.continuity and not line.obstacles else line.verdict.words
    if not line.by:
        tried = (
            f"No approved and passed test with {line.process} is on file."
            if line.process
            else "The weld does not state its process."
        )
        return LineInWords(line.line + 1, line.process, line.verdict.key, words, "", "", [], [tried])
    return LineInWords(
        line.line + 1,
        line.process,
        line.verdict.key,
        words,
        ", ".join(line.by),
        line.holds_until.isoformat() if line.holds_until else "",
        [wording.row_of_finding(finding, units) for finding in line.obstacles],
        line.continuity,
    )


def gaps(weld: Weld, answers: Sequence[Answer], edition: Edition, units: str) -> list[Gap]:
    """For each line that not everybody may weld: coupons that would cover it, once welded and passed."""
    found = []
    for index, line in enumerate(weld.lines):
        wanting = [answer.lines[index] for answer in answers if answer.lines[index].obstacles]
        if not wanting:
            continue
        proposals = coupons_that_would_cover(
            Weld(weld.joint, (line,), weld.name), edition, Side.WELDER, units
        )
        sentences = [proposal.sentence for proposal in proposals] or [NO_COUPON]
        found.append(Gap(index + 1, wanting[0].process, sentences))
    return found
