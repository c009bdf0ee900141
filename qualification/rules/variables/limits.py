"""One limit on one variable, the conditions under which it speaks, and how a weld is held against it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from ..core.facts import Facts
from ..core.findings import Citation, Finding, VariableClass, Verdict
from ..core.gases import NO_GAS
from ..core.values import (
    Absent,
    Allowed,
    Anything,
    Interval,
    NotEncoded,
    NotOnTest,
    Stated,
    Undetermined,
    Value,
    lies_within,
    touches,
)
from .absence import has_none

NONE_OF_IT = frozenset({"none", "no", NO_GAS})
"""Choices that say a thing is not there: next to `n/a` on the record most likely the same in another word."""

NO_RULE_NOTE = (
    "These tables hold no rule by which this test speaks for that kind of weld, and rules for other welds do"
    " not stand in for one. Judge it by the code itself, or test a coupon of its kind."
)


class Truth(Enum):
    NO = 0
    UNKNOWN = 1
    YES = 2


@dataclass(frozen=True)
class Condition:
    """True of a weld when any part of the variable's value is among `allowed`."""

    variable: str
    allowed: Allowed

    def holds(self, facts: Facts) -> Truth:
        value = facts[self.variable]
        if isinstance(value, Absent):
            return self._without_value(value, facts)
        return Truth.YES if touches(comparable(value), self.allowed) else Truth.NO

    def holds_for_all(self, facts: Facts) -> Truth:
        """As `holds`, but the whole of the value has to be among `allowed`: an exemption covers a box only
        when it covers every part of it."""
        value = facts[self.variable]
        if isinstance(value, Absent):
            return self._without_value(value, facts)
        return Truth.YES if lies_within(comparable(value), self.allowed) else Truth.NO

    def _without_value(self, value: Absent, facts: Facts) -> Truth:
        """`n/a` answers only a condition that asks whether anything is stated at all, or where other entries
        say that the weld has none of it; else it leaves the condition as open as a blank does."""
        if value is Absent.NOT_APPLICABLE and (
            isinstance(self.allowed, Anything) or has_none(self.variable, facts)
        ):
            return Truth.NO
        return Truth.UNKNOWN


@dataclass(frozen=True)
class Limit:
    """What one test lets one variable be."""

    variable: str
    allowed: Allowed
    standing: VariableClass
    citation: Citation
    because: str
    """The rule, in one own sentence."""
    record: str = ""
    tested: Stated = Absent.MISSING
    when: tuple[Condition, ...] = ()
    """The limit speaks only where all of these hold."""
    unless: tuple[tuple[Condition, ...], ...] = ()
    """Exemptions: where all conditions of one of these hold for the whole weld, the limit is silent."""
    note: str = ""
    unruled: frozenset[str] = frozenset()
    """Choices beside `allowed` for which the tables hold no rule: neither covered nor refused."""

    def judge(self, facts: Facts, line: int | None = None) -> Finding:
        """Hold one weld line's facts against the limit."""
        value = facts[self.variable]
        verdict, needs = self._verdict(facts, value)
        return Finding(
            verdict=verdict,
            variable=self.variable,
            standing=self.standing,
            found=value,
            qualified=self.allowed,
            record=self.record,
            citation=self.citation,
            because=self.because,
            line=line,
            needs=needs,
            note=NO_RULE_NOTE if self._is_unruled(value) else self.note,
            tested=self.tested,
        )

    def _is_unruled(self, value: Stated) -> bool:
        """True where all that keeps the weld from being within `allowed` is a choice without a rule."""
        if not self.unruled or not isinstance(value, frozenset) or not isinstance(self.allowed, frozenset):
            return False
        return bool(value - self.allowed) and value - self.allowed <= self.unruled

    def _verdict(self, facts: Facts, value: Stated) -> tuple[Verdict, tuple[str, ...]]:
        speaks, unsure = self.speaks(facts)
        if speaks is Truth.NO:
            return Verdict.NOT_APPLICABLE, ()
        if isinstance(self.allowed, Undetermined):
            return Verdict.UNKNOWN, self.allowed.needs
        if isinstance(self.allowed, NotEncoded):
            return (Verdict.UNKNOWN, unsure) if speaks is Truth.UNKNOWN else (Verdict.NO_RULE, ())
        if isinstance(self.allowed, Anything):
            return Verdict.COVERED, ()
        if isinstance(self.allowed, NotOnTest):
            return _beside_nothing(self.variable, value, self.allowed, speaks, unsure)
        if isinstance(value, Absent):
            return Verdict.UNKNOWN, (self.variable,)
        if lies_within(comparable(value), self.allowed):
            return Verdict.COVERED, ()
        if speaks is Truth.UNKNOWN:
            return Verdict.UNKNOWN, unsure
        return (Verdict.NO_RULE if self._is_unruled(value) else Verdict.NOT_COVERED), ()

    def speaks(self, facts: Facts) -> tuple[Truth, tuple[str, ...]]:
        """Whether the limit applies to this weld, and which missing values leave that open."""
        needs: list[str] = []
        result = Truth.YES
        for condition in self.when:
            truth = condition.holds(facts)
            if truth is Truth.NO:
                return Truth.NO, ()
            if truth is Truth.UNKNOWN:
                result = Truth.UNKNOWN
                needs.append(condition.variable)
        for exemption in self.unless:
            truths = [c.holds_for_all(facts) for c in exemption]
            if all(t is Truth.YES for t in truths):
                return Truth.NO, ()
            if Truth.NO not in truths:
                result = Truth.UNKNOWN
                needs += [c.variable for c, t in zip(exemption, truths, strict=True) if t is Truth.UNKNOWN]
        return result, tuple(needs)


def _beside_nothing(
    variable: str, value: Stated, allowed: NotOnTest, speaks: Truth, unsure: tuple[str, ...]
) -> tuple[Verdict, tuple[str, ...]]:
    """A weld held against a coupon to which the variable does not apply. A choice the coupon did not have is
    another one; a number has nothing to be reckoned from, which is not the same as lying outside."""
    if value is Absent.NOT_APPLICABLE:
        return Verdict.COVERED, ()
    if isinstance(value, Absent):
        return Verdict.UNKNOWN, (variable,)
    if speaks is Truth.UNKNOWN:
        return Verdict.UNKNOWN, unsure
    if allowed.rest_not_encoded:
        return Verdict.NO_RULE, ()
    found = comparable(value)
    return (
        Verdict.UNKNOWN if isinstance(found, Interval) or found <= NONE_OF_IT else Verdict.NOT_COVERED
    ), ()


def comparable(value: Value) -> Interval | frozenset[str]:
    """Free text is compared as one key, without regard to case and spacing."""
    return frozenset({" ".join(value.split()).casefold()}) if isinstance(value, str) else value
