"""Every row of an edition's tables in words: what a person holds against the shop's own copy of the code.

The rows are taken from the parsed files themselves, which the loader has checked, so that a page shows each
number exactly as it is written there, in both unit systems, and none can be left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ..core.findings import Provenance, Source
from ..core.quantities import SI, US
from ..core.words import within_sentence
from ..entries.wording import say_choice
from ..required.items import Need
from ..tabular.edition import ROOT, Edition, RawEdition, read_files
from ..tabular.overlay import Path, rows_of
from ..testing.results import ResultKind
from ..variables.definition import ValueKind
from ..variables.metal_systems import SYSTEMS
from ..variables.record_fields import RECORD_FIELDS
from ..variables.registry import registry

HEADINGS = {
    "procedure": "Procedure: variables",
    "welder": "Welder: variables",
    "free": "What a test leaves free",
    "bands": "Ranges by band of a number",
    "covers": "Which tested choice covers which",
    "base_metals": "Base metals",
    "fillers": "Fillers",
    "a_numbers": "Weld metal by analysis",
    "specimens": "Required tests and specimens",
    "acceptance": "Acceptance of results",
    "continuity": "Keeping a qualification",
    "prequalified": "Procedures without a test",
    "scope": "What is known of the edition",
    "later": "What is told of a later edition",
    "content": "What a record has to state",
}
"""Files in the order in which they are shown; others follow under their own name."""
NOT_ROWS = frozenset({"edition", "sources"})
TOLD_APART = frozenset({"clause", "provenance", "source", "remark", "because", "standing", "rule"})
"""Columns with a place of their own, and the kind of rule, which `because` says in words."""
SUBJECTS = (
    "variable",
    "variables",
    "fields",
    "of_rules",
    "check",
    "name",
    "metals",
    "fillers",
    "kinds",
    "group",
    "tested",
)
"""Columns that say what a row is about, the first one present wins."""
NAMES = {
    "test_when": "Where the test has",
    "test_unless": "Not where the test has",
    "weld_when": "Where the weld has",
    "weld_unless": "Not where the weld has",
    "when": "Where",
    "unless": "Not where",
    "any_of": "Asked",
    "one_side": "Metal of one side",
    "other_side": "Metal of the other side",
    "f_any": "F-Number of a filler",
    "most": "At most",
    "least": "At least",
    "span": "Band",
    "because": "The rule in words",
    "by": "Chosen by",
    "need": "Weight",
    "leaving_out": "Leaving out",
    "silent": "Not named by the code",
    "of_rules": "Every variable that is",
    "procedure_test": "Procedure test",
    "welder_test": "Welder test",
    "fields": "Stated",
    "variables": "Stated",
    "low": "Smallest",
    "high": "Largest",
    "low_factor": "Smallest, times the tested",
    "high_factor": "Largest, times the tested",
    "high_of": "Largest, as that of the",
    "unlimited": "No upper limit",
    "f_number": "F-Number",
    "a_number": "A-Number",
    "kind": "Result",
    "kinds": "Results",
    "together": "Count as one",
    "hardest": "Hardest, HV10",
    "by_name": "By name rather than group",
    "bands": "Bands",
    "a": "Former",
    "b": "Former radius",
    "c": "Die opening",
    "d": "Half the opening",
}
"""What a column or a part of a file is called, where its key does not say it."""
UNITS = {US: "inch units", SI: "metric units"}
ENDS = {"at_least": "at least", "above": "above", "up_to": "up to", "below": "below"}
CHOICES_OF = {"f_any": "f_number", "product_form": "product_form"}
"""Columns whose choices are those of a variable of another name."""


@dataclass(frozen=True)
class Column:
    """One entry of a row, numbers in both unit systems."""

    name: str
    words: str


@dataclass(frozen=True)
class TableRow:
    file: str
    section: str
    """Part of the file, in words."""
    place: str
    """Where the row stands, so that it can be found: section and number."""
    path: Path
    """Keys and list places that lead to the row inside its file."""
    subject: str
    clause: str
    because: str
    standing: str
    columns: tuple[Column, ...]
    provenance: str
    provenance_words: str
    sources: tuple[Mapping[str, str], ...]
    remark: str

    @property
    def address(self) -> str:
        """`path` as part of a page's address."""
        return "/".join(map(str, self.path))


