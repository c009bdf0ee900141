"""The rows of a variable matrix: one clause, one variable, its standing by process, and the kind of rule it
is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ..core.findings import Citation, VariableClass
from ..variables.definition import PROCESSES
from ..variables.registry import registry
from . import schema
from .schema import CITED, Column, ConditionSpec, TableError, TablePlace, read_row, required


@dataclass(frozen=True)
class RuleRow:
    variable: str
    rule: str
    """Name of the kind of rule in `ranges/kinds/basic.py`."""
    params: Mapping[str, Any]
    standing: Mapping[str, VariableClass]
    """By process; a process that is left out does not have the variable."""
    because: str
    citation: Citation
    test_when: tuple[ConditionSpec, ...]
    """The row speaks only for tests of which all of these hold."""
    test_unless: tuple[tuple[ConditionSpec, ...], ...]
    weld_when: tuple[ConditionSpec, ...]
    weld_unless: tuple[tuple[ConditionSpec, ...], ...]


def _standings(raw: Any, place: TablePlace) -> dict[str, VariableClass]:
    if not isinstance(raw, dict) or not raw or set(raw) - set(PROCESSES):
        raise place.fail(f"expected a standing by process, found {raw!r}")
    try:
        return {process: VariableClass(word) for process, word in raw.items()}
    except ValueError as error:
        raise place.fail(str(error)) from error


def _mapping(raw: Any, place: TablePlace) -> dict[str, Any]:
    if not isinstance(raw, dict):
        raise place.fail(f"expected parameters by name, found {raw!r}")
    return raw


ROW: dict[str, Column] = {
    **CITED,
    "variable": required(schema.known_variable),
    "rule": required(schema.text),
    "with": _mapping,
    "standing": required(_standings),
    "because": required(schema.text),
    "test_when": schema.conditions,
    "test_unless": schema.condition_sets,
    "weld_when": schema.conditions,
    "weld_unless": schema.condition_sets,
}


def read_rows(
    raw: Mapping[str, Any],
    place: TablePlace,
    kinds: Mapping[str, Callable[[str], Mapping[str, Column]]],
) -> tuple[RuleRow, ...]:
    """Read `[[row]]` of a matrix file. `kinds` gives, per kind of rule, the schema of its parameters for a
    variable. Raises TableError naming file and row, also when two rows say the same."""
    if set(raw) != {"row"} or not isinstance(raw["row"], list):
        raise place.fail("expected nothing but [[row]] entries")
    rows: list[RuleRow] = []
    seen: dict[tuple[Any, ...], str] = {}
    for item, here in schema.numbered(raw["row"], place, "row", "clause") if raw["row"] else ():
        rows.append(_read(item, here, kinds))
        key = (
            rows[-1].citation.clause,
            rows[-1].variable,
            rows[-1].rule,
            repr(rows[-1].test_when),
            repr(rows[-1].weld_when),
            tuple(rows[-1].standing),
        )
        if key in seen:
            raise here.fail(f"says the same as {seen[key]}")
        seen[key] = here.row
    return tuple(rows)


def _read(
    item: Mapping[str, Any],
    place: TablePlace,
    kinds: Mapping[str, Callable[[str], Mapping[str, Column]]],
) -> RuleRow:
    row = read_row(item, ROW, place)
    if row["rule"] not in kinds:
        raise place.fail(f"there is no kind of rule {row['rule']!r}; kinds are {', '.join(sorted(kinds))}")
    _check_processes(row, place)
    return RuleRow(
        variable=row["variable"],
        rule=row["rule"],
        params=read_row(row["with"] or {}, kinds[row["rule"]](row["variable"]), place),
        standing=row["standing"],
        because=row["because"],
        citation=schema.citation(row, place),
        test_when=row["test_when"] or (),
        test_unless=row["test_unless"] or (),
        weld_when=row["weld_when"] or (),
        weld_unless=row["weld_unless"] or (),
    )


def _check_processes(row: Mapping[str, Any], place: TablePlace) -> None:
    strange = set(row["standing"]) - registry()[row["variable"]].processes
    if strange:
        raise place.fail(f"{row['variable']} is not a variable of {', '.join(sorted(strange))}")


__all__ = ["RuleRow", "TableError", "read_rows"]
