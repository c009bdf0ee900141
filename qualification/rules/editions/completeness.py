"""The whole table of an edition: every variable of a weld by process and side, and what is said of it.

An absent row looks the same whether the code leaves a variable open or nobody entered its rule. So each
variable that can be entered for a weld is limited, free or not encoded by a row, is a condition of one, or is
named in `free.toml` as what the code's list leaves out. What is none of these is a silence, and a defect.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from ..core.facts import Side
from ..core.findings import Citation
from ..tabular.edition import Edition
from ..tabular.freedoms import Freedom, Freedoms
from ..tabular.rulebook import RuleRow
from ..tabular.schema import ConditionSpec
from ..variables.definition import RecordKind, Variable
from ..variables.registry import registry
from ..variables.special_welds import OF_SPECIAL_WELDS
from .sayings import Saying, Says, saying

FOLLOWS: Mapping[str, tuple[str, ...]] = {
    "thickness_a": ("thickness_thinner", "thickness_thicker"),
    "thickness_b": ("thickness_thinner", "thickness_thicker"),
    "shielding_gas": ("iso_gas", "gas_activity", "helium_share", "co2_share"),
    "backing_gas": ("iso_backing_gas", "gas_backed", "inert_backing"),
    "trailing_gas": ("inert_trailing",),
    "backing": ("backed", "weld_details"),
    "sides_welded": ("weld_details",),
    "position": ("iso_position",),
    "pipe_setting": ("iso_position",),
    "progression": ("iso_position",),
    "process": ("iso_process",),
    "filler_form": ("iso_process",),
    "filler_used": ("iso_process",),
    "passes_per_side": ("layering",),
    "flux_wire_class": ("flux_wire_strength",),
}
"""Entries, and the derived variables by which codes speak of them. Those of the metals are of one subject
(`compare.SUBJECTS`)."""
OF_SPECIAL = frozenset(variable.key for variable in OF_SPECIAL_WELDS)
"""Stated of special welds alone, for which whatever no row names has no rule (`ranges/special_rules.py`)."""
ASKED_AS = (Says.LIMITED, Says.NOT_ENCODED, Says.FREE)
_ENTERED = {Side.PROCEDURE: {RecordKind.SPEC}, Side.WELDER: {RecordKind.SPEC, RecordKind.PART}}


@dataclass(frozen=True)
class Completeness:
    """What one side of an edition says of every variable."""

    side: Side
    sayings: tuple[Saying, ...]

    @property
    def counts(self) -> dict[Says, int]:
        """How many pairs of variable and process it says each of; every kind is there."""
        found = Counter(each.says for each in self.sayings)
        return {says: found[says] for says in Says}

    @property
    def silent(self) -> tuple[Saying, ...]:
        return tuple(each for each in self.sayings if each.says is Says.SILENT)


def completeness(made: Edition) -> tuple[Completeness, ...]:
    """Each side of the edition that has rules, with every variable a weld of it can state."""
    return tuple(
        Completeness(side, tuple(_of_side(made, side, rows)))
        for side, rows in ((Side.PROCEDURE, made.procedure), (Side.WELDER, made.welder))
        if rows
    )


def _of_side(made: Edition, side: Side, rows: tuple[RuleRow, ...]) -> Iterator[Saying]:
    conditions = _conditions(rows)
    for variable in registry().values():
        if variable.derived or not _ENTERED[side] & variable.uses or not variable.asked_by(made.speaks):
            continue
        for process in made.processes:
            if process in variable.processes:
                yield _said(made, variable, process, side, rows, conditions)


def _said(
    made: Edition,
    variable: Variable,
    process: str,
    side: Side,
    rows: tuple[RuleRow, ...],
    conditions: Mapping[tuple[str, str], list[Citation]],
) -> Saying:
    keys = (variable.key, *FOLLOWS.get(variable.key, ()))
    found = [saying(made, key, process, side, rows) for key in keys]
    for says in ASKED_AS:
        if speaking := [each for each in found if each.says is says]:
            through = tuple(each.variable for each in speaking if each.variable != variable.key)
            own = len(through) < len(speaking)
            citations = tuple(dict.fromkeys(cited for each in speaking for cited in each.citations))
            return replace(found[0], says=says, citations=citations, through=() if own else through)
    if cited := [c for key in keys for c in conditions.get((key, process), ())]:
        return replace(found[0], says=Says.CONDITION, citations=tuple(dict.fromkeys(cited)))
    if variable.key in OF_SPECIAL:
        return replace(found[0], says=Says.NOT_ENCODED, through=("weld_type",))
    if named := [row.citation for row in _named(made) if _names(row, variable.key, process, side)]:
        return replace(found[0], says=Says.NOT_NAMED, citations=tuple(named))
    return found[0]


def _conditions(rows: Iterable[RuleRow]) -> dict[tuple[str, str], list[Citation]]:
    """By variable and process, the rows that look at it to know whether, or for how much, they speak."""
    found: dict[tuple[str, str], list[Citation]] = {}
    for row in rows:
        sets: tuple[tuple[ConditionSpec, ...], ...] = (
            row.test_when,
            row.weld_when,
            *row.test_unless,
            *row.weld_unless,
        )
        looked_at = {spec.variable for specs in sets for spec in specs}
        looked_at |= {str(value) for key, value in row.params.items() if key in ("by", "tested") and value}
        for variable in looked_at:
            for process in row.standing:
                found.setdefault((variable, process), []).append(row.citation)
    return found


def _named(made: Edition) -> tuple[Freedom, ...]:
    named: Freedoms | None = made.more.get("free")
    return named.silent if named else ()


def _names(row: Freedom, variable: str, process: str, side: Side) -> bool:
    return row.of(variable, process) and side in (row.sides or (side,))
