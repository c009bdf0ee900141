"""Terms of a standard that follow from several choices by a table: a position, a process number.

A table speaks where the variable it is named after is stated. Every combination of the choices a weld claims
is looked up on its own; where one of them cannot be told, or the rows disagree about it for want of a value,
nothing is said at all. A term is worked out, never typed in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import product
from typing import Any

from ..core.facts import Facts
from ..core.findings import Provenance, Source
from ..core.values import MISSING, Absent, Stated
from ..tabular import edition as tables
from ..tabular import schema
from ..tabular.schema import Book, Column, TableError, TablePlace, read_row, required
from ..variables.registry import registry

FOLDER = "catalogue"
MOST = 400
"""Combinations looked up for one weld; a box that claims more gets no term."""


@dataclass(frozen=True)
class TermRow:
    when: Mapping[str, frozenset[str]]
    term: str
    clause: str
    provenance: Provenance
    row: str
    remark: str = ""


@dataclass(frozen=True)
class TermTables:
    variable: str
    """The derived variable the terms are values of."""
    tables: Mapping[str, tuple[TermRow, ...]]
    """Rows by the variable that has to be stated for them to speak."""

    def of(self, facts: Facts) -> Stated:
        """The terms of a weld line, or `MISSING`."""
        for by, rows in self.tables.items():
            if not isinstance(facts[by], Absent):
                return _terms(facts, rows)
        return MISSING


def _conditions(raw: Any, place: TablePlace) -> dict[str, frozenset[str]]:
    return {
        spec.variable: spec.allowed
        for spec in schema.conditions(raw, place)
        if isinstance(spec.allowed, frozenset)
    }


ROW: dict[str, Column] = {**schema.CITED, "when": required(_conditions), "term": required(schema.text)}


@cache
def term_tables(file: str) -> TermTables:
    """The tables of one file of the catalogue folder. Raises TableError naming file and row."""
    return build_terms(file, catalogue_file(file), catalogue_sources())


def catalogue_file(file: str) -> Mapping[str, Any]:
    """One parsed file of the catalogue folder. Raises TableError when it is missing."""
    if file not in _files():
        raise TableError(f"{FOLDER}/{file}: the file is missing")
    return _files()[file]


@lru_cache(maxsize=1)
def _files() -> Mapping[str, Mapping[str, Any]]:
    return tables.read_files(tables.ROOT / FOLDER)


def catalogue_sources() -> dict[str, Source]:
    """The public pages that rows of the catalogue name, by key. Raises TableError."""
    return tables.read_sources(FOLDER, catalogue_file("sources.toml"))


def build_terms(file: str, raw: Mapping[str, Any], sources: Mapping[str, Source]) -> TermTables:
    """Check a parsed file. Raises TableError for a term its variable does not have."""
    place = TablePlace(FOLDER, file, book=Book("", "", sources))
    variable = schema.known_variable(raw.get("variable"), place)
    known = {choice.key for choice in registry()[variable].choices}
    found: dict[str, tuple[TermRow, ...]] = {}
    for by, listed in raw.items():
        if by == "variable":
            continue
        schema.known_variable(by, place)
        made = []
        for item, here in schema.numbered(listed, place, by):
            row = read_row(item, ROW, here)
            if known and row["term"] not in known:
                raise here.fail(f"{row['term']!r} is not a choice of {variable}")
            cited = schema.citation(row, here)
            made.append(
                TermRow(row["when"], row["term"], row["clause"], cited.provenance, cited.row, cited.remark)
            )
        found[by] = tuple(made)
    return TermTables(variable, found)


def _terms(facts: Facts, rows: tuple[TermRow, ...]) -> Stated:
    values = {key: facts[key] for row in rows for key in row.when}
    known = {key: sorted(value) for key, value in values.items() if isinstance(value, frozenset)}
    count = 1
    for choices in known.values():
        count *= len(choices)
    if count > MOST:
        return MISSING
    found: set[str] = set()
    for combination in product(*known.values()):
        term = _term(dict(zip(known, combination, strict=True)), rows)
        if not term:
            return MISSING
        found.add(term)
    return frozenset(found)


def _term(chosen: Mapping[str, str], rows: Iterable[TermRow]) -> str:
    """The term of one combination; empty when no row holds, or when a value left out could change it."""
    sure: set[str] = set()
    possible: set[str] = set()
    for row in rows:
        if any(key in chosen and chosen[key] not in allowed for key, allowed in row.when.items()):
            continue
        (sure if all(key in chosen for key in row.when) else possible).add(row.term)
    return next(iter(sure)) if len(sure) == 1 and possible <= sure else ""
