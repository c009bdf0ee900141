"""What a code's lists of essential variables leave out, said variable by variable.

A list of essential variables is closed: what it does not name, a test does not limit. An absent row looks
the same whether the code leaves a variable free or nobody entered its rule, so an edition names, each with
its clause, what limits procedures and leaves a welder free (`welder`), and what its lists do not name at all
(`silent`). The file yields no limit; `editions/completeness.py` holds it against the rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..core.facts import Side
from ..core.findings import Citation
from ..variables.definition import PROCESSES
from . import schema
from .schema import CITED, Column, TablePlace, read_row, required


@dataclass(frozen=True)
class Freedom:
    """Variables that a test does not limit."""

    variables: tuple[str, ...]
    processes: tuple[str, ...]
    """Empty for all of the edition's."""
    because: str
    citation: Citation
    sides: tuple[Side, ...] = ()
    """Empty for every side the row may speak of."""

    def of(self, variable: str, process: str) -> bool:
        """True when it names the variable and speaks of the process."""
        return variable in self.variables and (not self.processes or process in self.processes)


@dataclass(frozen=True)
class Freedoms:
    beside: tuple[str, ...]
    """Editions for procedures, where the code of the welders has no procedure side of its own."""
    welder: tuple[Freedom, ...]
    """What limits procedures and no welder."""
    silent: tuple[Freedom, ...] = ()
    """What the code's lists do not name."""


def _variables(raw: Any, place: TablePlace) -> tuple[str, ...]:
    return tuple(schema.known_variable(key, place) for key in schema.keys(raw, place))


def _processes(raw: Any, place: TablePlace) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    if set(found) - set(PROCESSES):
        raise place.fail(f"{raw!r} names a process that is not one of {', '.join(PROCESSES)}")
    return found


def _sides(raw: Any, place: TablePlace) -> tuple[Side, ...]:
    words = schema.keys(raw, place)
    if not set(words) <= set(Side):
        raise place.fail(f"{raw!r} names a side that is not one of {', '.join(Side)}")
    return tuple(Side(word) for word in words)


def _entries(raw: Any, _: TablePlace) -> Any:
    return raw


HEAD: dict[str, Column] = {"beside": schema.keys, "welder": _entries, "silent": _entries}
ROW: dict[str, Column] = {
    **CITED,
    "variables": required(_variables),
    "processes": _processes,
    "because": required(schema.text),
}


def read_freedoms(raw: Mapping[str, Any], place: TablePlace) -> Freedoms:
    """Raises TableError naming the row, also where two rows free a variable for the same process and side."""
    head = read_row(raw, HEAD, place)
    if head["welder"] is None and head["silent"] is None:
        raise place.fail("expected [[welder]] or [[silent]] entries")

    def rows(kind: str, columns: Mapping[str, Column]) -> tuple[Freedom, ...]:
        found: list[Freedom] = []
        for item, here in schema.numbered(head[kind], place, f"{kind} row") if head[kind] else ():
            row = read_row(item, columns, here)
            cited = schema.citation(row, here)
            sides = row.get("sides") or ()
            made = Freedom(row["variables"], row["processes"] or (), row["because"], cited, sides)
            for variable in made.variables:
                if any(_overlap(variable, made, other) for other in found):
                    raise here.fail(f"{variable} is named free by an earlier row as well")
            found.append(made)
        return tuple(found)

    return Freedoms(head["beside"] or (), rows("welder", ROW), rows("silent", {**ROW, "sides": _sides}))


def _overlap(variable: str, one: Freedom, other: Freedom) -> bool:
    sides = set(one.sides or Side) & set(other.sides or Side)
    return bool(sides) and any(other.of(variable, process) for process in one.processes or PROCESSES)
