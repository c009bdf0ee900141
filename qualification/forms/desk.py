"""A record on the desk: opened, read as typed, checked, held against what somebody else saved, and saved.

The editor of every record with entries extends `Desk` by what is its own, and its page extends
`entries/desk.html`; `qualification/views/desk.py` answers for all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import replace
from functools import cached_property
from typing import Any

from django import forms
from django.db import transaction
from django.http import QueryDict

from qualification.forms.check_links import linked_checks
from qualification.forms.record_forms import BUTTON, RecordForms
from qualification.models import UnitSystem
from qualification.records.differences import Difference, differences
from qualification.records.drafts import Links, SavedMeanwhile, create_draft, save_draft, version_of
from qualification.roles import Person
from qualification.rules.core.words import within_sentence
from qualification.rules.trials.combinations import CombinationCheck
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from qualification.tongues.told import LABEL, told

CLOSE = "close"
"""Value of the button that saves and leads to the record; any other goes on with the editor."""


class Desk:
    """One record being written: as stored, or as typed where the whole page was posted."""

    use: RecordKind
    form: type[forms.ModelForm]
    """The head: everything but the entries. Only what stands there can keep a record from being saved."""
    what = "this draft"
    """What somebody else saved meanwhile, in the middle of a sentence."""
    check_template = verdict_template = ""
    """What stands beside the entries, and its answer in one line."""
    head: Any
    """The form of the head, bound or not; its fields are those of `form`."""

    def __init__(self, record: Any, data: QueryDict | None = None) -> None:
        self.record, self.data = record, data
        self.shown = copy(record)
        """The record as stored: a heading says nothing that is only typed."""
        self.is_new = record.pk is None
        self.stored = {} if self.is_new else self.content_of(record)
        self.drawn_with = self.version_of(record)
        self.head = self._head()
        self.head_is_readable = self.head.is_bound and self.head.is_valid()
        self.forms = RecordForms(self.use, self.units, self.edition, record.joint, record.lines, data)
        self.conflict: SavedMeanwhile | None = None
        self.clash: list[Difference] = []

    def _head(self) -> forms.ModelForm:
        """A button that only rearranges process lines keeps what is typed in the head, and judges none of
        it."""
        if self.data is None or not self.data.get(BUTTON):
            return self.form(self.data, instance=self.record)
        head = self.form(instance=self.record)
        for name, field in head.fields.items():
            if not field.widget.value_omitted_from_data(self.data, {}, name):
                head.initial[name] = field.widget.value_from_datadict(self.data, {}, name)
        return head

    @property
    def edit_url(self) -> str:
        """Address of the record's editor."""
        return ""

    @property
    def check_url(self) -> str:
        """Address of the live check."""
        return ""

    @property
    def units(self) -> str:
        """The unit system of bare numbers, as chosen on the page."""
        typed = self.data.get("units", "") if self.data is not None else ""
        return typed if typed in UnitSystem.values else self.record.units

    @property
    def edition(self) -> str:
        """Key of the edition that the record is judged under."""
        return str(self.record.edition)

    @property
    def version(self) -> str:
        """The token the page carries: of what is stored now, once a conflict has been shown."""
        if self.conflict is not None:
            return self.version_of(self.conflict.stored)
        return self.data.get("version", "") if self.data is not None else self.drawn_with

    @property
    def wants_saving(self) -> bool:
        return self.data is not None and not self.forms.arranged

    @property
    def status(self) -> int:
        """Of the page: 409 for a conflict, 422 for a head that cannot be read."""
        return 409 if self.conflict else 422 if self.head.errors else 200

    @cached_property
    def checks(self) -> list[dict[str, Any]]:
        """What to check by common sense, each with its field."""
        return linked_checks(self.forms, self.checks_of_head())

    def checks_of_head(self) -> Iterable[CombinationCheck]:
        return ()

    @property
    def wanted(self) -> set[tuple[int | None, str]]:
        """Process line and key of the entries that a verdict waits for: their folds stand open."""
        return set()

    def draw(self) -> None:
        """Make ready for a page."""
        self.take_on()
        self.forms.want(self.wanted)

    def version_of(self, record: Any) -> str:
        """A token for what is stored now."""
        return version_of(record)

    def content_of(self, record: Any) -> dict[str, Any]:
        """What a stored record says, as plain values."""
        return dict(record.content())

    def content(self) -> dict[str, Any]:
        """What stands on the page, as plain values."""
        return self.content_of(self.record)

    @property
    def heads(self) -> Mapping[str, str]:
        """What the page calls the fields of the head, by their name in the content."""
        return {name: str(field.label) for name, field in self.head.fields.items()}

    def differs_from(self, content: Mapping[str, Any]) -> list[Difference]:
        """What the page says otherwise than the content; what is chosen stands in the words of the choice."""
        words = {
            self.heads[name]: {str(key): str(told(label, LABEL)) for key, label in field.choices}
            for name, field in self.head.fields.items()
            if name in self.heads
            and isinstance(field, forms.ChoiceField)
            and not isinstance(field, forms.ModelChoiceField)
        }
        return [
            each
            if each.where or each.label not in words
            else replace(
                each,
                before=words[each.label].get(each.before, each.before),
                after=words[each.label].get(each.after, each.after),
            )
            for each in differences(content, self.content(), self.use, self.heads)
        ]

    @property
    def changed(self) -> list[str]:
        """Labels of what a save changes, for the history; also of an entry that says the same otherwise."""
        labels = [each.label for each in self.differs_from(self.stored)] + self._respelled()
        return list(dict.fromkeys(within_sentence(label) for label in labels))

    def _respelled(self) -> list[str]:
        was, now = self.stored, self.content()
        pairs = [(was["joint"], now["joint"])]
        if [line.get("process") for line in was["lines"]] == [line.get("process") for line in now["lines"]]:
            pairs += zip(was["lines"], now["lines"], strict=True)
        return [
            registry()[key].label
            for before, after in pairs
            for key in registry()
            if before.get(key) != after.get(key)
        ]

    @property
    def links(self) -> Links | None:
        """Other records it points at, to be stored with it."""
        return None

    def take_on(self) -> None:
        """Put the entries as typed on the record in hand; nothing is stored."""
        self.record.units = self.units
        self.record.joint, self.record.lines = self.forms.joint_entries, self.forms.line_entries

    def store(self, person: Person) -> None:
        """Write the record in hand, within a transaction. Raises SavedMeanwhile."""
        if self.is_new:
            create_draft(self.record, person, self.links)
        else:
            save_draft(self.record, person, self.version, self.changed, self.links)

    def save(self, person: Person) -> bool:
        """Store the record; false where its head cannot be read or somebody saved meanwhile: nothing is
        written then."""
        if not self.head_is_readable or self.conflict is not None:
            return False
        self.take_on()
        try:
            with transaction.atomic():
                self.store(person)
        except SavedMeanwhile as conflict:
            self.conflict, self.clash = conflict, self.differs_from(self.content_of(conflict.stored))
            return False
        return True

    @property
    def said(self) -> list[str]:
        """What is said once it is saved, sentence by sentence."""
        return [f"{self.record} is saved.", *self.waiting]

    @property
    def waiting(self) -> list[str]:
        """How many entries need a look; nothing where none does."""
        count = len(self.forms.problems)
        return [f"{count} entries need a look." if count > 1 else "One entry needs a look."] if count else []

    def after(self, do: str) -> str:
        """Where a button leads once the record is saved."""
        return str(self.record.get_absolute_url()) if do == CLOSE else self.edit_url