@dataclass(frozen=True)
class Table:
    file: str
    heading: str
    rows: tuple[TableRow, ...]

    def count(self, provenance: Provenance) -> int:
        return sum(1 for row in self.rows if row.provenance == provenance.value)


def tables_in_words(edition: Edition, files: RawEdition | None = None) -> tuple[Table, ...]:
    """All tables of an edition. `files` are its parsed files where they are at hand already."""
    files = files or read_files(ROOT / edition.id)
    stems = [name.removesuffix(".toml") for name in files]
    ordered = [
        *(s for s in HEADINGS if s in stems),
        *(s for s in stems if s not in HEADINGS and s not in NOT_ROWS),
    ]
    return tuple(
        Table(stem, heading_of_table(stem), tuple(_rows(stem, files[f"{stem}.toml"], edition)))
        for stem in ordered
    )


def heading_of_table(stem: str) -> str:
    """What the table in the file of that stem is called on pages."""
    return HEADINGS.get(stem, _plain(stem))


def _rows(stem: str, raw: Mapping[str, Any], edition: Edition) -> Iterator[TableRow]:
    for _, path, row in rows_of({stem: raw}):
        yield _row(stem, path, row, edition)


def _section(path: Path) -> tuple[str, int]:
    """The part of the file a row stands in, and its number there, counted from 1; 0 where rows have names."""
    section, number = "", 0
    for step in path:
        if isinstance(step, int):
            number = step + 1
        else:
            section, number = (section if step == "row" and section else step), 0
    return section, number


def row_in_words(edition: Edition, file: str, path: Path, row: Mapping[str, Any]) -> TableRow:
    """One row of a file, such as `bands.toml`, in words."""
    return _row(file.removesuffix(".toml"), path, row, edition)


def _row(stem: str, path: Path, row: Mapping[str, Any], edition: Edition) -> TableRow:
    section, number = _section(path)
    place = f"{section} {number}".strip() if number else section
    variables = _variables_of(stem, section, row, edition)
    subject = next((key for key in SUBJECTS if key in row), "")
    provenance = Provenance(row["provenance"])
    given = {**{key: value for key, value in row.items() if key != "with"}, **row.get("with", {})}
    columns = [
        Column(_name(key), _say(value, key, variables))
        for key, value in given.items()
        if key not in TOLD_APART and key != subject
    ]
    return TableRow(
        file=stem,
        path=path,
        section="" if section in ("row", "check") else _name(section),
        place=place,
        subject=_subject(row, subject, section, variables),
        clause=row["clause"],
        because=row.get("because", ""),
        standing=_standing(row.get("standing")),
        columns=tuple(columns),
        provenance=provenance.value,
        provenance_words=provenance.words,
        sources=tuple(_source(edition.sources[key]) for key in row.get("source", [])),
        remark=row.get("remark", ""),
    )


def _subject(row: Mapping[str, Any], key: str, section: str, variables: Mapping[str, str]) -> str:
    if not key:
        return _name(section)
    if key == "tested":
        return f"{_name(section)}: tested {_say(row[key], key, variables)}"
    return _capital(_say(row[key], key, variables))


