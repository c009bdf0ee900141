"""Limits a shop, a customer or a job lays over a code: they narrow what a test qualifies and never widen it.

A house limit is judged like any other and added to the report, so a weld is covered only when the code and
every house limit in force cover it; its finding names whose limit it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .derive import derive
from .facts import Facts, Weld
from .findings import Citation, Finding, LineReport, Provenance, Report, Standing
from .grouping import group
from .limits import Condition, Limit
from .tables import Edition
from .values import Interval


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
        """The limit as the engine judges it. The owner is its source, so it counts as the shop's own number."""
        when = (Condition("process", self.processes),) if self.processes else ()
        return Limit(
            variable=self.variable, allowed=self.allowed, standing=Standing.ESSENTIAL, because=self.reason, when=when,
            citation=Citation(code=f"Limit of {self.owner}", edition="", clause=f"Limit of {self.owner}", provenance=Provenance.SHOP),
        )


def narrowed(report: Report, weld: Weld, limits: Sequence[HouseLimit], edition: Edition) -> Report:
    """The report with every house limit judged on every process line; a line's verdict can only get worse."""
    if not limits:
        return report
    whole = derive(group(weld, edition))
    return replace(report, lines=tuple(_with(line, whole.line_facts(line.line), limits) for line in report.lines))


def _with(line: LineReport, facts: Facts, limits: Sequence[HouseLimit]) -> LineReport:
    found: tuple[Finding, ...] = tuple(limit.as_limit().judge(facts, line.line) for limit in limits)
    worst = max((finding.verdict for finding in found), default=line.verdict)
    return replace(line, findings=(*line.findings, *found), verdict=max(line.verdict, worst))
