"""The form of one row of a shop's own edition: the entries its table and kind of rule take."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from qualification.codes.own_columns import name_of
from qualification.codes.own_parts import LISTED, part_in_words, parts_of
from qualification.codes.own_rows import Entry, Files, entries_of, kinds_for, note_of, with_row
from qualification.codes.own_tables import RULES, build
from qualification.codes.table_values import NO, YES
from qualification.forms.fields import choice_field, text_field
from qualification.forms.own_edition import heading_of, helper
from qualification.rules.core.findings import VariableClass
from qualification.rules.core.quantities import DIMENSIONS
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.overlay import Path
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.registry import registry

LONG = ("because", "conditions", "condition_sets", "counts")
TABLE_OF = {
    "bands": "bands.toml",
    "deposit_bands": "bands.toml",
    "covers": "covers.toml",
    "stand_ins": "covers.toml",
}
"""Parameters that name a table, and the file it stands in."""
LONGEST = 1000


class RowStartForm(forms.Form):
    """What a new row is about: its table, and of a rule its variable and kind."""

    def __init__(self, files: Mapping[str, Any], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        made = [
            (f"{file}/{name}", f"{heading_of(file)}: {name.replace('_', ' ')}")
            for file in ("bands.toml", "covers.toml")
            for name in files.get(file, {})
        ]
        new = [("bands.toml/", "A new table of bands"), ("covers.toml/", "A new table of choices")]
        parts = [
            (f"{file}/{part}", f"{heading_of(file)}: {part_in_words(part)}")
            for file in LISTED
            for part in parts_of(file, files)
        ]
        self.fields["table"] = choice_field(
            "Table", [*((file, heading_of(file)) for file in RULES), *made, *new, *parts], "Choose a table."
        )
        groups: dict[str, list[tuple[str, str]]] = {}
        for key, variable in registry().items():
            groups.setdefault(variable.group, []).append((key, variable.label))
        self.fields["variable"] = choice_field(
            "What it limits", [("", "Choose"), *groups.items()], help_text="For a rule."
        )
        self.fields["rule"] = choice_field(
            "Kind of rule", [("", "Choose"), *kinds_for("procedure.toml")], help_text="For a rule."
        )
        self.fields["name"] = text_field(
            "Name of a new table", 40, help_text="Small letters and underscores, such as plate_thickness."
        )
        dimensions = [(key, key.replace("_", " ").capitalize()) for key in DIMENSIONS]
        self.fields["of"] = choice_field(
            "Numbers of", [("", "Choose"), *dimensions], help_text="For a new table of bands."
        )
        self.helper = helper("table", "variable", "rule", "name", "of")

    def clean(self) -> dict[str, Any]:
        """Ask for what the chosen table needs."""
        cleaned = super().clean() or {}
        table = cleaned.get("table", "")
        if table in RULES:
            if not cleaned.get("variable"):
                self.add_error("variable", ValidationError("Choose what the rule limits."))
            if not cleaned.get("rule"):
                self.add_error("rule", ValidationError("Choose the kind of rule."))
        elif table.endswith("/"):
            name = cleaned.get("name", "")
            if not name.isascii() or not name.replace("_", "").isalnum() or name != name.lower():
                self.add_error("name", ValidationError("Name the table in small letters and underscores."))
            if table.startswith("bands") and not cleaned.get("of"):
                self.add_error("of", ValidationError("Choose what its numbers are of."))
        return cleaned


class OwnRowForm(forms.Form):
    """The entries of one row. What the strict loader refuses is said above the form, with row and entry."""

    def __init__(
        self,
        key: str,
        files: Files,
        file: str,
        path: Path,
        row: Mapping[str, Any],
        *args: Any,
        of: str = "",
        **kwargs: Any,
    ) -> None:
        """`row`: as it stands, or `variable` and `rule` of a new one; `of`: dimension of a new table of
        bands. Raises KeyError where there is no such variable, kind or table."""
        super().__init__(*args, **kwargs)
        self.key, self.tables, self.file, self.path, self.row, self.of = key, files, file, path, row, of
        among = with_row(files, file, path, {}, of) if file not in RULES else files
        self.entries: dict[str, Entry] = {}
        self.standings: dict[str, str] = {}
        self.made: Edition | None = None
        self.after: Files = files
        if file in RULES:
            self._standing_fields()
        for entry in entries_of(file, path, among, str(row.get("variable", "")), str(row.get("rule", ""))):
            name = entry.name.replace(".", "-")
            self.entries[name] = entry
            self.fields[name] = self._field(entry)
        self.fields["note"] = text_field(
            "Note",
            300,
            help_text="What the book says beside it, or why it was read so.",
            initial=note_of(row),
        )
        self.helper = helper(*self._order())

    def _order(self) -> list[Fieldset]:
        where = [
            name for name, entry in self.entries.items() if entry.kind in ("conditions", "condition_sets")
        ]
        rest = [name for name in self.entries if name not in (*where, "clause", "because")]
        said = [name for name in ("because",) if name in self.entries]
        groups = [
            Fieldset("The book", "clause", *said, "note"),
            Fieldset("What it says", *rest, *([Row(*self.standings)] if self.standings else [])),
            Fieldset("Where it speaks", *where),
        ]
        return [group for group in groups if any(getattr(group, "fields", ()))]

    def _standing_fields(self) -> None:
        classes = [
            ("", "No variable of it"),
            *((each.value, each.value.capitalize()) for each in VariableClass),
        ]
        processes = registry()[str(self.row["variable"])].processes
        for process in self.tables["edition.toml"]["processes"]:
            if process in processes:
                name = f"standing-{process}"
                self.standings[name] = process
                self.fields[name] = choice_field(
                    f"Weight, {process}",
                    classes,
                    initial=self.row.get("standing", {}).get(
                        process, "" if self.row.get("clause") else "essential"
                    ),
                )

    def _field(self, entry: Entry) -> forms.Field:
        needed = f"{entry.label}: enter a value." if entry.required else ""
        shown = entry.shown(self.row)
        if entry.kind == "known_variable" and shown:
            shown = name_of(shown)
        last = entry.path[-1]
        if last in TABLE_OF and entry.kind == "text":
            tables: dict[str, Any] = self.tables.get(TABLE_OF[last], {})
            choices = [("", "Choose"), *((name, name.replace("_", " ")) for name in tables)]
            return choice_field(entry.label, choices, needed, initial=shown)
        if entry.kind == "yes_no":
            return choice_field(
                entry.label, [("", "Not said"), (YES, "Yes"), (NO, "No")], needed, initial=shown
            )
        if entry.kind == "one_of":
            choices = [("", "Not said"), *((each, each.replace("_", " ").capitalize()) for each in entry.of)]
            return choice_field(entry.label, choices, needed, initial=shown)
        wide = last in LONG or entry.kind in LONG
        more = {"widget": forms.Textarea(attrs={"rows": 3})} if wide else {}
        return text_field(entry.label, LONGEST, needed, entry.hint, initial=shown, **more)

    def clean(self) -> dict[str, Any]:
        """Read the entries and build the edition with the row. Nothing typed is lost."""
        cleaned = super().clean() or {}
        row: dict[str, Any] = {
            name: value
            for name, value in self.row.items()
            if name in ("variable", "rule", "provenance", "remark", "source")
        }
        for name, entry in self.entries.items():
            if cleaned.get(name):
                try:
                    self._put(row, entry, entry.read(cleaned[name]))
                except ValueError as error:
                    self.add_error(name, ValidationError(str(error)))
        if self.file in RULES:
            row["standing"] = {
                process: cleaned[name] for name, process in self.standings.items() if cleaned.get(name)
            }
            if not row["standing"]:
                self.add_error(None, ValidationError("Give the row a weight for at least one process."))
        if not self.errors:
            self._build({"provenance": "shop", **row})
        return cleaned

    @staticmethod
    def _put(row: dict[str, Any], entry: Entry, value: Any) -> None:
        place = row.setdefault(entry.path[0], {}) if len(entry.path) > 1 else row
        place[entry.path[-1]] = value

    def _build(self, row: dict[str, Any]) -> None:
        self.built_row = row
        self.after = with_row(self.tables, self.file, self.path, row, self.of)
        try:
            self.made = build(self.key, self.after)
        except TableError as error:
            self.add_error(None, ValidationError(in_words(error)))


def in_words(error: TableError) -> str:
    """What the loader refuses, with table and row as a person finds them."""
    where, _, message = str(error).partition(": ")
    _, _, place = where.partition("/")
    file, _, row = place.partition(", ")
    named = heading_of(file) if file.endswith(".toml") else where
    said = f"{named}, {row}" if row else named
    return f"{said}: {message or where}. Correct the entry it names and save again; nothing was saved."
