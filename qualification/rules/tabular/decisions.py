"""What the shop's responsible person read in the code where the tables here have no rule.

A decision answers one finding: this variable, entered so, beside this coupon, under this row of the tables.
It speaks only where the answer would be “no rule encoded”, so a rule that the tables gain later takes its
place by itself, and an entry changed afterwards is a new question.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from ..core.facts import Facts
from ..core.findings import Finding, Provenance, Verdict
from ..core.values import Absent, Allowed, Interval, Stated, lies_within

CONTEXT = (
    "process",
    "operation",
    "weld_type",
    "joint_form",
    "product_form",
    "base_metal_a",
    "base_metal_b",
    "thickness_thinner",
    "thickness_thicker",
    "diameter",
    "position",
    "transfer_mode",
    "filler_classification",
    "toughness_required",
)
"""An answer read for one weld says nothing of another: it holds while these are as they were, or less."""


@dataclass(frozen=True)
class Question:
    """One finding without a rule, told apart from every other: exact values, not their words."""

    side: str
    variable: str
    row: str
    """Where the row without a rule stands in the tables."""
    qualified: str
    tested: str
    found: str
    context: Mapping[str, str]
    """What else of the weld a reader of the code has before them; see `CONTEXT`."""


@dataclass(frozen=True)
class Decision:
    """The answer of a person who has the code at hand."""

    question: Question
    covered: bool
    clause: str
    """As read in the shop's own copy."""
    copy: str
    words: str
    person: str
    day: date

    def speaks_of(self, asked: Question) -> bool:
        """True when the answer holds for that question: the same, or, of what is covered, a part."""
        own = self.question
        if not self.covered or own == asked:
            return own == asked
        alike = replace(own, found="", context={}) == replace(asked, found="", context={})
        return alike and _is_part(asked.found, own.found) and _context_is_part(asked.context, own.context)

    @property
    def sentence(self) -> str:
        """Whose answer it is and where it was read, as pages and papers say it."""
        return (
            f"{self.words} Decided by {self.person} on {self.day.isoformat()}, clause {self.clause} of"
            f" {self.copy}; the tables of this program have no rule here."
        )


def question_of(finding: Finding, facts: Facts, side: str) -> Question:
    """What a finding asks, so that the same question is known again."""
    return Question(
        side,
        finding.variable,
        finding.citation.row,
        exact(finding.qualified),
        exact(finding.tested),
        exact(finding.found),
        {name: exact(facts[name]) for name in CONTEXT},
    )


def decided(finding: Finding, facts: Facts, decisions: Sequence[Decision], side: str) -> Finding:
    """The finding, or the responsible person's answer to it where no rule is encoded and there is one; of
    several the latest counts. Nothing else is ever answered so: what a rule refuses stays refused, and what
    is missing stays missing."""
    if finding.verdict is not Verdict.NO_RULE or not decisions:
        return finding
    asked = question_of(finding, facts, side)
    answer = next((each for each in reversed(decisions) if each.speaks_of(asked)), None)
    if answer is None:
        return finding
    return replace(
        finding,
        verdict=Verdict.COVERED if answer.covered else Verdict.NOT_COVERED,
        because=answer.sentence,
        note=answer.sentence if answer.covered else "",
        citation=replace(
            finding.citation, clause=answer.clause, provenance=Provenance.SHOP, sources=(), remark=""
        ),
    )


def exact(value: Stated | Allowed | None) -> str:
    """A value as text that is equal exactly where the value is."""
    if isinstance(value, Interval):
        low, high = (_number(end) for end in (value.low, value.high))
        return f"{'(' if value.low_open else '['}{low}, {high}{')' if value.high_open else ']'}"
    if isinstance(value, frozenset):
        return "; ".join(sorted(map(str, value)))
    if isinstance(value, Absent):
        return value.name.lower()
    if isinstance(value, str):
        return f"“{' '.join(value.split()).casefold()}”"
    return "" if value is None else repr(value)


def _context_is_part(part: Mapping[str, str], whole: Mapping[str, str]) -> bool:
    return part.keys() == whole.keys() and all(_is_part(part[name], whole[name]) for name in part)


def _is_part(part: str, whole: str) -> bool:
    """True when a value, as `exact` writes it, lies inside another."""
    inner, outer = _interval_of(part), _interval_of(whole)
    if inner is None or outer is None:
        return inner is outer and set(part.split("; ")) <= set(whole.split("; "))
    return lies_within(inner, outer)


def _interval_of(text: str) -> Interval | None:
    if not (text[:1] in "[(" and text[-1:] in "])" and ", " in text):
        return None
    low, high = text[1:-1].split(", ")
    return Interval(
        Decimal(low) if low else None,
        Decimal(high) if high else None,
        low_open=text[0] == "(",
        high_open=text[-1] == ")",
    )


def _number(end: Decimal | None) -> str:
    return "" if end is None else f"{end.normalize():f}"
