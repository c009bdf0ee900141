"""Values, ranges and findings in words: the one place that pages, PDFs and the JSON interface take them
from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ..core import gases
from ..core.findings import Attempt, Citation, Finding, LineReport, Report, Verdict
from ..core.printed_limits import limit_in_both
from ..core.quantities import US, show_both
from ..core.values import (
    MISSING,
    NOT_APPLICABLE,
    Absent,
    Allowed,
    Anything,
    Interval,
    NotEncoded,
    NotOnTest,
    Stated,
    Undetermined,
)
from ..core.words import within_sentence
from ..materials.iso_gases import say_symbol
from ..variables.definition import ValueKind, Variable
from ..variables.limits import Condition, Limit
from ..variables.metal_systems import PAIRS
from ..variables.registry import registry
from .entered_as import entered_as

NO_LIMIT, NO_RULE = "No limit", "No rule encoded"
"""What a range says where nothing limits a variable, and where the tables have no rule of it."""


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


def say_value(key: str, value: Stated, system: str) -> str:
    """A value in words: both unit systems for numbers, labels for choices."""
    if value is NOT_APPLICABLE:
        return "Not applicable"
    if isinstance(value, Absent):
        return "Not stated"
    if isinstance(value, Interval):
        return show_both(value, str(registry()[key].dimension), system)
    return say_allowed(key, value, system) if not isinstance(value, str) else value


def _say_wanting(allowed: Undetermined) -> str:
    """What a record leaves out, and what it says does not apply though a rule asks for it."""
    left_out, marked = (
        _and(
            [
                within_sentence(registry()[key].label)
                for key in allowed.needs
                if (key in allowed.marked) is said
            ]
        )
        for said in (False, True)
    )
    parts = [f"does not state {left_out}"] if left_out else []
    return " and ".join(
        [*parts, f"says that {marked} {'do' if len(allowed.marked) > 1 else 'does'} not apply"]
        if marked
        else parts
    )


NUMBERINGS = ("p_number", "f_number", "a_number")
"""Variables whose choices are a numbering, listed in its order."""


def say_allowed(key: str, allowed: Allowed | None, system: str) -> str:
    """A range in words, its ends rounded to the inside."""
    definition = registry()[key]
    if allowed is None or isinstance(allowed, Anything):
        return NO_LIMIT
    if isinstance(allowed, Undetermined):
        return f"Cannot be told: the test record {_say_wanting(allowed)}"
    if isinstance(allowed, NotOnTest):
        return "Not applicable, as on the test record"
    if isinstance(allowed, NotEncoded):
        return NO_RULE
    if isinstance(allowed, Interval):
        return limit_in_both(allowed, str(definition.dimension), system)
    if not allowed:
        return "Nothing"
    return "; ".join(_say_runs(definition, _in_order(key, allowed)))


RUN = 4
"""Choices of a numbering that follow one another are said as `P-1 to P-11C` from this many on."""


def _say_runs(definition: Variable, choices: Sequence[str]) -> list[str]:
    """Each choice in words; long runs of a numbering by their ends."""
    order = [choice.key for choice in definition.choices]
    if not definition.key.startswith(NUMBERINGS) or any(choice not in order for choice in choices):
        return [say_choice(definition, choice) for choice in choices]
    runs: list[list[str]] = []
    for choice in choices:
        if runs and order.index(choice) == order.index(runs[-1][-1]) + 1:
            runs[-1].append(choice)
        else:
            runs.append([choice])
    said: list[str] = []
    for run in runs:
        words = [say_choice(definition, choice) for choice in run]
        said += words if len(run) < RUN else [f"{words[0]} to {words[-1]}"]
    return said


def say_choice(definition: Variable, choice: str) -> str:
    if definition.kind is ValueKind.GAS:
        return gases.label(choice)
    if definition.key == "metal_pair":
        return " to ".join(choice.split("|"))
    if definition.key in PAIRS:
        return _say_pair(definition.key, choice)
    if definition.key in ("iso_gas", "iso_backing_gas"):
        return say_symbol(choice)
    return definition.choice_label(choice)


@lru_cache(maxsize=65536)
def _say_pair(key: str, pair: str) -> str:
    return " to ".join(PAIRS[key].say(part) for part in pair.split("|"))


@lru_cache(maxsize=2048)
def _in_order(key: str, choices: frozenset[str]) -> tuple[str, ...]:
    """As the variable lists them, others by their numbers. One answer may put the same thousands in order for
    each of its lines."""
    order = {choice.key: position for position, choice in enumerate(registry()[key].choices)}
    in_order = sorted(choices, key=lambda choice: (order.get(choice, len(order)), _natural(choice)))
    return tuple(in_order)


def _natural(text: str) -> tuple[tuple[int, str], ...]:
    parts: list[tuple[int, str]] = []
    for part in text.replace("|", " ").split():
        digits = "".join(c for c in part if c.isdecimal())
        parts.append((int(digits) if digits else 0, part))
    return tuple(parts)


def say_conditions(
    conditions: tuple[Condition, ...], unless: tuple[tuple[Condition, ...], ...], system: str
) -> str:
    """When a limit speaks, in words; numbers in the units of `system`."""
    words = [_say_condition(c, system) for c in conditions]
    text = "; ".join(words)
    exempt = " or ".join(" and ".join(_say_condition(c, system) for c in group) for group in unless)
    if exempt:
        text = f"{text}; unless {exempt}" if text else f"unless {exempt}"
    return text


def _say_condition(condition: Condition, system: str) -> str:
    definition, allowed = registry()[condition.variable], condition.allowed
    if isinstance(allowed, Anything):
        return f"{within_sentence(definition.label)} given"
    if isinstance(allowed, frozenset):
        words = " or ".join(
            within_sentence(say_choice(definition, choice))
            for choice in _in_order(condition.variable, allowed)
        )
    elif isinstance(allowed, Interval):
        words = show_both(allowed, str(definition.dimension), system)
    else:
        words = within_sentence(say_allowed(condition.variable, allowed, system))
    return f"{within_sentence(definition.label)}: {words}"


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
            f"Covered by {_and(report.relied_on)}."
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
            parts.append(f"{words} {_and(labels)}")
    return f"{attempt.record}: {'; '.join(parts) or 'says nothing that decides'}."


def _labels(labels: list[str]) -> str:
    """Labels one behind the other. Some hold a comma: it cannot part them too."""
    return "; ".join(labels)


def _and(words: tuple[str, ...] | list[str]) -> str:
    *before, last = words or ("",)
    return f"{', '.join(before)} and {last}" if before else last
