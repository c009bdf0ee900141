"""Rows of a shop's own edition: the entries each takes; the tables with a row added, changed or removed."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from qualification.codes.own_columns import HINTS, as_shown, as_value, type_of
from qualification.codes.own_parts import LISTED, parts_of
from qualification.codes.own_tables import ALWAYS, HEAD, NAMED, RULES
from qualification.rules.core.findings import Provenance
from qualification.rules.editions.table_words import NAMES
from qualification.rules.ranges.kinds.basic import KINDS
from qualification.rules.ranges.prequalified import KINDS_WITHOUT_TEST
from qualification.rules.tabular import covers, rulebook
from qualification.rules.tabular.bands import band_row
from qualification.rules.tabular.overlay import Path as RowPath
from qualification.rules.tabular.overlay import hash_of, rows_of, value_at
from qualification.rules.tabular.schema import Column, is_required
from qualification.rules.variables.registry import registry

Files = dict[str, dict[str, Any]]
CITED = ("clause", "provenance", "source", "remark")
NOTE = "Note: "
LABELS = {
    "clause": "Clause",
    "because": "The rule in words",
    "with": "Parameter",
    "low_pick": "Of two smallest",
    "high_pick": "Of two largest",
    "not_encoded": "No rule encoded",
    "tested": "Tested",
    "covers": "Covers",
    "itself": "Covers itself as well",
    "rest": "What the table leaves out",
    "together": "All of the tested are needed",
    "by": "Looked up by",
    "test_when": "Only where the test has",
    "test_unless": "Not where the test has",
    "weld_when": "Only where the weld has",
    "weld_unless": "Not where the weld has",
}


@dataclass(frozen=True)
class Entry:
    """One entry of a row's form."""

    name: str
    """Of the field: the column, or `with.` and the parameter."""
    label: str
    kind: str
    of: Any
    required: bool
    choices_of: str
    """The variable whose choices it names; empty where it names none."""

    @property
    def hint(self) -> str:
        known = [choice.key for choice in registry()[self.choices_of].choices] if self.choices_of else []
        listed = f" Choices: {', '.join(known[:40])}{', …' if len(known) > 40 else ''}." if known else ""
        return HINTS.get(self.kind, "") + listed

    @property
    def path(self) -> tuple[str, ...]:
        return tuple(self.name.split(".", 1))

    def shown(self, row: Mapping[str, Any]) -> str:
        """What the row has for it, as typed."""
        return as_shown(value_at(row, self.path), self.kind, self.choices_of)

    def read(self, typed: str) -> Any:
        """Raises ValueError saying what to write."""
        return as_value(typed, self.kind, self.choices_of)


def kinds_for(file: str) -> list[tuple[str, str]]:
    """Kinds of rule that a file takes, each with what it does."""
    return [
        (name, words)
        for name, words in _words()["kinds"].items()
        if file != "prequalified.toml" or name in KINDS_WITHOUT_TEST
    ]


@cache
def _words() -> dict[str, dict[str, str]]:
    return tomllib.loads(Path(__file__).with_name("own_kinds.toml").read_text("utf-8"))


def kind_in_words(name: str) -> str:
    """What a kind of rule does."""
    return _words()["kinds"][name]


def has_form(file: str, path: RowPath, files: Mapping[str, Any]) -> bool:
    """Whether rows at that place are entered one by one."""
    return file in (*RULES, *NAMED) or str(path[0]) in parts_of(file, files)


def entries_of(
    file: str, path: RowPath | None, files: Mapping[str, Any], variable: str = "", rule: str = ""
) -> list[Entry]:
    """The entries a row takes: of a rule by its variable and kind, of a named table by the table. Raises
    KeyError for a variable, a kind or a table that is not there, ValueError for a file without a form."""
    if file in RULES:
        return _entries_of_rule(file, variable, rule)
    if file == "bands.toml":
        table = str((path or ("",))[0])
        return _entries(band_row(files[file][table]["of"]), {}, "")
    if file == "covers.toml":
        own, tested = _users(str((path or ("",))[0]), files)
        return _entries(covers.ROW, {"tested": tested, "covers": own}, "")
    columns = parts_of(file, files).get(str((path or ("",))[0]))
    if columns is None:
        raise ValueError(f"rows of {file} are written as a whole table")
    return _entries(columns, {}, "")


