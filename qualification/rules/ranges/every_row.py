"""Every row of an edition asked about one test, and about a weld held against it: which spoke, and why the
others did not. `ranges.py` keeps the limits alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from ..core.facts import Coupon, Facts, Side, Weld
from ..core.findings import Finding, Verdict
from ..core.values import Absent
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.decisions import decided
from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow
from ..variables.limits import Condition, Limit, Truth
from .ranges import limits_of, rules_of
from .rule_context import Tested
from .special_rules import beside_others


class Answer(StrEnum):
    """What a row said of the test."""

    SPOKE = "spoke"
    OPEN = "waits for an entry"
    """An entry of the test that its conditions look at is missing."""
    NOT_MET = "condition not met"
    EXEMPT = "exempt"
    OTHER_PROCESS = "another process"


@dataclass(frozen=True)
class Held:
    """One limit that a row made, and how the weld stands to it."""

    limit: Limit
    finding: Finding | None
    """`None` where no weld was asked about."""
    unmet: tuple[Condition, ...] = ()
    """Of its conditions on the weld, those that do not hold; it says nothing of such a weld."""
    exempting: tuple[Condition, ...] = ()
    """Conditions that all hold for the weld and lift the limit."""


@dataclass(frozen=True)
class AskedRow:
    row: RuleRow
    answer: Answer
    held: tuple[Held, ...] = ()
    conditions: tuple[Condition, ...] = ()
    """Those on the test that kept the row from speaking, or that it waits for."""

    @property
    def is_encoded(self) -> bool:
        return self.row.rule != "not_encoded"


@dataclass(frozen=True)
class AskedLine:
    """Every row of one side, asked about one line of one test."""

    record: str
    line: int
    process: str
    weld_line: int | None
    """Line of the weld that was held against it, counted from 0; `None` where there is none."""
    rows: tuple[AskedRow, ...]

    def count(self, answer: Answer) -> int:
        return sum(each.answer is answer for each in self.rows)


def every_row(
    coupon: Coupon, edition: Edition, side: Side, weld: Weld | None = None
) -> tuple[AskedLine, ...]:
    """Every row asked about each line of the coupon that states one process of the edition; with a weld,
    once for each of its lines of that process."""
    tested = derive(group(coupon.weld, edition))
    rows = rules_of(edition, side)
    if not rows:
        return ()
    asked = derive(group(weld, edition)) if weld is not None else None
    found = []
    for index in range(len(tested.lines)):
        facts = tested.line_facts(index)
        process = _only(facts)
        if process not in edition.processes:
            continue
        welds = list(_of_process(asked, process)) if asked is not None else [(None, None)]
        for number, of_weld in welds:
            answers = (_ask(facts, coupon, row, edition, process, side, of_weld, number) for row in rows)
            found.append(AskedLine(coupon.record, index, process, number, tuple(answers)))
    return tuple(found)


def _only(facts: Facts) -> str:
    return facts.choice("process") or ""


def _of_process(weld: Weld, process: str) -> Iterator[tuple[int | None, Facts | None]]:
    for index in range(len(weld.lines)):
        facts = weld.line_facts(index)
        if facts.is_only("process", process):
            # As coverage asks first; a root of its own is asked about once more, where a code knows one.
            yield index, facts.including({"root_on_other_test": frozenset({"no"})})


def _ask(
    facts: Facts,
    coupon: Coupon,
    row: RuleRow,
    edition: Edition,
    process: str,
    side: Side,
    weld: Facts | None,
    line: int | None,
) -> AskedRow:
    if process not in row.standing:
        return AskedRow(row, Answer.OTHER_PROCESS)
    tested = Tested(facts, coupon.system, coupon.record, row, edition, process)
    for exemption in row.test_unless:
        if tested.exempted_by(exemption) is Truth.YES:
            return AskedRow(row, Answer.EXEMPT, conditions=tested.conditions(exemption))
    truth = tested.holds(row.test_when)
    conditions = tested.conditions(row.test_when)
    if truth is Truth.NO:
        unmet = tuple(c for c in conditions if c.holds(facts) is Truth.NO)
        return AskedRow(row, Answer.NOT_MET, conditions=unmet)
    held = tuple(
        _held(beside_others(limit), edition, side, weld, line)
        for limit in limits_of(facts, coupon, row, edition, process)
    )
    if truth is Truth.UNKNOWN:
        waiting = tuple(
            c for c in conditions if isinstance(facts[c.variable], Absent) and c.holds(facts) is Truth.UNKNOWN
        )
        return AskedRow(row, Answer.OPEN, held, waiting)
    return AskedRow(row, Answer.SPOKE, held)


def _held(limit: Limit, edition: Edition, side: Side, weld: Facts | None, line: int | None) -> Held:
    if weld is None:
        return Held(limit, None)
    finding = decided(limit.judge(weld, line), weld, edition.decisions, side)
    if finding.verdict is not Verdict.NOT_APPLICABLE:
        return Held(limit, finding)
    unmet = tuple(c for c in limit.when if c.holds(weld) is Truth.NO)
    lifting = (each for each in limit.unless if all(c.holds_for_all(weld) is Truth.YES for c in each))
    return Held(limit, finding, unmet, () if unmet else next(lifting, ()))
