"""Checks of an edition that need more than one of its files: tables that are named, choices that exist."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from .rulebook import RuleRow
from .schema import TableError
from .variables import Kind, registry

if TYPE_CHECKING:
    from .tables import Edition

P_NUMBER, PAIR = "p_number_a", "pair"


def cross_check(made: Edition) -> None:
    """Raises TableError naming the row at fault."""
    for row in (*made.procedure, *made.welder):
        _tables_exist(row, made)
        _choices_exist(row, made)
        _dimensions_agree(row, made)


def _fail(row: RuleRow, made: Edition, message: str) -> TableError:
    return TableError(f"{made.id}/{row.citation.row}: {message}")


def _tables_exist(row: RuleRow, made: Edition) -> None:
    kinds_of_table = {
        "bands": made.bands, "deposit_bands": made.bands, "covers": made.covers, "stand_ins": made.covers,
    }
    for parameter, among in kinds_of_table.items():
        wanted = row.params.get(parameter)
        if wanted is not None and wanted not in among:
            raise _fail(row, made, f"there is no table {wanted!r}")


def _choices_exist(row: RuleRow, made: Edition) -> None:
    if row.rule == "fixed":
        _known(row.variable, row.params["allowed"], row, made)
    if row.rule == "same_class":
        for members in row.params["classes"]:
            _known(row.variable, members, row, made)
    for table, tested, covers in _cover_tables(row):
        for cover in made.covers[table].rows:
            for variable, choices in ((tested, cover.tested), (covers, cover.covers)):
                try:
                    _known(variable, choices, row, made)
                except TableError as error:
                    raise TableError(f"{made.id}/{cover.citation.row}: {error}") from error


def _cover_tables(row: RuleRow) -> list[tuple[str, str, str]]:
    """(table, variable of its tested choices, variable of its covered ones), as the rule reads them."""
    found = []
    if row.rule == "covers":
        found.append((row.params["covers"], row.params["tested"] or row.variable, row.variable))
    if row.rule == "covers_each_side":
        found.append((row.params["covers"], P_NUMBER, P_NUMBER))
    if row.rule == "covers_pair":
        found += [(row.params["covers"], PAIR, PAIR), (row.params["stand_ins"], P_NUMBER, P_NUMBER)]
    return found


def _known(variable: str, choices: Iterable[str], row: RuleRow, made: Edition) -> None:
    of_pairs = variable == PAIR
    known = {choice.key for choice in registry()[P_NUMBER if of_pairs else variable].choices}
    named = [part for choice in choices for part in (choice.split("|") if of_pairs else [choice])]
    strange = [name for name in named if known and name not in known]
    if strange:
        raise _fail(row, made, f"{strange[0]!r} is not a choice of {P_NUMBER if of_pairs else variable}")


def _dimensions_agree(row: RuleRow, made: Edition) -> None:
    definition = registry()[row.variable]
    for parameter in ("bands", "deposit_bands"):
        table = row.params.get(parameter)
        if table is None:
            continue
        if definition.kind is not Kind.NUMBER or made.bands[table].of != definition.dimension:
            of = made.bands[table].of
            raise _fail(row, made, f"the table {table!r} is of {of}, and {row.variable} is not")
