"""One tested line read under one row of a matrix: what every kind of rule starts from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from ..core.facts import Facts
from ..core.values import Absent, Allowed, Interval, NotOnTest, Undetermined
from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow
from ..tabular.schema import Column, ConditionSpec
from ..variables.absence import has_none
from ..variables.limits import Condition, Limit, Truth, comparable
from ..variables.metal_systems import MetalSystem
from ..variables.registry import registry


@dataclass(frozen=True)
class Tested:
    """One line of one coupon, and the row to read it under."""

    facts: Facts
    system: str
    record: str
    row: RuleRow
    edition: Edition
    process: str

    def limit(self, allowed: Allowed, **more: object) -> Limit:
        """A limit on the row's variable with the row's conditions, unless `more` says otherwise."""
        row = self.row
        settings: dict[str, object] = {
            "variable": row.variable,
            "allowed": allowed,
            "standing": row.standing[self.process],
            "citation": row.citation,
            "because": row.because,
            "record": self.record,
            "tested": self.facts[str(more.get("variable", row.variable))],
            "when": self.conditions(row.weld_when),
            "unless": tuple(self.conditions(c) for c in row.weld_unless),
        }
        settings.update(more)
        return Limit(**settings)  # type: ignore[arg-type]

    @property
    def metals(self) -> MetalSystem:
        """The edition's system of metal groups; `cross_checks` refuses rows that need one where there is
        none."""
        assert self.edition.metals is not None
        return self.edition.metals

    def conditions(self, specs: tuple[ConditionSpec, ...]) -> tuple[Condition, ...]:
        return tuple(spec.of(self.system) for spec in specs)

    def undetermined(self, *needs: str) -> list[Limit]:
        return [self.limit(Undetermined(needs))]

    def not_given(self, *, rest_not_encoded: bool = False, **more: object) -> list[Limit]:
        """The limit where the record gives no value of the row's own variable: it says that it does not
        apply, or leaves it out."""
        key = self.row.variable
        marked = self.facts[key] is Absent.NOT_APPLICABLE and (
            registry()[key].may_be_na or has_none(key, self.facts)
        )
        return [self.limit(NotOnTest(rest_not_encoded) if marked else Undetermined((key,)), **more)]

    def choices(self, key: str) -> frozenset[str] | None:
        """The tested choices of a variable, free text as one key; `None` when the record does not give
        them."""
        value = self.facts[key]
        if isinstance(value, Absent):
            return None
        found = comparable(value)
        return found if isinstance(found, frozenset) else None

    def interval(self, key: str) -> Interval | None:
        return self.facts.interval(key)

    def holds(self, specs: tuple[ConditionSpec, ...]) -> Truth:
        """Whether the coupon meets all conditions; one known to fail settles it, whatever is missing."""
        return _all(spec.of(self.system).holds(self.facts) for spec in specs)

    def open_in(self, specs: tuple[ConditionSpec, ...]) -> tuple[str, ...]:
        """Variables whose missing or `n/a` entry leaves a condition on the coupon open."""
        return tuple(
            spec.variable
            for spec in specs
            if isinstance(self.facts[spec.variable], Absent)
            and spec.of(self.system).holds(self.facts) is Truth.UNKNOWN
        )

    def exempted_by(self, specs: tuple[ConditionSpec, ...]) -> Truth:
        """As `holds`, but of values that stand for several things every one has to meet the condition: a
        joint of two metals is exempt only when both are."""
        return _all(spec.of(self.system).holds_for_all(self.facts) for spec in specs)


@dataclass(frozen=True)
class RuleKind:
    schema: Callable[[str], Mapping[str, Column]]
    """Parameters a row of this kind takes, for the variable it limits."""
    make: Callable[[Tested], list[Limit]]
    """(tested line under a row) -> limits."""


def _all(truths: Iterable[Truth]) -> Truth:
    """The least of them: one that is known to fail settles it."""
    found = Truth.YES
    for truth in truths:
        if truth is Truth.NO:
            return Truth.NO
        if truth is Truth.UNKNOWN:
            found = Truth.UNKNOWN
    return found
