"""What a test qualifies: every limit of every line of a coupon, under one edition, for procedure or welder.

A coupon whose required results are missing or failed issues no range at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from ..core.facts import Coupon, Facts, Side
from ..core.values import Absent, Undetermined
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow
from ..variables.limits import Limit, Truth
from .kinds.basic import KINDS
from .made_before import MadeBefore
from .rule_context import Tested
from .said import Binding, Said, bindings, said
from .special_rules import beside_special


@dataclass(frozen=True)
class LineRange:
    """The range one tested line qualifies."""

    record: str
    line: int
    process: str
    facts: Facts
    """The line as tested, grouped and derived."""
    limits: tuple[Limit, ...]

    @cached_property
    def binding(self) -> tuple[Binding, ...]:
        """The limits that decide, each with what it says."""
        return bindings(self.limits)

    @cached_property
    def says(self) -> Said:
        """The same object for lines that qualify the same, whatever their record is called."""
        return said((self.stands_for, tuple(sorted((each.says for each in self.binding), key=id))))

    @cached_property
    def stands_for(self) -> frozenset[str]:
        """Processes that may rest on this line: its own, or what its limit on the process allows."""
        for limit in self.limits:
            if limit.variable == "process" and isinstance(limit.allowed, frozenset):
                return limit.allowed
        return frozenset({self.process})


@dataclass(frozen=True)
class TestRange:
    """The range of qualification of one test record."""

    __test__ = False  # not a test class, whatever pytest makes of the name

    record: str
    side: Side
    edition: str
    lines: tuple[LineRange, ...]
    refusals: tuple[str, ...] = ()
    """Why no range is issued; `lines` is empty then."""


def rules_of(edition: Edition, side: Side) -> tuple[RuleRow, ...]:
    """The rows by which tests of that side are judged; empty where the edition has none."""
    return edition.procedure if side is Side.PROCEDURE else edition.welder


def without_rules(edition: Edition, side: Side) -> str:
    """Why nothing is judged where there are no such rows."""
    if edition.is_content_list:
        return (
            f"{edition.name} is here as a content list only: it says what a record has to state, and no rule"
            " of it is encoded, so nothing is covered under it."
        )
    return f"{edition.name} has no rules for a {side.value} test."


def range_qualified(
    coupon: Coupon, edition: Edition, side: Side, before: MadeBefore | None = None
) -> TestRange:
    """The range of qualification a coupon yields, each limit with its clause. `before`: limits made for other
    coupons under this edition, where many are read one after another."""
    if coupon.refusals:
        return TestRange(coupon.record, side, edition.id, (), coupon.refusals)
    weld = derive(group(coupon.weld, edition))
    if not weld.lines:
        return TestRange(coupon.record, side, edition.id, (), ("The record has no process line.",))
    rows = rules_of(edition, side)
    if not rows:
        return TestRange(coupon.record, side, edition.id, (), (without_rules(edition, side),))
    lines: list[LineRange] = []
    refusals: list[str] = []
    for index in range(len(weld.lines)):
        facts = weld.line_facts(index)
        name = facts.choice("process")
        if name is None:
            refusals.append(f"Line {index + 1} does not state one welding process.")
            continue
        if name not in edition.processes:
            refusals.append(f"{edition.name} has no rules here for {name} (line {index + 1}).")
            continue
        limits = tuple(
            _marked(limit, facts)
            for row in rows
            if name in row.standing
            for limit in _made(facts, coupon, row, edition, name, before)
        )
        limits = beside_special(limits, rows, edition, name, coupon.record, facts)
        lines.append(LineRange(coupon.record, index, name, facts, limits))
    return TestRange(coupon.record, side, edition.id, tuple(lines), tuple(refusals) if not lines else ())


def _marked(limit: Limit, facts: Facts) -> Limit:
    """An open limit with those values it waits for that the record does not leave out but says do not
    apply."""
    if not isinstance(limit.allowed, Undetermined):
        return limit
    marked = tuple(key for key in limit.allowed.needs if facts[key] is Absent.NOT_APPLICABLE)
    return replace(limit, allowed=replace(limit.allowed, marked=marked)) if marked else limit


def _made(
    facts: Facts, coupon: Coupon, row: RuleRow, edition: Edition, process: str, before: MadeBefore | None
) -> Sequence[Limit]:
    if before is None:
        return _limits(facts, coupon, row, edition, process)
    key = (id(row), process, coupon.system, coupon.record)
    return before.of(key, facts, lambda seen: tuple(_limits(seen, coupon, row, edition, process)))


def limits_of(facts: Facts, coupon: Coupon, row: RuleRow, edition: Edition, process: str) -> list[Limit]:
    """What one row makes of one tested line; the row has to speak of the process."""
    return [_marked(limit, facts) for limit in _limits(facts, coupon, row, edition, process)]


def _limits(facts: Facts, coupon: Coupon, row: RuleRow, edition: Edition, process: str) -> list[Limit]:
    tested = Tested(facts, coupon.system, coupon.record, row, edition, process)
    if any(tested.exempted_by(exemption) is Truth.YES for exemption in row.test_unless):
        return []
    truth = tested.holds(row.test_when)
    if truth is Truth.NO:
        return []
    if truth is Truth.UNKNOWN:
        needs = tested.open_in(row.test_when)
        # A row that only lifts limits cannot make anything unknown by staying silent.
        return [] if row.rule == "frees_upper_thickness" else [tested.limit(Undetermined(needs))]
    return KINDS[row.rule].make(tested)
