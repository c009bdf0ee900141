"""Which variables each side of a code limits, leaves free, or says nothing of: process by process.

A variable that procedures are limited by and that the welder's side never mentions would let a welder weld
whatever stands there. So every such variable has to be limited, not encoded, or named free with its clause.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from ..core.facts import Side
from ..core.findings import Citation
from ..tabular.edition import Edition
from ..tabular.freedoms import Freedom, Freedoms
from ..tabular.rulebook import RuleRow
from .compare import METALS, SUBJECTS

FREE_RULES = frozenset({"unlimited", "stated", "frees_upper_thickness"})
"""Kinds of rule that take no choice away."""


class Says(StrEnum):
    """What a side says of a variable, the strictest of its rows first."""

    LIMITED = "limited"
    NOT_ENCODED = "not encoded"
    FREE = "free"
    CONDITION = "a condition"
    """No row limits it, but whether another row speaks depends on it."""
    NOT_NAMED = "not named"
    """A row says that the code's list does not name it."""
    SILENT = "silent"


@dataclass(frozen=True)
class Saying:
    """What one side of a code says of one variable for one process, and where."""

    variable: str
    process: str
    side: Side
    says: Says
    citations: tuple[Citation, ...] = ()
    """Of the rows that say so; empty where it is silent."""
    through: tuple[str, ...] = ()
    """Variables that the rows name in its place, since their values follow from it."""


def _freedoms(made: Edition) -> tuple[Freedom, ...]:
    named: Freedoms | None = made.more.get("free")
    return named.welder if named else ()


def saying(made: Edition, variable: str, process: str, side: Side, rows: Iterable[RuleRow]) -> Saying:
    """What the rows of one side say of a variable for a process."""
    speaking = [row for row in rows if process in row.standing and _speaks_of(row, variable)]
    limiting = [row for row in speaking if row.rule not in FREE_RULES]
    if limiting:
        unknown = all(row.rule == "not_encoded" for row in limiting)
        says, citations = Says.NOT_ENCODED if unknown else Says.LIMITED, [row.citation for row in limiting]
    else:
        freed = [f.citation for f in _freedoms(made) if side is Side.WELDER and f.of(variable, process)]
        citations = [row.citation for row in speaking] + freed
        says = Says.FREE if citations else Says.SILENT
    return Saying(variable, process, side, says, tuple(citations))


def _speaks_of(row: RuleRow, variable: str) -> bool:
    """Codes name metals by group, by pair and by name; whoever limits one of them speaks of the metals."""
    subject = SUBJECTS.get(variable)
    return row.variable == variable or (subject == METALS and SUBJECTS.get(row.variable) == METALS)