def _variables_of(stem: str, section: str, row: Mapping[str, Any], edition: Edition) -> dict[str, str]:
    """Which variable's choices the columns of a row name, so that they can be said by their labels."""
    found = dict(CHOICES_OF)
    if edition.metals is not None:
        found |= dict.fromkeys(("one_side", "other_side", "by_name"), edition.metals.side("a"))
    if "variable" in row:
        found |= dict.fromkeys(("allowed", "classes"), row["variable"])
    if stem == "covers":
        user = next((r for r in (*edition.procedure, *edition.welder) if section in r.params.values()), None)
        if user is not None:
            found |= {"covers": user.variable, "tested": str(user.params.get("tested") or user.variable)}
    if stem == "base_metals":
        found |= {"number": edition.metals.side("a") if edition.metals else ""}
    if stem == "fillers":
        found |= {"number": section if section in registry() else "a_number"}
    if stem == "continuity":
        found |= {"together": "operation"}
    return found


def _source(source: Source) -> dict[str, str]:
    return {"key": source.key, "title": source.words, "url": source.url}


def _standing(raw: Mapping[str, str] | None) -> str:
    """`Essential for SMAW, GMAW; supplementary essential for SAW`."""
    if not raw:
        return ""
    words: dict[str, list[str]] = {}
    for process, standing in raw.items():
        words.setdefault("supplementary essential" if standing == "supplementary" else standing, []).append(
            process
        )
    return _capital(
        "; ".join(f"{standing} for {', '.join(processes)}" for standing, processes in words.items())
    )


def _name(key: str) -> str:
    if key in SYSTEMS:
        return SYSTEMS[key].label
    return registry()[key].label if key in registry() and key not in NAMES else NAMES.get(key) or _plain(key)


def say_path(path: Path) -> str:
    """What a value inside a row is called: `Band, above, inch`."""
    names = [
        f"{step + 1}" if isinstance(step, int) else UNITS.get(step) or _name(step)
        for step in path
        if step != "with"
    ]
    return ", ".join([names[0], *(within_sentence(name) for name in names[1:])])


def _plain(key: str) -> str:
    return _capital(key.replace("_", " "))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _say(value: Any, key: str, variables: Mapping[str, str]) -> str:
    if isinstance(value, bool):
        return "Yes" if value else "No"
    if isinstance(value, dict):
        return _say_dict(value, key, variables)
    if isinstance(value, list):
        nested = any(isinstance(item, (dict, list)) for item in value)
        return (" or " if nested else ", ").join(_say(item, key, variables) for item in value) or "Nothing"
    return _say_one(value, key, variables)


def _say_dict(value: Mapping[str, Any], key: str, variables: Mapping[str, str]) -> str:
    if set(value) == {US, SI}:
        return str(value[US]) if value[US] == value[SI] else f"{value[US]} ({value[SI]})"
    if set(value) <= set(ENDS):
        return ", ".join(f"{ENDS[end]} {_say(limit, key, variables)}" for end, limit in value.items())
    if set(value) <= set(ResultKind):
        return " and ".join(ResultKind(kind).counted(number) for kind, number in value.items())
    return "; ".join(
        f"{within_sentence(_name(each))}: {_say(inner, each, variables)}" for each, inner in value.items()
    )


def _say_one(value: Any, key: str, variables: Mapping[str, str]) -> str:
    text = str(value)
    if key in ("kind", "kinds") and text in set(ResultKind):
        return ResultKind(text).words
    if key == "need":
        return Need(text).words
    if key == "fields" and text in RECORD_FIELDS:
        return RECORD_FIELDS[text].label
    variable = text if key in ("variable", "variables", "leaving_out", "by") and text in registry() else ""
    if variable:
        return registry()[variable].label
    definition = registry().get(variables.get(key, key))
    if (
        definition is not None
        and definition.kind in (ValueKind.CHOICE, ValueKind.GAS)
        and key not in ("variable", "rule")
    ):
        return say_choice(definition, text)
    return text.replace("_", " ")


__all__ = [
    "HEADINGS",
    "Column",
    "Table",
    "TableRow",
    "heading_of_table",
    "row_in_words",
    "say_path",
    "tables_in_words",
]
