"""Findings, limits and reports in words: the rows that pages, PDFs and the JSON interface show alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..core.findings import Attempt, Citation, Finding, LineReport, Report, Verdict
from ..core.quantities import US
from ..core.values import MISSING, NOT_APPLICABLE, Absent, Interval, NotOnTest, Stated, Undetermined
from ..core.words import said_together, within_sentence
from ..variables.limits import Limit
from ..variables.registry import registry
from .entered_as import entered_as
from .wording import NO_RULE, say_allowed, say_conditions, say_value


@dataclass(frozen=True)
class Row:
    """One finding or limit as a table row, all in words."""

    verdict: str
    """Key of the verdict (`covered`, `not_covered` ...); empty for a bare range."""
    verdict_words: str
    variable: str
    label: str
    line: int | None
    standing: str
    found: str
    qualified: str
    when: str
    """Circumstances under which the limit speaks; empty when always."""
    record: str
    clause: str
    code: str
    edition: str
    provenance: str
    provenance_words: str
    sources: tuple[Mapping[str, str], ...]
    because: str
    note: str
    remark: str
    binds: bool

    def as_json(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__dataclass_fields__} | {
            "sources": list(self.sources)
        }


def row_of_limit(limit: Limit, system: str, line: int | None = None) -> Row:
    """A limit as a row of a test's range of qualification: what was tested, what that qualifies."""
    key = limit.variable
    return _row(
        limit.citation,
        key,
        "",
        "",
        line,
        limit.standing.value,
        say_value(key, limit.tested, system) if _same_shape(key, limit.tested) else "See the record",
        say_allowed(key, limit.allowed, system),
        say_conditions(limit.when, limit.unless, system),
        limit.record,
        limit.because,
        limit.note,
        limit.standing.value != "nonessential",
    )


def _same_shape(key: str, tested: Stated) -> bool:
    """False where a limit was read off another variable whose choices this one cannot name."""
    definition = registry()[key]
    if not isinstance(tested, frozenset) or not definition.choices:
        return True
    return tested <= {c.key for c in definition.choices}


def row_of_finding(finding: Finding, system: str) -> Row:
    """A finding as a row: entered, qualified, from which test, clause, verdict in words."""
    key = finding.variable
    note = " ".join(filter(None, (_note_of_verdict(finding), finding.note)))
    verdict = finding.verdict
    words = verdict.words
    if not finding.binds and verdict is Verdict.COVERED:
        words = (
            "Free to choose"
            if not isinstance(finding.found, Absent) or finding.found is NOT_APPLICABLE
            else "To be stated"
        )
    return _row(
        finding.citation,
        key,
        verdict.key,
        words,
        finding.line,
        finding.standing.value,
        say_value(key, finding.found, system),
        NO_RULE if finding.is_without_rules else say_allowed(key, finding.qualified, system),
        "",
        finding.record,
        finding.because,
        note,
        finding.binds,
    )


def _note_of_verdict(finding: Finding) -> str:
    """What would settle an open finding, and what “not applicable” on the weld or on the test record makes of
    it."""
    open_, found, qualified = finding.verdict is Verdict.UNKNOWN, finding.found, finding.qualified
    if isinstance(qualified, NotOnTest) and found is not MISSING and not finding.needs:
        if finding.verdict is Verdict.COVERED:
            return "Not applicable on both."
        if isinstance(found, Interval):
            return (
                "The test record says that it does not apply, so there is no number to reckon from. Rest the"
                " weld on a test that has it."
            )
        if open_:
            return (
                "The test record says that it does not apply, and the weld that there is none. If that is the"
                " same, write it alike on both."
            )
        return "The test record says that it does not apply, and the weld has it."
    if not open_ or not finding.needs or isinstance(qualified, Undetermined):
        return ""
    if found is NOT_APPLICABLE and finding.needs == (finding.variable,):
        return (
            "The weld says that it does not apply, and what was tested has it. State it, or rest the weld on"
            " a test without it."
        )
    fields = dict.fromkeys(entered_as(need) for need in finding.needs)
    return f"Enter {'; '.join(within_sentence(registry()[key].label) for key in fields)} to settle this."


def _row(
    citation: Citation,
    key: str,
    verdict: str,
    words: str,
    line: int | None,
    standing: str,
    found: str,
    qualified: str,
    when: str,
    record: str,
    because: str,
    note: str,
    binds: bool,
) -> Row:
    return Row(
        verdict=verdict,
        verdict_words=words,
        variable=key,
        label=registry()[key].label,
        line=line,
        standing=standing,
        found=found,
        qualified=qualified,
        when=when,
        record=record,
        clause=citation.clause,
        code=citation.code,
        edition=citation.edition,
        provenance=citation.provenance.value,
        provenance_words=citation.provenance_words,
        sources=tuple({"title": s.title, "url": s.url} for s in citation.sources),
        because=because,
        note=note,
        remark=citation.remark,
        binds=binds,
    )


def rows_of_line(report: LineReport, system: str, *, binding_only: bool = False) -> list[Row]:
    """Rows of one line, worst first, silent limits left out."""
    found = [
        f
        for f in report.findings
        if f.verdict is not Verdict.NOT_APPLICABLE and (f.binds or not binding_only)
    ]
    return [row_of_finding(f, system) for f in sorted(found, key=lambda f: (not f.binds, -f.verdict))]


def say_report(report: Report, system: str = US) -> str:
    """The whole answer in one sentence."""
    if not report.lines:
        return "Unknown: no process is stated, so there is nothing to judge."
    if report.verdict <= Verdict.COVERED:
        return (
            f"Covered by {said_together(report.relied_on)}."
            if report.relied_on
            else "Within the limits of procedures that need no test."
        )
    labels = list(dict.fromkeys(say_obstacle(f) for f in report.obstacles))
    if report.verdict is Verdict.NOT_COVERED:
        worst = list(
            dict.fromkeys(say_obstacle(f) for f in report.obstacles if f.verdict is Verdict.NOT_COVERED)
        )
        return f"Not covered: {_labels(worst)}."
    if report.verdict is Verdict.NO_RULE:
        return f"No rule encoded for {_labels(labels)}; judge it by the code itself."
    return f"Unknown: {_labels(labels) or 'nothing to judge'} cannot be judged yet."


def say_obstacle(finding: Finding) -> str:
    """Open items, and whose limit it is where it is not the code's."""
    label = within_sentence(registry()[finding.variable].label)
    return label if finding.citation.is_of_a_code else f"{label} ({within_sentence(finding.citation.clause)})"


def say_attempt(attempt: Attempt) -> str:
    """Why a test that was considered does not carry the line, in one sentence."""
    if attempt.verdict <= Verdict.COVERED:
        return f"{attempt.record} covers it as well."
    parts = []
    for verdict, words in (
        (Verdict.NOT_COVERED, "does not cover"),
        (Verdict.UNKNOWN, "cannot be determined for"),
        (Verdict.NO_RULE, "no rule encoded for"),
    ):
        labels = list(
            dict.fromkeys(
                within_sentence(registry()[f.variable].label)
                for f in attempt.obstacles
                if f.verdict is verdict
            )
        )
        if labels:
            parts.append(f"{words} {said_together(labels)}")
    return f"{attempt.record}: {'; '.join(parts) or 'says nothing that decides'}."


def _labels(labels: list[str]) -> str:
    """Labels one behind the other. Some hold a comma: it cannot part them too."""
    return "; ".join(labels)