def _entries_of_rule(file: str, variable: str, rule: str) -> list[Entry]:
    known = dict(kinds_for(file))
    if variable not in registry() or rule not in known:
        raise KeyError(variable)
    params = KINDS[rule].schema(variable)
    named = dict.fromkeys(("allowed", "classes"), variable)
    wanted = [name for name in rulebook.ROW if name not in ("variable", "rule", "with", "standing")]
    if file == "prequalified.toml":
        wanted = [name for name in wanted if not name.startswith("test_")]
    rows = {name: rulebook.ROW[name] for name in wanted}
    return [*_entries(rows, {}, ""), *_entries(params, named, "with.")]


def _entries(columns: Mapping[str, Column], named: Mapping[str, str], within: str) -> list[Entry]:
    found = []
    for name, column in columns.items():
        if name in CITED[1:]:
            continue
        kind, of = type_of(column)
        choices = named.get(name, "")
        found.append(Entry(within + name, label_of(name), kind, of, is_required(column), choices))
    return found


def _users(table: str, files: Mapping[str, Any]) -> tuple[str, str]:
    """The variables of the covered and the tested choices of a table, by the first rule that names it."""
    for file in RULES:
        for row in files.get(file, {}).get("row", []):
            if row.get("with", {}).get("covers") == table:
                variable = row["variable"]
                return variable, row["with"].get("tested") or variable
    return "", ""


def label_of(name: str) -> str:
    """What an entry of a row is called."""
    return (
        LABELS.get(name)
        or _words()["parameters"].get(name)
        or NAMES.get(name)
        or name.replace("_", " ").capitalize()
    )


def note_of(row: Mapping[str, Any]) -> str:
    """The note beside a row, without who entered it."""
    remark = str(row.get("remark", ""))
    return remark.partition(NOTE)[2] if row.get("provenance") == Provenance.SHOP.value else remark


def stamped(row: Mapping[str, Any], person: str, day: date, book: str, note: str = "") -> dict[str, Any]:
    """The row as the shop's own: who entered it, when, and from which book."""
    kept = {key: value for key, value in row.items() if key not in ("source", "remark", "provenance")}
    said = f"Entered by {person} on {day.isoformat()} from {book}."
    return {
        **kept,
        "provenance": Provenance.SHOP.value,
        "remark": f"{said} {NOTE}{note}" if note else said,
    }


def all_stamped(before: Files, after: Files, person: str, day: date, book: str) -> Files:
    """The tables with every row that is not among those before stamped as the shop's own."""
    known = {(file, hash_of(row)) for file, _, row in rows_of(before)}
    made = copy.deepcopy(after)
    for file, path, row in list(rows_of(made)):
        if (file, hash_of(row)) not in known:
            _put(made, file, path, stamped(row, person, day, book, note_of(row)))
    return made


def _put(files: Files, file: str, path: RowPath, row: Mapping[str, Any]) -> None:
    node: Any = value_at(files[file], path[:-1])
    place: Any = path[-1]
    node[place] = dict(row)


def with_row(files: Files, file: str, path: RowPath, row: Mapping[str, Any], dimension: str = "") -> Files:
    """The tables with a row put in its place; a path that ends one beyond the last row adds it. A named table
    that is not there begins with it, a table of bands with its `dimension`."""
    made: dict[str, Any] = copy.deepcopy(files)
    body: dict[Any, Any] = made.setdefault(file, {"row": []} if file in RULES else {})
    if file == "bands.toml" and path[0] not in body:
        body[path[0]] = {"of": dimension, "row": []}
    if file in ("covers.toml", *LISTED) and path[0] not in body:
        body[path[0]] = []
    rows: Any = value_at(body, path[:-1])
    place = int(path[-1])
    rows[place : place + 1] = [dict(row)]
    return declared(made)


def without_row(files: Files, file: str, path: RowPath) -> Files:
    """The tables without a row; a named table goes with its last."""
    made: dict[str, Any] = copy.deepcopy(files)
    rows: Any = value_at(made[file], path[:-1])
    del rows[int(path[-1])]
    if not rows and file in (*NAMED, *LISTED):
        del made[file][path[0]]
    return declared(made)


def end_of(files: Mapping[str, Any], file: str, table: str) -> RowPath:
    """The place behind the last row of a file, or of one of its named tables."""
    start: RowPath = ("row",) if file in RULES else (table, "row") if file == "bands.toml" else (table,)
    rows = value_at(files.get(file, {}), start)
    return (*start, len(rows) if isinstance(rows, list) else 0)


def declared(files: Files) -> Files:
    """The tables with a head that names the files there are."""
    head = {key: value for key, value in files[HEAD].items() if key not in ("files", "without")}
    named = sorted(name for name in files if name not in ALWAYS)
    if set(RULES) & set(named):
        head.pop("records", None)  # with its first rule a content list is one no more
    return {**files, HEAD: {**head, "files": named}}
