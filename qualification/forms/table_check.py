"""The form by which a row of the code tables is held against the shop's own copy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from crispy_forms.layout import Fieldset
from django import forms
from django.core.exceptions import ValidationError

from qualification.codes.editions_in_force import find_row, in_force, supposed_token, with_check
from qualification.codes.table_values import as_typed, value_like
from qualification.forms.days import PastDayField
from qualification.forms.fields import layout_of, text_field
from qualification.rules.editions.sheet_rows import SheetRow, sheet_row
from qualification.rules.editions.table_words import TableRow, row_in_words, say_path
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.overlay import Path, TableVerification, hash_of, leaves_of, value_at
from qualification.rules.tabular.schema import TableError

SENTENCE: Path = ("because",)
"""Where the sentence that says the rule stands in a row."""


@dataclass(frozen=True)
class LedgerRow:
    """One row of an edition, as it ships and as it is in force."""

    edition: Edition
    file: str
    path: Path
    shipped: Mapping[str, Any]
    now: Mapping[str, Any]

    @classmethod
    def find(cls, key: str, file: str, place: str) -> LedgerRow | None:
        """`None` when there is no such row. Raises TableError when the edition's tables cannot be trusted."""
        shipped = find_row(key, f"{file}.toml", place)
        if shipped is None:
            return None
        held = in_force(key)
        now = value_at(held.files[f"{file}.toml"], shipped[0])
        return cls(held.edition, f"{file}.toml", *shipped, now)

    @property
    def words(self) -> TableRow:
        return row_in_words(self.edition, self.file, self.path, self.now)

    @property
    def on_sheet(self) -> SheetRow:
        """The row as a work sheet has it, without its number there."""
        return sheet_row(0, self.words, self.now)


class TableCheckForm(forms.Form):
    """Which copy the row was held against and when, and its values: left alone they are confirmed, changed
    they are corrected."""

    checked_on = PastDayField(
        label="Checked on", needed="Enter the day on which the row was checked against the copy."
    )
    copy = text_field(
        "Which copy",
        120,
        "Enter which copy of the code it was checked against.",
        "Edition, printing and where it stands, such as “2023 edition, office copy 2”.",
    )

    def __init__(self, row: LedgerRow, person_name: str, *args: Any, book: str = "", **kwargs: Any) -> None:
        """`book`: what the book says, typed on a work sheet; put in where it is certain which value it is."""
        super().__init__(*args, **kwargs)
        self.row, self.person_name = row, person_name
        self.book = book
        self._book_place = row.on_sheet.place_for(book) if book else None
        self.leaves: dict[str, Path] = {}
        self.supposed: Edition | None = None
        for index, (path, value) in enumerate(leaves_of(row.shipped)):
            name = f"value-{index}"
            self.leaves[name] = path
            self.fields[name] = self._field(path, value)
        self.helper = layout_of(
            Fieldset("What it was checked against", "checked_on", "copy"),
            *([Fieldset("Values of the row", *self.leaves)] if self.leaves else []),
        )

    def _field(self, path: Path, shipped: Any) -> forms.CharField:
        label, now = say_path(path), value_at(self.row.now, path)
        hints = ["Several, separated by commas."] if isinstance(shipped, list) else []
        if path == SENTENCE:
            hints.append("Change it as well where it names a corrected number.")
        if now != shipped:
            hints.append(f"The tables ship with: {as_typed(shipped)}")
        more = {"widget": forms.Textarea(attrs={"rows": 3})} if path == SENTENCE else {}
        return text_field(
            label,
            1000,
            f"{label}: write a value, or take over: {as_typed(now)}",
            " ".join(hints),
            initial=self.book if path == self._book_place else as_typed(now),
            **more,
        )

    def clean(self) -> dict[str, Any]:
        """Read the values in the shape they had, and build the edition with them. What the loader refuses is
        said at the field."""
        cleaned = super().clean()
        for name, path in self.leaves.items():
            if name in cleaned:
                self._read(name, value_at(self.row.shipped, path))
        if not self.errors:
            try:
                self.supposed = with_check(self.row.edition.id, self.check)
            except TableError as error:
                self._blame(error)
        return cleaned

    def _read(self, name: str, shipped: Any) -> None:
        try:
            self.cleaned_data[name] = value_like(shipped, self.cleaned_data[name])
        except ValueError as error:
            self.add_error(name, ValidationError(f"{self.fields[name].label}: {error}", code="shape"))

    def _blame(self, error: TableError) -> None:
        """Put what the loader says at each changed field that spoils the tables by itself, else at all
        changed."""
        changed = [name for name, path in self.leaves.items() if path in self.changes]
        alone = [(name, found) for name in changed if (found := self._refusal(name)) is not None]
        every: list[tuple[str | None, str]] = [(name, str(error)) for name in changed]
        for name, message in alone or every or [(None, str(error))]:
            self.add_error(name, ValidationError(message, code="spoils"))

    def _refusal(self, name: str) -> str | None:
        try:
            with_check(self.row.edition.id, self._check({self.leaves[name]: self.changes[self.leaves[name]]}))
        except TableError as error:
            return str(error)
        return None

    @cached_property
    def changes(self) -> dict[Path, Any]:
        """Values that differ from those the tables ship with."""
        return {
            path: self.cleaned_data[name]
            for name, path in self.leaves.items()
            if self.cleaned_data[name] != value_at(self.row.shipped, path)
        }

    @property
    def check(self) -> TableVerification:
        return self._check(self.changes)

    def _check(self, changes: Mapping[Path, Any]) -> TableVerification:
        return TableVerification(
            file=self.row.file,
            path=self.row.path,
            row_hash=hash_of(self.row.shipped),
            person=self.person_name,
            day=self.cleaned_data["checked_on"],
            copy=self.cleaned_data["copy"],
            changes=changes,
        )

    @property
    def alters(self) -> bool:
        """True when the row would say something else than it says now; false for a plain confirmation."""
        return any(
            self.cleaned_data[name] != value_at(self.row.now, path) for name, path in self.leaves.items()
        )

    @property
    def token(self) -> str:
        """Names exactly this correction of exactly these tables: what was shown is what is saved."""
        return supposed_token(self.row.edition, self.changes)
