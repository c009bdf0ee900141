"""What a record has to state, an edition's content.toml: one section for each kind of record, a row for each
item.

A row names variables of the registry, or fields of the record, any one of which states the item; or, with
`of_rules`, every variable that the edition's own rules give such a standing for the process at hand. `need`
says whether the code requires the item or whether customers, inspectors or the code's sample form ask for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from ..core.findings import Citation, VariableClass
from ..tabular import schema
from ..tabular.schema import CITED, Column, ConditionSpec, TablePlace, read_row, required
from ..variables.definition import PROCESSES, Level, RecordKind
from ..variables.record_fields import RECORD_FIELDS
from ..variables.registry import registry

SECTIONS: dict[str, RecordKind] = {
    "procedure": RecordKind.SPEC,
    "procedure_test": RecordKind.TEST,
    "welder_test": RecordKind.WELDER_TEST,
}


class Need(StrEnum):
    """How much weight the item has."""

    REQUIRED = "required"
    """The code requires it; without it the record is not approved."""
    HABIT = "habit"
    """A sample form, customers or inspectors ask for it."""

    @property
    def words(self) -> str:
        return {Need.REQUIRED: "Required by the code", Need.HABIT: "Asked for by form or habit"}[self]


@dataclass(frozen=True)
class ContentRow:
    """One row: what is to be stated, when, and by which clause."""

    names: tuple[str, ...]
    """Keys of variables or of fields; stating one of them is enough. Empty for a row `of_rules`."""
    of_rules: frozenset[VariableClass]
    need: Need
    processes: frozenset[str]
    when: tuple[ConditionSpec, ...]
    """The item arises only where all of these hold."""
    unless: tuple[tuple[ConditionSpec, ...], ...]
    """The item does not arise where all conditions of one of these hold for the whole of the weld."""
    leaving_out: frozenset[str]
    """Variables of `of_rules` that this record need not state, or that a row of their own asks for."""
    because: str
    citation: Citation

    @property
    def level(self) -> Level:
        """Whether the item is stated once or for each process line."""
        lines = any(key in registry() and registry()[key].level is Level.LINE for key in self.names)
        return Level.LINE if lines else Level.JOINT


@dataclass(frozen=True)
class Content:
    """The rows of an edition by kind of record."""

    rows: Mapping[RecordKind, tuple[ContentRow, ...]]


ROW: dict[str, Column] = {
    **CITED,
    "variables": schema.keys,
    "fields": schema.keys,
    "of_rules": schema.keys,
    "need": required(schema.one_of(*Need)),
    "processes": schema.keys,
    "when": schema.conditions,
    "unless": schema.condition_sets,
    "leaving_out": schema.keys,
    "because": required(schema.text),
}


def read_content(raw: Mapping[str, Any], place: TablePlace) -> Content:
    """Raises TableError naming file and row: unknown keys, a variable that kind of record does not state, an
    item asked for twice."""
    if not raw or set(raw) - set(SECTIONS):
        raise place.fail(
            f"expected sections among {', '.join(SECTIONS)}, found {', '.join(sorted(raw)) or 'none'}"
        )
    found: dict[RecordKind, tuple[ContentRow, ...]] = {}
    for section, use in SECTIONS.items():
        if section in raw:
            body = raw[section]
            if not isinstance(body, dict) or set(body) - {"code", "edition", "row"}:
                raise place.at(section).fail(
                    "expected [[row]] entries, and code and edition where it is another's"
                )
            named = {name: body[name] for name in ("code", "edition") if name in body}
            cited = replace(place, row=section, book=replace(place.book, **named))
            found[use] = tuple(_rows(body.get("row"), section, use, cited))
    return Content(found)


def _rows(raw: Any, section: str, use: RecordKind, place: TablePlace) -> Iterator[ContentRow]:
    asked: dict[tuple[Any, ...], str] = {}
    for item, here in schema.numbered(raw, place, f"{section} row", "clause"):
        row = _row(item, use, here)
        key = (row.names, row.of_rules, row.processes)
        if key in asked:
            raise here.fail(f"asks for the same as {asked[key]}")
        asked[key] = here.row
        yield row


def _row(item: Any, use: RecordKind, place: TablePlace) -> ContentRow:
    row = read_row(item, ROW, place)
    given = [key for key in ("variables", "fields", "of_rules") if row[key]]
    if len(given) != 1:
        raise place.fail("needs exactly one of variables, fields, of_rules")
    for key in row["variables"] or ():
        definition = registry()[schema.known_variable(key, place)]
        if use not in definition.uses:
            raise place.fail(f"a {use.value} does not state {key}")
    for key in row["fields"] or ():
        if key not in RECORD_FIELDS or use not in RECORD_FIELDS[key].uses:
            raise place.fail(f"{key!r} is not a field of a {use.value}")
    standings = {schema.one_of(*VariableClass)(word, place) for word in row["of_rules"] or ()}
    processes = {schema.one_of(*PROCESSES)(word, place) for word in row["processes"] or ()}
    made = ContentRow(
        names=row["variables"] or row["fields"] or (),
        of_rules=frozenset(VariableClass(word) for word in standings),
        need=Need(row["need"]),
        processes=frozenset(processes),
        when=row["when"] or (),
        unless=row["unless"] or (),
        leaving_out=frozenset(row["leaving_out"] or ()),
        because=row["because"],
        citation=schema.citation(row, place),
    )
    if made.leaving_out and not made.of_rules:
        raise place.fail("leaves something out of what it does not take from the rules")
    for key in made.leaving_out:
        schema.known_variable(key, place)
    conditions = [*made.when, *(condition for each in made.unless for condition in each)]
    if (
        made.level is Level.JOINT
        and not made.of_rules
        and any(registry()[c.variable].level is Level.LINE for c in conditions)
    ):
        raise place.fail("is stated once, and depends on something stated for each process line")
    return made
