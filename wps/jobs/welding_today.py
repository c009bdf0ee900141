"""Who may weld, in words for a page: one entry per welder, and what would close the gap."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from qualification.models import Welder
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Finding, Verdict
from qualification.rules.entries import answer_words
from qualification.rules.ranges.house import HouseLimit, held_to
from qualification.rules.tabular.edition import Edition
from qualification.rules.testing.outcome_words import citation_content
from qualification.welders.ranking import Ranking
from qualification.welders.who_may_weld import LineAnswer, WelderAnswer, against
from wps.jobs.advice import Advice, advice


@dataclass(frozen=True)
class LineInWords:
    """One process line for one welder."""

    number: int
    process: str
    verdict: str
    qualified: str
    """The verdict by the code alone, without limits beyond it."""
    words: str
    by: str
    until: str
    rows: Sequence[answer_words.Row]
    """What the closest test does not cover."""
    continuity: Sequence[tuple[str, Mapping[str, Any] | None]]
    """Why no test covers it on the day, each with clause and source where a rule says so."""

    @property
    def index(self) -> int:
        """The line as addresses name it, counted from zero."""
        return self.number - 1


@dataclass(frozen=True)
class AnswerInWords:
    """One welder's answer."""

    welder: Welder
    verdict: str
    words: str
    lines: Sequence[LineInWords]


def in_words(answers: Iterable[WelderAnswer], units: str) -> list[AnswerInWords]:
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


def _headline(answer: WelderAnswer) -> str:
    if answer.may:
        return "May weld"
    if answer.qualified <= Verdict.COVERED:
        return (
            "Qualified, but the weld is outside a limit"
            if answer.verdict is Verdict.NOT_COVERED
            else "Qualified; a limit cannot be determined"
        )
    if answer.some_lines:
        return f"May weld {' and '.join(line.process for line in answer.some_lines)} only"
    return "May not weld" if answer.verdict is Verdict.NOT_COVERED else "Cannot be told"


def _line(line: LineAnswer, units: str) -> LineInWords:
    words = _line_words(line)
    if not line.by:
        tried = line.elsewhere or (_nothing_tried(line),)
        said = [(sentence, None) for sentence in tried]
        return LineInWords(
            line.line + 1, line.process, line.verdict.key, line.qualified.key, words, "", "", [], said
        )
    return LineInWords(
        line.line + 1,
        line.process,
        line.verdict.key,
        line.qualified.key,
        words,
        ", ".join(line.by),
        line.holds_until.isoformat() if line.holds_until else "",
        [answer_words.row_of_finding(finding, units) for finding in line.obstacles],
        [(each.sentence, citation_content(each.citation)) for each in line.continuity],
    )


def _nothing_tried(line: LineAnswer) -> str:
    unruled = next((finding.because for finding in line.obstacles if finding.is_without_rules), "")
    return unruled or (
        f"No approved and passed test with {line.process} is on file."
        if line.process
        else "The weld does not state its process."
    )


def _line_words(line: LineAnswer) -> str:
    if line.verdict <= Verdict.COVERED:
        return "May weld"
    if line.qualified <= Verdict.COVERED:
        return (
            "Qualified, outside a limit"
            if line.verdict is Verdict.NOT_COVERED
            else "Qualified, a limit cannot be determined"
        )
    return (
        "Lapsed"
        if line.continuity and not line.obstacles and line.qualified is Verdict.NOT_COVERED
        else line.qualified.words
    )


@dataclass(frozen=True)
class LimitInWords:
    """A limit laid over the code that keeps the weld itself from being made."""

    place: str
    """The process line it speaks of; empty where the weld has one only."""
    words: str
    row: answer_words.Row


def limits_in_words(
    weld: Weld, house: Sequence[HouseLimit], edition: Edition, units: str
) -> list[LimitInWords]:
    """What the limits have against the weld, worst first; a limit that says the same of every line is said
    once."""
    found: dict[tuple[str, str, str, str], tuple[list[int], Finding]] = {}
    for finding in (f for line in held_to(weld, house, edition) for f in against(line)):
        row = answer_words.row_of_finding(finding, units)
        found.setdefault((row.clause, row.variable, row.found, row.qualified), ([], finding))[0].append(
            finding.line or 0
        )
    listed = sorted(found.values(), key=lambda each: -each[1].verdict)
    return [
        LimitInWords(
            _places(lines, weld),
            "Outside the limit" if finding.verdict is Verdict.NOT_COVERED else finding.verdict.words,
            answer_words.row_of_finding(finding, units),
        )
        for lines, finding in listed
    ]


def _places(lines: Sequence[int], weld: Weld) -> str:
    if len(lines) == len(weld.lines):
        return ""
    return f"process {' and '.join(str(line + 1) for line in lines)}"


def gaps(weld: Weld, asked: Ranking, units: str, house: Sequence[HouseLimit] = ()) -> list[Advice]:
    """For each line that not everybody may weld: coupons that would cover it, once welded and passed; or why
    none would, a limit laid over the code standing against the weld itself."""
    found = []
    for index in range(len(weld.lines)):
        wanting = asked.wanting(index)
        if wanting is None:
            continue
        if wanting.limits:
            found.append(Advice(index + 1, wanting.process, [no_coupon_helps(wanting.limits, "weld")]))
        else:
            found.append(
                advice(weld, index, asked.edition, Side.WELDER, units, house, against=wanting.obstacles)
            )
    return found


def no_coupon_helps(limits: Sequence[Finding], what: str) -> str:
    """Why no coupon closes a gap while limits stand against the weld or the procedure itself."""
    worst = max(finding.verdict for finding in limits)
    names = " and ".join(dict.fromkeys(answer_words.say_obstacle(f) for f in limits if f.verdict is worst))
    if worst is Verdict.NOT_COVERED:
        return (
            f"No test coupon would help: the {what} itself is outside what is allowed of {names}. Change the"
            f" {what} first."
        )
    return f"First state what decides on {names}; until then no coupon can be named."
