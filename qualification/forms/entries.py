"""The form of one level of a record (its joint, or one process line), built from the registry of variables.

Nothing typed is judged or changed here: entries go in and come out as text, and what is wrong with them is
put beside their field by `RecordForms`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from django import forms
from django.utils.datastructures import MultiValueDict

from qualification.forms.entry_layout import LONG_TEXTS, layout_helper
from qualification.forms.fields import StatedField, keep_strays, not_a_choice, stated, tie_to_note, typed
from qualification.forms.settings_table import SettingsTable
from qualification.forms.suggestions import suggested
from qualification.rules.entries.position_entries import iso_choices, names_in
from qualification.rules.entries.reading import NOT_APPLICABLE_WORDS, Entry
from qualification.rules.entries.settings_rows import KEY as BY_SIZE
from qualification.rules.variables.choice_words import choice_named, choices_named
from qualification.rules.variables.definition import RecordKind, ValueKind, Variable

NOT_APPLICABLE = "n/a"
MOST_TICKED = 12
"""Where several of more choices than this may be claimed, they are typed, with suggestions."""

TICK_ROOM = 6
"""Letters' worth of room a box takes beside its words."""


def is_typed(variable: Variable, use: RecordKind) -> bool:
    """True where the entry is a text field, false where it is chosen or ticked."""
    if variable.kind is not ValueKind.CHOICE:
        return True
    return use in variable.many and len(variable.choices) > MOST_TICKED


def is_ticked(variable: Variable, use: RecordKind) -> bool:
    """True where several choices may be ticked."""
    return variable.kind is ValueKind.CHOICE and use in variable.many and not is_typed(variable, use)


class EntryField(StatedField):
    """One variable as a field; `hides` and `wanted` are for the page around it."""

    def __init__(self, variable: Variable, use: RecordKind, system: str, is_iso: bool = False) -> None:
        widget = SettingsTable(system) if variable.key == BY_SIZE else _widget(variable, use, is_iso)
        super().__init__(variable, system, widget)
        self.variable = variable
        self.hides = False
        """True when another entry makes this one meaningless and nothing is typed in it."""
        self.wanted = False
        """True when a verdict waits for this entry."""

    @property
    def span(self) -> int:
        """Columns of twelve the control takes: long text six, ticks what their words need, all else three."""
        if self.is_table:
            return 12
        if not self.is_ticked:
            return 6 if self.variable.key in LONG_TEXTS else 3
        words = sum(len(str(label)) + TICK_ROOM for _, label in self.widget.choices)
        return next((columns for columns, room in ((3, 26), (6, 58), (9, 90)) if words <= room), 12)

    @property
    def is_ticked(self) -> bool:
        """True when the control is a set of boxes, each with an id of its own."""
        return isinstance(self.widget, forms.CheckboxSelectMultiple)

    @property
    def is_table(self) -> bool:
        """True when the control is a small table of inputs."""
        return isinstance(self.widget, SettingsTable)

    @property
    def depends(self) -> bool:
        """True when another entry decides whether the field is shown."""
        return self.variable.shown_when is not None


POSITIONS = ("test_position", "position")


def _widget(variable: Variable, use: RecordKind, is_iso: bool = False) -> forms.Widget:
    if is_ticked(variable, use):
        ticks = [(c.key, c.label) for c in variable.choices]
        if is_iso and variable.key in POSITIONS:
            ticks = [*iso_choices(variable.key), *ticks]
        return forms.CheckboxSelectMultiple(choices=[*ticks, *_absent(variable, NOT_APPLICABLE)])
    if not is_typed(variable, use):
        choices = [(c.key, c.label) for c in variable.choices]
        return stated([*choices, *_absent(variable, "Does not apply")])
    return typed(**{"data-kind": variable.kind.value}, **suggested(variable))


def _absent(variable: Variable, words: str) -> list[tuple[str, str]]:
    """The choice that a variable does not apply, where it may ever be made."""
    sometimes = variable.may_be_na or variable.shown_when or variable.none_where
    return [(NOT_APPLICABLE, words)] if sometimes else []


class EntriesForm(forms.Form):
    """The entries of one level. It is always bound: to what is stored, or to what was just typed."""

    use_required_attribute = False

    def __init__(
        self,
        variables: Iterable[Variable],
        use: RecordKind,
        system: str,
        data: MultiValueDict[str, str],
        prefix: str,
        is_iso: bool = False,
    ) -> None:
        super().__init__(data, prefix=prefix)
        self.use = use
        for variable in variables:
            self.fields[variable.key] = EntryField(variable, use, system, is_iso)
            self._describe(variable.key)
        self.helper = layout_helper(self, use)

    def _describe(self, key: str) -> None:
        """Tie the field to its note, keep a process where it was set, and keep choices nobody offers."""
        tie_to_note(self, key)
        if key == "process" and self.texts(key):
            self.fields[key].widget = forms.HiddenInput()
        else:
            keep_strays(self.fields[key], self.texts(key), lambda text: _stray(key, text))

    def texts(self, key: str) -> list[str]:
        """What stands in the field: no, one or several texts, blanks left out."""
        data = self[key].data
        found = [data] if isinstance(data, str) else list(data or [])
        return [text for text in found if text.strip()]

    def entries(self) -> dict[str, Entry]:
        """The entries as they are stored: text as typed, a list where several choices are ticked."""
        found: dict[str, Entry] = {}
        for key in self.fields:
            texts = self.texts(key)
            if texts:
                found[key] = texts[0] if len(texts) == 1 else texts
        return found


def _stray(key: str, text: str) -> str:
    """What is said of a choice that the field does not offer."""
    return text if key in POSITIONS and names_in(text) else not_a_choice(text)


def as_posted(
    entries: Mapping[str, Entry], variables: Sequence[Variable], use: RecordKind, prefix: str
) -> dict[str, list[str]]:
    """Stored entries in the shape in which a browser sends them. Choices stored by their label come out as
    their key, everything typed comes out as it is."""
    by_key = {variable.key: variable for variable in variables}
    return {
        f"{prefix}-{key}": _as_sent([entry] if isinstance(entry, str) else list(entry), by_key[key], use)
        for key, entry in entries.items()
        if key in by_key
    }


def _as_sent(texts: list[str], variable: Variable, use: RecordKind) -> list[str]:
    if is_typed(variable, use):
        return ["; ".join(texts)] if len(texts) > 1 else texts
    if len(texts) == 1 and use in variable.many:
        named = choices_named(variable, texts[0], use)
        texts = named or [part.strip() for part in texts[0].split(";")]
    return [_choice_key(text, variable) for text in texts]


def _choice_key(text: str, variable: Variable) -> str:
    wanted = text.strip().casefold()
    if wanted in NOT_APPLICABLE_WORDS:
        return NOT_APPLICABLE
    return choice_named(variable, text) or text
