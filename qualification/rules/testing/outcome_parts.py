"""What the results of a coupon amount to, as frozen values: each check, result and requirement, and the
whole."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..core.findings import Citation
from .acceptance.check import CheckAnswer, ResultMark
from .requirements import Requirement, Requirements
from .results import Result, ResultKind


class RequirementStatus(StrEnum):
    PASSED = "passed"
    FAILED = "failed"
    MISSING = "missing"

    @property
    def words(self) -> str:
        return {
            RequirementStatus.PASSED: "Passed",
            RequirementStatus.FAILED: "Failed",
            RequirementStatus.MISSING: "Missing",
        }[self]


class Overall(StrEnum):
    PASSED = "passed"
    FAILED = "failed"
    INCOMPLETE = "incomplete"

    @property
    def words(self) -> str:
        return {Overall.PASSED: "Passed", Overall.FAILED: "Failed", Overall.INCOMPLETE: "Incomplete"}[self]


@dataclass(frozen=True)
class Checked:
    """One check on one result."""

    answer: CheckAnswer
    because: str
    """The rule in one own sentence."""
    citation: Citation


@dataclass(frozen=True)
class JudgedResult:
    """One result with every check made on it."""

    result: Result
    index: int
    """Place of the result among those given."""
    mark: ResultMark
    checks: tuple[Checked, ...]

    @property
    def name(self) -> str:
        return name_of(self.result)

    @property
    def obstacles(self) -> tuple[Checked, ...]:
        """Checks that keep the result from passing, worst first."""
        return tuple(
            sorted(
                (c for c in self.checks if c.answer.mark is not ResultMark.PASSED),
                key=lambda c: -c.answer.mark,
            )
        )


def name_of(result: Result) -> str:
    """`Face bend F1`."""
    named = f" {result.specimen}" if result.specimen else ""
    return f"{with_capital(result.kind.words)}{named}"


@dataclass(frozen=True)
class Aside:
    """A result of a kind that this edition neither asks nor judges, made for another one."""

    result: Result
    index: int
    """Place of the result among those given."""


@dataclass(frozen=True)
class Moved:
    """Where a record's results come from, when it was put under another edition with results on it."""

    under: str
    """Name of the edition it is judged under now."""
    before: tuple[tuple[str, Overall], ...]
    """Name of each edition it was under, and what the results amount to there."""


@dataclass(frozen=True)
class OutcomeLine:
    """One requirement, or the further results taken together, and how it stands."""

    requirement: Requirement | None
    """`None` for results beyond what is required."""
    standing: RequirementStatus
    sentence: str
    citation: Citation | None
    judged: tuple[JudgedResult, ...]
    lacking: tuple[tuple[ResultKind, int], ...] = ()
    """Specimens that would complete the way that is nearest to being complete."""


@dataclass(frozen=True)
class Misfit:
    """A result this record cannot take as it stands: which one, at which field, and what to do."""

    index: int
    field: str
    message: str


@dataclass(frozen=True)
class Outcome:
    requirements: Requirements
    lines: tuple[OutcomeLine, ...]
    misfits: tuple[Misfit, ...]
    overall: Overall
    set_aside: tuple[Aside, ...] = ()
    moved: Moved | None = None


def with_capital(words: str) -> str:
    """The words as they begin a sentence."""
    return words[:1].upper() + words[1:]
