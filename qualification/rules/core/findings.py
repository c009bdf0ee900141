"""What the rules answer with: verdicts, citations, findings and reports, all frozen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import IntEnum, StrEnum

from .values import Absent, Allowed, Stated


class Verdict(IntEnum):
    """Ordered from harmless to blocking; a report takes the worst of its findings."""

    NOT_APPLICABLE = 0
    """The code itself says the variable does not matter here (cited)."""
    COVERED = 1
    NO_RULE = 2
    """The edition's rule for this is not encoded; said aloud, never taken as covered."""
    UNKNOWN = 3
    """A value the rule needs is missing, on the weld or on the test record."""
    NOT_COVERED = 4

    @property
    def key(self) -> str:
        return self.name.lower()

    @property
    def words(self) -> str:
        return {
            Verdict.NOT_APPLICABLE: "Does not apply",
            Verdict.COVERED: "Covered",
            Verdict.NO_RULE: "No rule encoded",
            Verdict.UNKNOWN: "Unknown",
            Verdict.NOT_COVERED: "Not covered",
        }[self]


class VariableClass(StrEnum):
    """How much weight the code gives a variable."""

    ESSENTIAL = "essential"
    SUPPLEMENTARY = "supplementary"
    """Acts as essential only where toughness is required."""
    NONESSENTIAL = "nonessential"
    """Has to be stated on the WPS, and may be changed without a new test."""


class Provenance(StrEnum):
    """How far a number from a code has been confirmed."""

    PUBLISHED = "published"
    MEMORY = "memory"
    SHOP = "shop"

    @property
    def words(self) -> str:
        return {
            Provenance.PUBLISHED: "public source",
            Provenance.MEMORY: "unverified",
            Provenance.SHOP: "confirmed by the shop against its own copy",
        }[self]


@dataclass(frozen=True)
class Source:
    """A public page a number was read on."""

    key: str
    title: str
    url: str
    page: str = ""
    """Its page, where it has pages."""
    read: date | None = None
    """The day on which it was read."""

    @property
    def words(self) -> str:
        """Title, page and the day it was read: `Forum: a thread, read 2026-11-25`."""
        page = f", page {self.page}" if self.page and f" {self.page}" not in self.title else ""
        return f"{self.title}{page}{f', read {self.read}' if self.read else ''}"


@dataclass(frozen=True)
class Citation:
    """Where a rule comes from: code, edition, clause, and how far the number is confirmed."""

    code: str
    edition: str
    clause: str
    provenance: Provenance
    sources: tuple[Source, ...] = ()
    row: str = ""
    """Where the row stands in the tables: file and number, so that it can be found and confirmed."""
    remark: str = ""

    @property
    def is_of_a_code(self) -> bool:
        """False for a limit that a shop, a customer or a job lays over the code; it has no edition."""
        return bool(self.edition)

    @property
    def provenance_words(self) -> str:
        return self.provenance.words if self.is_of_a_code else "laid over the code"

    @property
    def short(self) -> str:
        return f"{self.clause} ({self.code}, {self.edition})" if self.is_of_a_code else self.clause


@dataclass(frozen=True)
class Finding:
    """One answer: this variable, as found, against what is qualified, because of which record and rule."""

    verdict: Verdict
    variable: str
    standing: VariableClass
    found: Stated
    qualified: Allowed | None
    """`None` when the code sets no range (a nonessential variable, or no test to take one from)."""
    record: str
    """Identifier of the test record the range comes from; empty when no record is involved."""
    citation: Citation
    because: str
    """The rule in one own sentence."""
    line: int | None = None
    """Process line of the weld, counted from 0; `None` for the joint as a whole."""
    needs: tuple[str, ...] = ()
    """Variables whose missing value makes this unknown."""
    note: str = ""
    tested: Stated = Absent.MISSING
    """What the test record has, where the finding compares with one."""

    @property
    def is_open_to_the_code(self) -> bool:
        """True where a row of the tables has no rule for it, which the code itself may have; false also
        where there is no row at all that could be answered."""
        return self.verdict is Verdict.NO_RULE and not self.is_without_rules

    @property
    def is_without_rules(self) -> bool:
        """True where the edition has no row at all: it is a content list."""
        return self.verdict is Verdict.NO_RULE and self.qualified is None

    @property
    def binds(self) -> bool:
        """True when the finding decides coverage; nonessential variables inform only."""
        return self.standing is not VariableClass.NONESSENTIAL


@dataclass(frozen=True)
class Attempt:
    """How one test record fared against one line: what stood in its way, worst first."""

    record: str
    verdict: Verdict
    obstacles: tuple[Finding, ...]


@dataclass(frozen=True)
class LineReport:
    """The answer for one process line of a weld."""

    line: int
    verdict: Verdict
    findings: tuple[Finding, ...]
    relied_on: tuple[str, ...]
    """Records that together cover the line, or the closest one where none does."""
    attempts: tuple[Attempt, ...]


@dataclass(frozen=True)
class Report:
    """Every finding for one weld. With no line to judge, the answer is unknown, never covered."""

    lines: tuple[LineReport, ...]
    refusals: tuple[str, ...] = ()
    """Records that issue no range at all, each with the reason."""

    @property
    def verdict(self) -> Verdict:
        return max((line.verdict for line in self.lines), default=Verdict.UNKNOWN)

    @property
    def findings(self) -> tuple[Finding, ...]:
        return tuple(f for line in self.lines for f in line.findings)

    @property
    def obstacles(self) -> tuple[Finding, ...]:
        """What keeps the weld from being covered, worst first."""
        blocking = [f for f in self.findings if f.binds and f.verdict > Verdict.COVERED]
        return tuple(sorted(blocking, key=lambda f: -f.verdict))

    @property
    def relied_on(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(r for line in self.lines for r in line.relied_on))
