"""What each row said of a test and a weld, in words: the same on page and in JSON."""

from __future__ import annotations

from dataclasses import dataclass

from ..core.findings import Citation, Verdict
from ..core.words import within_sentence
from ..entries.wording import say_allowed, say_conditions, say_value
from ..variables.registry import registry
from .every_row import Answer, AskedRow, Held


@dataclass(frozen=True)
class SaidRow:
    """One row and its answer."""

    citation: Citation
    label: str
    """The variable it limits."""
    because: str
    key: str
    """`spoke`, `open`, `not_met`, `exempt`, `other_process`, or `silent` where it spoke of the test and not
    of the weld."""
    verdict: str
    """The worst of its findings on the weld (`Verdict.key`); empty where it did not speak of one."""
    words: tuple[str, ...]
    """Each limit, or why there is none."""
    is_encoded: bool


def say_row(asked: AskedRow, system: str) -> SaidRow:
    """The row in words, in the unit system of the test."""
    speaking = [h.finding for h in asked.held if h.finding and h.finding.verdict > Verdict.NOT_APPLICABLE]
    silent = any(h.finding for h in asked.held) and not speaking
    return SaidRow(
        asked.row.citation,
        registry()[asked.row.variable].label,
        asked.row.because,
        "silent" if silent else asked.answer.name.lower(),
        max(finding.verdict for finding in speaking).key if speaking else "",
        tuple(_say(asked, system)),
        asked.is_encoded,
    )


def _say(asked: AskedRow, system: str) -> list[str]:
    conditions = within_sentence(say_conditions(asked.conditions, (), system))
    if asked.answer is Answer.OTHER_PROCESS:
        return [f"Speaks of {', '.join(asked.row.standing)} only."]
    if asked.answer is Answer.NOT_MET:
        return [f"Speaks only of a test with {conditions}."]
    if asked.answer is Answer.EXEMPT:
        return [f"Does not speak of a test with {conditions}."]
    several = len({held.finding.verdict for held in asked.held if held.finding}) > 1
    return [_say_held(held, system, several) for held in asked.held] or ["Takes away a limit and sets none."]


def _say_held(held: Held, system: str, with_verdict: bool) -> str:
    """`with_verdict` where the row's limits come to different ones; else that of the row says it."""
    limit, finding = held.limit, held.finding
    qualified = within_sentence(say_allowed(limit.variable, limit.allowed, system))
    allowed = f"{registry()[limit.variable].label}: {qualified}"
    if finding is None:
        when = say_conditions(limit.when, limit.unless, system)
        return f"{allowed} ({within_sentence(when)})." if when else f"{allowed}."
    if held.unmet:
        return f"{allowed}, only for a weld with {within_sentence(say_conditions(held.unmet, (), system))}."
    if held.exempting:
        return (
            f"{allowed}, not for a weld with {within_sentence(say_conditions(held.exempting, (), system))}."
        )
    found = within_sentence(say_value(limit.variable, finding.found, system))
    verdict = f"{finding.verdict.words}. " if with_verdict else ""
    return f"{verdict}{allowed}; the weld: {found}."
