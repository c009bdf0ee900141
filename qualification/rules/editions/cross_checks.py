"""Checks of an edition that need more than one of its files: tables that are named, choices that exist."""

from __future__ import annotations

from collections.abc import Iterable

from ..tabular.edition import Edition
from ..tabular.rulebook import RuleRow
from ..tabular.schema import TableError
from ..variables.definition import ValueKind
from ..variables.metal_systems import SYSTEMS, MetalSystem
from ..variables.registry import registry

PAIR = "pair"
METAL_RULES = frozenset(
    {
        "covers_each_side",
        "covers_pair",
        "same_group",
        "no_stronger_metal",
        "same_in_group",
        "groove_thickness",
        "deposit_thickness",
    }
)
"""Kinds of rule that look at the groups of metals."""


def cross_check(made: Edition) -> None:
    """Raises TableError naming the row at fault."""
    _one_system_of_metals(made)
    _bends_name_own_groups(made)
    for row in (*made.procedure, *made.welder, *made.more.get("prequalified", ())):
        _tables_exist(row, made)
        _choices_exist(row, made)
        _dimensions_agree(row, made)
        _bands_are_encoded(row, made)


def _bands_are_encoded(row: RuleRow, made: Edition) -> None:
    """Only the plain kind of rule can say of a band that it is not encoded."""
    for parameter in ("bands", "deposit_bands"):
        table = made.bands.get(row.params.get(parameter, ""))
        if (
            table is not None
            and row.rule != "band"
            and any(band.columns["not_encoded"] for band in table.bands)
        ):
            raise _fail(
                row, made, f"{row.rule} cannot use the table {table.name!r}, of which a band is not encoded"
            )


def _one_system_of_metals(made: Edition) -> None:
    tables = made.more.get("base_metals")
    own = made.metals
    if tables is not None and tables.numbers and tables.system is not own:
        raise TableError(
            f"{made.id}/base_metals.toml: groups metals by {tables.system.stem}, and edition.toml does not"
        )
    strange = {variable for system in SYSTEMS.values() if system is not own for variable in system.variables}
    for row in (*made.procedure, *made.welder, *made.more.get("prequalified", ())):
        if row.variable in strange:
            raise _fail(
                row, made, f"{row.variable} is of another system of metal groups than edition.toml names"
            )
        if row.rule in METAL_RULES and own is None:
            raise _fail(
                row,
                made,
                f"{row.rule} looks at groups of metals; name their system in edition.toml (metal_groups)",
            )
        if row.rule == "same_group" and own is not None and not own.sub_stem:
            raise _fail(row, made, f"{own.label}s have no groups within them")


def _bends_name_own_groups(made: Edition) -> None:
    """Rows on bend specimens and formers name groups of the edition's own system."""
    tables = made.more.get("specimens")
    known = {choice.key for choice in made.metals.choices} if made.metals else set()
    for row in (*tables.specimens, *tables.formers) if tables else ():
        for test in row.metals:
            strange = sorted(((test.one_side or frozenset()) | (test.other_side or frozenset())) - known)
            if strange:
                raise TableError(
                    f"{made.id}/{row.citation.row}: {strange[0]!r} is not a group of metals of this edition"
                )


def _metals_of(made: Edition) -> MetalSystem:
    assert made.metals is not None
    return made.metals


def _fail(row: RuleRow, made: Edition, message: str) -> TableError:
    return TableError(f"{made.id}/{row.citation.row}: {message}")


def _tables_exist(row: RuleRow, made: Edition) -> None:
    kinds_of_table = {
        "bands": made.bands,
        "deposit_bands": made.bands,
        "covers": made.covers,
        "stand_ins": made.covers,
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
    if row.rule == "same_in_group":
        _known(_metals_of(made).side("a"), row.params["groups"], row, made)
        if not row.variable.endswith("_a"):
            raise _fail(row, made, "same_in_group is stated for side A and holds for both")
    for table, tested, covers in _cover_tables(row, made):
        for cover in made.covers[table].rows:
            for variable, choices in ((tested, cover.tested), (covers, cover.covers)):
                try:
                    _known(variable, choices, row, made)
                except TableError as error:
                    raise TableError(f"{made.id}/{cover.citation.row}: {error}") from error


def _cover_tables(row: RuleRow, made: Edition) -> list[tuple[str, str, str]]:
    """(table, variable of its tested choices, variable of its covered ones), as the rule reads them."""
    found = []
    if row.rule == "covers":
        found.append((row.params["covers"], row.params["tested"] or row.variable, row.variable))
    if row.rule == "covers_each_side":
        side = _metals_of(made).side("a")
        found.append((row.params["covers"], side, side))
    if row.rule == "covers_pair":
        side = _metals_of(made).side("a")
        found += [(row.params["covers"], PAIR, PAIR), (row.params["stand_ins"], side, side)]
    return found


def _known(variable: str, choices: Iterable[str], row: RuleRow, made: Edition) -> None:
    of_pairs = variable == PAIR
    named_by = _metals_of(made).side("a") if of_pairs else variable
    known = {choice.key for choice in registry()[named_by].choices}
    named = [part for choice in choices for part in (choice.split("|") if of_pairs else [choice])]
    strange = [name for name in named if known and name not in known]
    if strange:
        raise _fail(row, made, f"{strange[0]!r} is not a choice of {named_by}")


def _dimensions_agree(row: RuleRow, made: Edition) -> None:
    definition = registry()[row.variable]
    for parameter in ("bands", "deposit_bands"):
        table = row.params.get(parameter)
        if table is None:
            continue
        if definition.kind is not ValueKind.NUMBER or made.bands[table].of != definition.dimension:
            of = made.bands[table].of
            raise _fail(row, made, f"the table {table!r} is of {of}, and {row.variable} is not")
