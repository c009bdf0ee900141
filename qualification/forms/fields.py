"""The one factory of form fields: texts and choices whose errors are sentences of our own, and the field of a
property by its definition."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms

from qualification.lengths import too_long_in_form
from qualification.rules.core.quantities import DIMENSIONS

CHOOSE = ("", "Choose")
"""First of the choices, where none is made yet."""
TYPED = {"autocomplete": "off", "spellcheck": "false"}
"""Attributes of an input for numbers, designations and names of the trade."""


def text_field(
    label: str, longest: int, needed: str = "", help_text: str = "", **kwargs: Any
) -> forms.CharField:
    """A line of text. `needed`: the sentence for an empty field; without it the field may stay empty."""
    messages = {"max_length": too_long_in_form(label)}
    if needed:
        messages["required"] = needed
    return forms.CharField(
        label=label,
        max_length=longest,
        required=bool(needed),
        help_text=help_text,
        error_messages=messages,
        **kwargs,
    )


def choice_field(
    label: str,
    choices: Iterable[Any] = (),
    needed: str = "",
    help_text: str = "",
    *,
    unknown: str = "",
    **kwargs: Any,
) -> forms.ChoiceField:
    """One of several. `needed` as in `text_field`; `unknown`: the sentence for what is not offered."""
    return _chosen(
        forms.ChoiceField, "Choose", label, choices, needed, unknown, help_text=help_text, **kwargs
    )


def ticks_field(
    label: str,
    choices: Iterable[Any] = (),
    needed: str = "",
    help_text: str = "",
    *,
    unknown: str = "",
    **kwargs: Any,
) -> forms.MultipleChoiceField:
    """Any of several, each with a box."""
    boxes = {"widget": forms.CheckboxSelectMultiple, "help_text": help_text, **kwargs}
    return _chosen(forms.MultipleChoiceField, "Tick", label, choices, needed, unknown, **boxes)


def edition_field(label: str, needed: str = "", help_text: str = "", **kwargs: Any) -> forms.ChoiceField:
    """A code edition; the form offers those it has rules for."""
    unknown = f"{label} has no tables named %(value)s here. Choose one listed."
    return choice_field(label, (), needed, help_text, unknown=unknown, **kwargs)


def _chosen(
    kind: type[Any], do: str, label: str, choices: Iterable[Any], needed: str, unknown: str, **kwargs: Any
) -> Any:
    plain = label.replace("%", "%%")
    messages = {"invalid_choice": unknown or f"{plain} has no “%(value)s”. {do} one of those listed."}
    if needed:
        messages["required"] = needed
    return kind(label=label, choices=list(choices), required=bool(needed), error_messages=messages, **kwargs)


def layout_of(*layout: Any, **more: Any) -> FormHelper:
    """How the fields of a form are drawn within the page's own `<form>`. `more`: further attributes, such as
    `disable_csrf` where the page has the token, or `layout=None` for all fields in their order."""
    helper = FormHelper()
    helper.form_tag, helper.layout = False, Layout(*layout)
    for name, value in more.items():
        setattr(helper, name, value)
    return helper


class StatedField(forms.Field):
    """A property by its definition, of the registry or of a test result. It accepts everything; `note` stands
    below it."""

    def __init__(self, definition: Any, system: str, widget: forms.Widget) -> None:
        super().__init__(required=False, label=definition.label, widget=widget)
        self.unit = DIMENSIONS[definition.dimension].unit_for(system).symbol if definition.dimension else ""
        """Unit of a bare number."""
        self.note = definition.help
        """What stands below the field: how to write it, or how it was read."""
        self.is_reading = False
        """True when `note` says how the entry was read."""


def typed(**attrs: str) -> forms.TextInput:
    return forms.TextInput(attrs={**TYPED, **attrs})


def stated(choices: Iterable[tuple[str, str]]) -> forms.Select:
    """One of the choices, or none."""
    return forms.Select(choices=[("", "Not stated"), *choices])


def tie_to_note(form: forms.BaseForm, key: str) -> None:
    """Let a reader be told the note of a field with it."""
    form.fields[key].widget.attrs["aria-describedby"] = f"note_{form[key].auto_id}"


def not_a_choice(text: str) -> str:
    return f"“{text}”, not a choice"


def keep_strays(field: forms.Field, texts: Iterable[str], said: Any = not_a_choice) -> None:
    """What stands in a field and nobody offers stays in sight, so that it can be corrected."""
    widget = field.widget
    if isinstance(widget, forms.Select | forms.CheckboxSelectMultiple):
        offered = {value for value, _ in widget.choices}
        strays = [(text, said(text)) for text in texts if text and text not in offered]
        widget.choices = [*widget.choices, *strays]
