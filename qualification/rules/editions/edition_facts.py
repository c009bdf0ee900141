"""What an edition is made of: how many rows by where they were read, what it says of every variable, and what
is not encoded. The edition's page, its README and its JSON say the same from here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from ..core.facts import Side
from ..core.findings import Citation, Provenance
from ..tabular.edition import Edition, RawEdition
from ..tabular.overlay import rows_of
from ..variables.registry import registry
from .completeness import Completeness, completeness
from .sayings import Saying, Says
from .table_words import HEADINGS, heading_of_table

NOT_ENCODED_RULES = frozenset({"not_encoded", "tested_or_not_encoded"})


class EditionKind(StrEnum):
    """What the rules of an edition rest on."""

    OPEN_PAGES = "open pages"
    MEMORY = "memory"
    SHOP = "shop"
    CONTENT = "content"

    @property
    def words(self) -> str:
        return {
            EditionKind.OPEN_PAGES: "Most of its rules are stated on open pages.",
            EditionKind.MEMORY: (
                "Most of its rules are from memory and read narrowly: where a number, or the reach of a rule,"
                " is not known, the answer is “no rule encoded”."
            ),
            EditionKind.SHOP: (
                "Most of its rules were written or confirmed by the shop from its own copy of the code."
            ),
            EditionKind.CONTENT: (
                "A content list only: what a record has to state. No rule of it is encoded, so nothing is"
                " judged under it."
            ),
        }[self]


@dataclass(frozen=True)
class Group:
    """Processes of which one side says the same of a variable."""

    says: Says
    processes: tuple[str, ...]
    is_whole: bool
    """True where these are all of the edition's that have the variable."""
    citations: tuple[Citation, ...]
    through: tuple[str, ...]

    @property
    def clauses(self) -> str:
        return "; ".join(dict.fromkeys(citation.clause for citation in self.citations))

    @property
    def words(self) -> str:
        """`Limited by QW-403.8`, `Not named (QW-250)`, `A condition in 8.3.2`."""
        joined = {
            Says.LIMITED: "Limited by",
            Says.FREE: "Free by",
            Says.CONDITION: "A condition in",
            Says.NOT_NAMED: "Not named in",
            Says.NOT_ENCODED: "Not encoded:",
        }.get(self.says, "Silent")
        if self.says is Says.NOT_ENCODED and not self.citations:
            return "Not encoded: special welds without a rule"
        through = ", ".join(registry()[key].label for key in self.through)
        return f"{joined} {self.clauses}{f' (as {through})' if through else ''}".strip()


@dataclass(frozen=True)
class VariableRow:
    """One variable, and what each side says of it, by groups of processes."""

    variable: str
    sides: Mapping[Side, tuple[Group, ...]]

    @property
    def label(self) -> str:
        return registry()[self.variable].label

    @property
    def is_named(self) -> bool:
        """False where every side says no more than that the code's lists leave it out."""
        return any(group.says is not Says.NOT_NAMED for groups in self.sides.values() for group in groups)


@dataclass(frozen=True)
class OpenRow:
    """A row whose rule, or a part of it, the tables do not hold."""

    heading: str
    clause: str
    because: str


@dataclass(frozen=True)
class EditionFacts:
    edition: Edition
    kind: EditionKind
    rows: Mapping[str, Mapping[Provenance, int]]
    """By heading of the table."""
    sides: tuple[Completeness, ...]
    variables: tuple[VariableRow, ...]
    not_encoded: tuple[OpenRow, ...]

    @property
    def totals(self) -> Counter[Provenance]:
        return sum((Counter(each) for each in self.rows.values()), Counter[Provenance]())

    @property
    def named(self) -> tuple[VariableRow, ...]:
        return tuple(row for row in self.variables if row.is_named)

    @property
    def left_out(self) -> tuple[VariableRow, ...]:
        return tuple(row for row in self.variables if not row.is_named)


def edition_facts(made: Edition, files: RawEdition) -> EditionFacts:
    """`files` are the parsed files the edition was built from."""
    rows: dict[str, Counter[Provenance]] = {}
    for file, _, row in rows_of(files):
        stem = file.removesuffix(".toml")
        rows.setdefault(heading_of_table(stem), Counter())[Provenance(row["provenance"])] += 1
    order = list(HEADINGS.values())
    ordered = dict(sorted(rows.items(), key=lambda row: order.index(row[0])))
    sides = completeness(made)
    return EditionFacts(
        made, kind_of(made), ordered, sides, tuple(_variables(sides)), tuple(_not_encoded(files))
    )


def kind_of(made: Edition) -> EditionKind:
    """On what the edition's rules rest, by the number of its rows."""
    ruling = [row.citation.provenance for row in (*made.procedure, *made.welder)]
    if not ruling:
        return EditionKind.CONTENT
    count = Counter(ruling)
    if count[Provenance.MEMORY] * 2 > len(ruling):
        return EditionKind.MEMORY
    return (
        EditionKind.SHOP if count[Provenance.SHOP] > count[Provenance.PUBLISHED] else EditionKind.OPEN_PAGES
    )


def _variables(sides: tuple[Completeness, ...]) -> Iterator[VariableRow]:
    said: dict[str, dict[Side, list[Saying]]] = {}
    for side in sides:
        for each in side.sayings:
            said.setdefault(each.variable, {}).setdefault(side.side, []).append(each)
    for variable in registry():
        if variable in said:
            yield VariableRow(variable, {side: _groups(each) for side, each in said[variable].items()})


def _groups(said: list[Saying]) -> tuple[Group, ...]:
    found: dict[tuple[Any, ...], list[str]] = {}
    for each in said:
        found.setdefault((each.says, each.citations, each.through), []).append(each.process)
    whole = len(found) == 1
    return tuple(
        Group(says, tuple(processes), whole, citations, through)
        for (says, citations, through), processes in found.items()
    )


def _not_encoded(files: RawEdition) -> Iterator[OpenRow]:
    for file, path, row in rows_of(files):
        if row.get("rule") in NOT_ENCODED_RULES or row.get("not_encoded") or "rest" in row.get("with", {}):
            stem = file.removesuffix(".toml")
            subject = (
                registry()[row["variable"]].label if "variable" in row else str(path[0]).replace("_", " ")
            )
            because = row.get("because") or row.get("remark") or f"{subject}: no rule encoded."
            yield OpenRow(heading_of_table(stem), row["clause"], because)
