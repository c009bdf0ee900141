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
from .loader import edition

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


def sayings(made: Edition) -> tuple[Saying, ...]:
    """Every variable any side of the code limits, by process, for each side that has rules.

    Where the code of the welders has no procedures of its own, the editions it names beside itself stand in.
    """
    procedure = _procedure_rows(made)
    rows = {Side.PROCEDURE: procedure, Side.WELDER: made.welder}
    variables = sorted({row.variable for row in (*procedure, *made.welder) if row.rule not in FREE_RULES})
    return tuple(
        saying(made, variable, process, side, rows[side])
        for variable in variables
        for process in made.processes
        for side in Side
        if rows[side]
    )


def silences(made: Edition) -> tuple[Saying, ...]:
    """Where the procedure side limits a variable and the welder side says nothing of it."""
    if not made.welder:
        return ()
    found = {(s.variable, s.process, s.side): s for s in sayings(made)}
    return tuple(
        s
        for s in found.values()
        if s.side is Side.WELDER and s.says is Says.SILENT and _limited_on_procedures(found, s)
    )


def doubly_said(made: Edition) -> tuple[Saying, ...]:
    """Where a variable is named free and a welder's row limits it all the same, or no procedure is limited by
    it: such an entry says nothing."""
    if not _freedoms(made):
        return ()
    found = {(s.variable, s.process, s.side): s for s in sayings(made)}
    named = {
        (variable, process)
        for freedom in _freedoms(made)
        for variable in freedom.variables
        for process in freedom.processes or made.processes
    }
    return tuple(
        found.get((variable, process, Side.WELDER), Saying(variable, process, Side.WELDER, Says.SILENT))
        for variable, process in sorted(named)
        if any(row.variable == variable and process in row.standing for row in made.welder)
        or not any(
            (v, Side.PROCEDURE) == (variable, side) and s.says in (Says.LIMITED, Says.NOT_ENCODED)
            for (v, _, side), s in found.items()
        )
    )


def _limited_on_procedures(found: dict[tuple[str, str, Side], Saying], saying: Saying) -> bool:
    other = found.get((saying.variable, saying.process, Side.PROCEDURE))
    return other is not None and other.says in (Says.LIMITED, Says.NOT_ENCODED)


def _procedure_rows(made: Edition) -> tuple[RuleRow, ...]:
    if made.procedure:
        return made.procedure
    beside = made.more["free"].beside if made.has("free") else ()
    return tuple(row for name in beside for row in edition(name).procedure)


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
