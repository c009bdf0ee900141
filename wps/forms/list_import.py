"""The form of a list of records to import."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset, Layout, Row
from django import forms

from qualification.codes.editions import available_editions
from wps.forms.weld_list import ImportForm


class RecordImportForm(ImportForm):
    """A list of welders, uses, tests or procedures: a file, or rows pasted from a spreadsheet."""

    edition = forms.ChoiceField(
        label="Code edition",
        help_text="Of tests and procedures whose row names none.",
        error_messages={
            "required": "Code edition: choose one.",
            "invalid_choice": "Code edition has no tables named %(value)s here. Choose one listed.",
        },
    )

    def __init__(self, *args: Any, targets: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["target"].choices = list(targets.items())
        self.fields["edition"].choices = available_editions()
        self.helper.layout = Layout(Fieldset("The list", "target", Row("edition", "units"), "file", "pasted"))
