"""What a code's list of essential variables leaves free for a welder, said variable by variable.

A list of essential variables is closed: what it does not name, a test does not limit. An absent row looks
the same whether the code leaves a variable free or nobody entered its rule, so an edition names what is free,
with its clause. The file yields no limit; `silences.py` holds it against the rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..core.findings import Citation, Source
from ..variables.definition import PROCESSES
from . import schema
from .schema import CITED, Column, TablePlace, read_row, required


@dataclass(frozen=True)
class Freedom:
    """Variables that a welder's test does not limit."""

    variables: tuple[str, ...]
    processes: tuple[str, ...]
    """Empty for all of the edition's."""
    because: str
    citation: Citation

    def of(self, variable: str, process: str) -> bool:
        """True when it names the variable and speaks of the process."""
        return variable in self.variables and (not self.processes or process in self.processes)


@dataclass(frozen=True)
class Freedoms:
    beside: tuple[str, ...]
    """Editions for procedures, where the code of the welders has no procedure side of its own."""
    welder: tuple[Freedom, ...]


def _variables(raw: Any, place: TablePlace) -> tuple[str, ...]:
    return tuple(schema.known_variable(key, place) for key in schema.keys(raw, place))


def _processes(raw: Any, place: TablePlace) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    if set(found) - set(PROCESSES):
        raise place.fail(f"{raw!r} names a process that is not one of {', '.join(PROCESSES)}")
    return found


HEAD: dict[str, Column] = {"beside": schema.keys, "welder": required(lambda raw, _: raw)}
ROW: dict[str, Column] = {
    **CITED,
    "variables": required(_variables),
    "processes": _processes,
    "because": required(schema.text),
}


def read_freedoms(
    raw: Mapping[str, Any], code: str, edition: str, sources: Mapping[str, Source], place: TablePlace
) -> Freedoms:
    """Raises TableError naming the row, also where two rows free a variable for the same process."""
    head = read_row(raw, HEAD, place)
    found: list[Freedom] = []
    for index, item in enumerate(schema.row_list(head["welder"], place), start=1):
        here = TablePlace(place.edition, place.file, f"welder row {index}")
        row = read_row(item, ROW, here)
        made = Freedom(
            row["variables"],
            row["processes"] or (),
            row["because"],
            schema.citation(row, code, edition, sources, here),
        )
        for variable in made.variables:
            if any(other.of(variable, p) for other in found for p in made.processes or PROCESSES):
                raise here.fail(f"{variable} is named free by an earlier row as well")
        found.append(made)
    return Freedoms(head["beside"] or (), tuple(found))
