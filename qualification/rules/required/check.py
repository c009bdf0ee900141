"""Does a record state what its code wants stated? One answer for each item: stated, not applicable, or
missing.

An item does not arise where its circumstances do not hold, where the process does not have the variable, or
where another entry makes it meaningless; then it is left out. `n/a` on the record is an answer of its own:
somebody said so.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from ..core.facts import Facts, Weld
from ..core.findings import Citation, VariableClass
from ..core.quantities import US
from ..core.values import MISSING, NOT_APPLICABLE
from ..core.words import within_sentence
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow
from ..tabular.schema import ConditionSpec
from ..variables.definition import PROCESSES, Level, RecordKind
from ..variables.limits import Condition, Truth
from ..variables.record_fields import RECORD_FIELDS
from ..variables.registry import registry
from .items import Content, ContentRow, Need

FILE = "content"
Place = tuple[int | None, str]
"""Process line, `None` for the joint or the record, and key of a variable or field."""


class Status(StrEnum):
    STATED = "stated"
    NOT_APPLICABLE = "not_applicable"
    """The record says that it does not apply."""
    MISSING = "missing"
    OPEN = "open"
    """Whether it is asked for hangs on something else that is missing."""

    @property
    def words(self) -> str:
        return {
            Status.STATED: "Stated",
            Status.NOT_APPLICABLE: "Not applicable",
            Status.MISSING: "Not stated",
            Status.OPEN: "Depends on what is not stated",
        }[self]


@dataclass(frozen=True)
class Item:
    """One thing to be stated, and whether it is."""

    names: tuple[str, ...]
    """Keys of variables or fields, any one of which states it."""
    line: int | None
    status: Status
    need: Need
    because: str
    citation: Citation

    @property
    def label(self) -> str:
        """`Filler diameter`; `Amps or wire feed speed` where either is enough."""
        first, *others = (
            RECORD_FIELDS[key].label if key in RECORD_FIELDS else registry()[key].label for key in self.names
        )
        return " or ".join([first, *map(within_sentence, others)])

    @property
    def is_of_record(self) -> bool:
        """True where it is a field of the record and not a variable of the weld."""
        return self.names[0] in RECORD_FIELDS


def asks_for(edition: Edition, use: RecordKind, name: str) -> bool:
    """True when the edition wants that field on such a record."""
    return any(name in row.names for row in _rows_for(edition, use))


def check_content(
    edition: Edition,
    use: RecordKind,
    weld: Weld,
    fields: Mapping[str, str],
    unread: Collection[Place] = (),
    system: str = US,
) -> tuple[Item, ...]:
    """Every item that arises for the record, in the order of the tables.

    `weld` as read, nothing derived yet; `fields` what the record states besides, by keys of `RECORD_FIELDS`,
    empty where it does not; `unread` entries that are typed and cannot be read: those are pointed at
    elsewhere and count as stated here. Empty for an edition that has no such table.
    """
    checker = _Checker(edition, use, derive(group(weld, edition)), fields, frozenset(unread), system)
    found: dict[tuple[int | None, tuple[str, ...]], Item] = {}
    for row in _rows_for(edition, use):
        told = {(item.line, name) for item in found.values() if row.of_rules for name in item.names}
        for item in checker.items(row):
            known = found.get((item.line, item.names))
            if (
                known is None
                and (item.line, item.names[0]) not in told
                or known is not None
                and known.status is Status.OPEN
            ):
                found[item.line, item.names] = item
    return tuple(found.values())


def missing(items: Collection[Item], *, required_only: bool = False) -> tuple[Item, ...]:
    """The items that are not stated, those the code requires first."""
    found = [
        item
        for item in items
        if item.status is Status.MISSING and (item.need is Need.REQUIRED or not required_only)
    ]
    return tuple(sorted(found, key=lambda item: item.need is not Need.REQUIRED))


def _rows_for(edition: Edition, use: RecordKind) -> tuple[ContentRow, ...]:
    content = edition.more.get(FILE)
    return content.rows.get(use, ()) if isinstance(content, Content) else ()


@dataclass(frozen=True)
class _Checker:
    edition: Edition
    use: RecordKind
    weld: Weld
    fields: Mapping[str, str]
    unread: frozenset[Place]
    system: str

    def items(self, row: ContentRow) -> Iterator[Item]:
        if row.of_rules:
            yield from self._items_of_rules(row)
        elif row.level is Level.LINE:
            for index in range(len(self.weld.lines)):
                yield from self._item(row, row.names, index, row.when)
        elif not row.processes or any(
            self.weld.lines[index].choices("process") & row.processes for index in range(len(self.weld.lines))
        ):
            yield from self._item(row, row.names, None, row.when)

    def _facts(self, line: int | None) -> Facts:
        return self.weld.joint if line is None else self.weld.line_facts(line)

    def _item(
        self, row: ContentRow, names: tuple[str, ...], line: int | None, when: tuple[ConditionSpec, ...]
    ) -> Iterator[Item]:
        if (
            line is not None
            and row.processes
            and not self.weld.lines[line].choices("process") & row.processes
        ):
            return
        possible = tuple(name for name in names if self._arises(name, line) is not Truth.NO)
        truth = self._holds(when, line)
        if not possible or truth is Truth.NO or any(self._holds_whole(each, line) for each in row.unless):
            return
        status = self._status(possible, line)
        if status is Status.MISSING and (
            truth is Truth.UNKNOWN or all(self._arises(name, line) is Truth.UNKNOWN for name in possible)
        ):
            status = Status.OPEN
        yield Item(possible, line, status, row.need, row.because, row.citation)

    def _holds(self, when: tuple[ConditionSpec, ...], line: int | None) -> Truth:
        facts = self._facts(line)
        truths = [condition.of(self.system).holds(facts) for condition in when]
        return min(truths, key=lambda truth: truth.value, default=Truth.YES)

    def _arises(self, name: str, line: int | None) -> Truth:
        """Whether the weld has the variable at all: its process may not, or another entry may make it
        meaningless."""
        if name in RECORD_FIELDS:
            return Truth.YES
        variable = registry()[name]
        if variable.level is Level.LINE and (
            line is None or not self.weld.lines[line].choices("process") <= variable.processes
        ):
            return Truth.NO
        if variable.shown_when is None or self.use not in registry()[variable.shown_when[0]].uses:
            return Truth.YES
        key, choices = variable.shown_when
        control, stated = self._arises(key, line), self._facts(line)[key]
        if control is Truth.YES and stated is not MISSING:
            return Truth.YES if isinstance(stated, frozenset) and stated & choices else Truth.NO
        return Truth.NO if control is Truth.NO else Truth.UNKNOWN

    def _status(self, names: tuple[str, ...], line: int | None) -> Status:
        found = [self._status_of(name, line) for name in names]
        for best in (Status.STATED, Status.NOT_APPLICABLE):
            if best in found:
                return best
        return Status.MISSING

    def _status_of(self, name: str, line: int | None) -> Status:
        if name in RECORD_FIELDS:
            return Status.STATED if self.fields.get(name, "").strip() else Status.MISSING
        place = line if registry()[name].level is Level.LINE else None
        if (place, name) in self.unread:
            return Status.STATED
        value = self._facts(line)[name]
        if value is MISSING:
            return Status.MISSING
        return Status.NOT_APPLICABLE if value is NOT_APPLICABLE else Status.STATED

    def _items_of_rules(self, row: ContentRow) -> Iterator[Item]:
        """The variables that the edition's rules give one of the standings, each with the clause of its rule.
        What follows from other entries is asked for by rows that name those entries."""
        rules = self.edition.welder if self.use is RecordKind.WELDER_TEST else self.edition.procedure
        for rule in rules:
            definition = registry()[rule.variable]
            if definition.derived or self.use not in definition.uses or rule.variable in row.leaving_out:
                continue
            asked = replace(
                row,
                citation=rule.citation,
                processes=_processes_of(rule, row.of_rules) & (row.processes or _ALL),
            )
            if asked.processes and not self._exempt(rule):
                yield from self._of_rule(asked, rule.variable, (*row.when, *self._circumstances(rule)))

    def _circumstances(self, rule: RuleRow) -> Iterator[ConditionSpec]:
        """What has to hold for the rule to speak, on the test or on the weld, as far as this record states
        it."""
        for condition in (*rule.test_when, *rule.weld_when):
            definition = registry()[condition.variable]
            if condition.variable != rule.variable and (definition.derived or self.use in definition.uses):
                yield condition

    def _of_rule(self, row: ContentRow, name: str, when: tuple[ConditionSpec, ...]) -> Iterator[Item]:
        if registry()[name].level is Level.LINE:
            for index in range(len(self.weld.lines)):
                yield from self._item(row, (name,), index, when)
            return
        for index in range(len(self.weld.lines)):
            if (
                self.weld.lines[index].choices("process") & row.processes
                and self._holds(when, index) is not Truth.NO
            ):
                yield from self._item(replace(row, processes=frozenset()), (name,), None, _of_joint(when))
                return

    def _exempt(self, rule: RuleRow) -> bool:
        """True where the rule says of itself that it is silent for every line of this weld."""
        unless = rule.weld_unless if self.use is RecordKind.SPEC else rule.test_unless
        lines = range(len(self.weld.lines))
        return bool(unless) and all(any(self._holds_whole(each, index) for each in unless) for index in lines)

    def _holds_whole(self, conditions: tuple[ConditionSpec, ...], line: int | None) -> bool:
        held: list[Condition] = [condition.of(self.system) for condition in conditions]
        return all(condition.holds_for_all(self._facts(line)) is Truth.YES for condition in held)


_ALL = frozenset(PROCESSES)


def _processes_of(rule: RuleRow, standings: frozenset[VariableClass]) -> frozenset[str]:
    return frozenset(process for process, standing in rule.standing.items() if standing in standings)


def _of_joint(when: tuple[ConditionSpec, ...]) -> tuple[ConditionSpec, ...]:
    return tuple(condition for condition in when if registry()[condition.variable].level is Level.JOINT)
