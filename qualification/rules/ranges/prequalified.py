"""Procedures that need no test: whether a weld keeps within the limits a code sets for them.

prequalified.toml holds rows of the same form as procedure.toml. They speak of the weld alone, so only kinds
of rule that look at no test may stand there, and no row may ask anything of one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from ..core.facts import Facts, Side, Weld
from ..core.findings import Finding, LineReport, Report, Verdict
from ..core.quantities import US
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.decisions import decided
from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow, read_rows
from ..tabular.schema import TablePlace
from .coverage import cover
from .kinds.basic import KINDS
from .ranges import TestRange
from .rule_context import Tested
from .special_rules import without_test

FILE = "prequalified"
KINDS_WITHOUT_TEST = ("fixed", "fixed_range", "not_encoded", "unlimited")


def read_prequalified(raw: Mapping[str, Any], place: TablePlace) -> tuple[RuleRow, ...]:
    """Raises TableError naming file and row, also for a row that would need a test."""
    rows = read_rows(raw, place, {name: KINDS[name].schema for name in KINDS_WITHOUT_TEST})
    for row in rows:
        if row.test_when or row.test_unless:
            raise place.fail(f"{row.citation.row} asks something of a test, and there is none")
    return rows


def has_prequalified(edition: Edition) -> bool:
    """True when the edition knows procedures that need no test."""
    return edition.has(FILE)


def prequalified(weld: Weld, edition: Edition, system: str = US) -> Report:
    """Hold a weld against the limits for procedures without a test, in the unit system the spec is kept in.

    Raises ValueError for an edition that has none.
    """
    if not has_prequalified(edition):
        raise ValueError(f"{edition.name} has no procedures that need no test")
    whole = derive(group(weld, edition))
    return Report(
        tuple(_line(whole.line_facts(index), index, edition, system) for index in range(len(whole.lines)))
    )


def answer_for(
    weld: Weld, ranges: Iterable[TestRange], edition: Edition, side: Side, system: str, *, without_test: bool
) -> Report:
    """A weld held against tests, or, `without_test`, against the limits for procedures that need none. Under
    an edition that has none of those the tests are asked either way; `ranges` is read only where they are."""
    if without_test and has_prequalified(edition):
        return prequalified(weld, edition, system)
    return cover(weld, list(ranges), edition, side)


def _line(facts: Facts, index: int, edition: Edition, system: str) -> LineReport:
    findings = tuple(
        finding
        for name in sorted(facts.choices("process"))
        for finding in _findings(facts, index, name, edition, system)
    )
    worst = max((f.verdict for f in findings if f.binds), default=Verdict.UNKNOWN)
    return LineReport(index, worst, findings, (), ())


def _findings(facts: Facts, index: int, process: str, edition: Edition, system: str) -> list[Finding]:
    rows: tuple[RuleRow, ...] = edition.more[FILE]
    limits = [
        limit
        for row in rows
        if process in row.standing
        for limit in KINDS[row.rule].make(Tested(Facts(), system, "", row, edition, process))
    ]
    limits += without_test(rows, edition, process)
    return [decided(limit.judge(facts, index), facts, edition.decisions, Side.PROCEDURE) for limit in limits]
