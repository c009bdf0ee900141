"""Limits a shop, a customer or a job lays over a code: they narrow what a test qualifies and never widen it.

A house limit is judged like any other and added to the report, so a weld is covered only when the code and
every house limit in force cover it; its finding names whose limit it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..core.facts import Facts, Weld
from ..core.findings import Citation, Finding, LineReport, Provenance, Report, VariableClass, Verdict
from ..core.values import Interval
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..variables.definition import PROCESSES, Level, Variable
from ..variables.limits import Condition, Limit
from ..variables.registry import variable

FILLER = "Filler metal"
"""Group of the variables that say nothing of a weld made without filler."""


@dataclass(frozen=True)
class HouseLimit:
    """One extra limit."""

    owner: str
    """Whose it is, in words: `Tidewater Gangway Works`, `customer Port Ellery`, `job 2107`."""
    variable: str
    allowed: Interval | frozenset[str]
    reason: str
    """Why, or where it stands: a purchase order, a drawing note. One sentence."""
    processes: frozenset[str] = frozenset()
    """Processes it speaks of; empty for all."""

    def as_limit(self) -> Limit:
        """The limit as the engine judges it: only on processes that have the variable, and only where the
        weld is such that the variable says something. The owner is its source, so it counts as the shop's own
        number."""
        return Limit(
            variable=self.variable,
            allowed=self.allowed,
            standing=VariableClass.ESSENTIAL,
            because=self.reason,
            when=self._when(),
            citation=Citation(
                code=f"Limit of {self.owner}",
                edition="",
                clause=f"Limit of {self.owner}",
                provenance=Provenance.SHOP,
            ),
        )

    def _when(self) -> tuple[Condition, ...]:
        definition = variable(self.variable)
        meant = definition.processes & self.processes if self.processes else definition.processes
        named = (Condition("process", meant),) if meant != frozenset(PROCESSES) else ()
        return (*named, *_where_meaningful(definition))


def _where_meaningful(definition: Variable) -> tuple[Condition, ...]:
    """A groove angle says nothing of a fillet, an outside diameter nothing of plate."""
    if definition.shown_when is None:
        return ()
    key, choices = definition.shown_when
    return (*_where_meaningful(variable(key)), Condition(key, choices))


def narrowed(report: Report, weld: Weld, limits: Sequence[HouseLimit], edition: Edition) -> Report:
    """The report with every house limit judged on every process line; a line's verdict can only get worse."""
    found = held_to(weld, limits, edition)
    return replace(report, lines=tuple(_with(line, found[line.line]) for line in report.lines))


def held_to(weld: Weld, limits: Sequence[HouseLimit], edition: Edition) -> tuple[tuple[Finding, ...], ...]:
    """What the limits say of each process line of a weld, whoever welds it and by whatever test."""
    if not limits:
        return ((),) * len(weld.lines)
    whole = derive(group(weld, edition))
    return tuple(_findings(whole.line_facts(line), line, limits) for line in range(len(whole.lines)))


def is_welded_outside(coupon: Weld, limits: Sequence[HouseLimit], edition: Edition) -> bool:
    """True when a coupon would be welded in a way that a limit forbids: with another gas, filler, transfer
    mode. What it is made of and how thick it is no limit on the work speaks of: a coupon is evidence, often
    beyond the work."""
    speaking = [
        limit
        for limit in limits
        if variable(limit.variable).level is Level.LINE and isinstance(limit.allowed, frozenset)
    ]
    return any(
        finding.verdict is Verdict.NOT_COVERED
        for line in held_to(coupon, speaking, edition)
        for finding in line
    )


def _findings(facts: Facts, line: int, limits: Sequence[HouseLimit]) -> tuple[Finding, ...]:
    return tuple(
        limit.as_limit().judge(facts, line) for limit in limits if not _is_of_no_filler(limit, facts)
    )


def _with(line: LineReport, found: tuple[Finding, ...]) -> LineReport:
    worst = max((finding.verdict for finding in found), default=line.verdict)
    return replace(line, findings=(*line.findings, *found), verdict=max(line.verdict, worst))


def _is_of_no_filler(limit: HouseLimit, facts: Facts) -> bool:
    """True for a limit on the filler of a weld made without any."""
    return (
        facts.is_only("filler_used", "no")
        and limit.variable != "filler_used"
        and variable(limit.variable).group == FILLER
    )
