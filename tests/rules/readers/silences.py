"""Where an edition says nothing of a variable, or says it twice: what its tables are held to."""

from __future__ import annotations

from qualification.rules.core.facts import Side
from qualification.rules.editions.completeness import completeness
from qualification.rules.editions.loader import edition
from qualification.rules.editions.sayings import FREE_RULES, Saying, Says, saying
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.freedoms import Freedom, Freedoms
from qualification.rules.tabular.rulebook import RuleRow
from qualification.rules.variables.registry import registry

Said = dict[tuple[str, str, Side], Saying]
"""What is said, by variable, process and side."""


def sayings(made: Edition) -> Said:
    """Every variable any side of the code limits, by process, for each side that has rules.

    Where the code of the welders has no procedures of its own, the editions it names beside itself stand in.
    """
    procedure = _procedure_rows(made)
    rows = {Side.PROCEDURE: procedure, Side.WELDER: made.welder}
    variables = sorted({row.variable for row in (*procedure, *made.welder) if row.rule not in FREE_RULES})
    return {
        (variable, process, side): saying(made, variable, process, side, rows[side])
        for variable in variables
        for process in made.processes
        for side in Side
        if rows[side]
    }


def silences(made: Edition) -> tuple[Saying, ...]:
    """Where the procedure side limits a variable and the welder side says nothing of it."""
    if not made.welder:
        return ()
    found = sayings(made)
    return tuple(
        each
        for each in found.values()
        if each.side is Side.WELDER and each.says is Says.SILENT and _limited_on_procedures(found, each)
    )


def doubly_said(made: Edition) -> tuple[Saying, ...]:
    """Where a variable is named free and a welder's row limits it all the same, or no procedure is limited by
    it: such an entry says nothing."""
    if not _freed(made):
        return ()
    found = sayings(made)
    named = {
        (variable, process)
        for freedom in _freed(made)
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


def unexplained(made: Edition) -> tuple[Saying, ...]:
    """The silences of every side: no row speaks of the variable, and none says that the code does not."""
    return tuple(each for side in completeness(made) for each in side.silent)


def needlessly_named(made: Edition) -> tuple[str, ...]:
    """What is named in `free.toml` as left out by the code and has a row all the same, or cannot be entered:
    `variable (process, side)`."""
    entered = {
        (s.variable, s.process, side.side): s.says for side in completeness(made) for s in side.sayings
    }
    sides = {side for _, _, side in entered}
    left_out: Freedoms | None = made.more.get("free")
    named = (
        (variable, process, side)
        for row in (left_out.silent if left_out else ())
        for variable in row.variables
        for process in row.processes or sorted(set(made.processes) & registry()[variable].processes)
        for side in row.sides or sorted(sides)
    )
    return tuple(
        f"{variable} ({process}, {side.value})"
        for variable, process, side in named
        if entered.get((variable, process, side)) is not Says.NOT_NAMED
    )


def _limited_on_procedures(found: Said, said: Saying) -> bool:
    other = found.get((said.variable, said.process, Side.PROCEDURE))
    return other is not None and other.says in (Says.LIMITED, Says.NOT_ENCODED)


def _procedure_rows(made: Edition) -> tuple[RuleRow, ...]:
    if made.procedure:
        return made.procedure
    beside = made.more["free"].beside if made.has("free") else ()
    return tuple(row for name in beside for row in edition(name).procedure)


def _freed(made: Edition) -> tuple[Freedom, ...]:
    named: Freedoms | None = made.more.get("free")
    return named.welder if named else ()
