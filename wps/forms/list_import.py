"""The form of a list of records to import."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset, Layout, Row

from qualification.codes.editions import available_editions
from qualification.forms.fields import edition_field
from wps.forms.weld_list import ImportForm


class RecordImportForm(ImportForm):
    """A list of welders, uses, tests or procedures: a file, or rows pasted from a spreadsheet."""

    edition = edition_field(
        "Code edition", "Code edition: choose one.", "Of tests and procedures whose row names none."
    )

    def __init__(self, *args: Any, targets: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["target"].choices = list(targets.items())
        self.fields["edition"].choices = available_editions()
        self.helper.layout = Layout(Fieldset("The list", "target", Row("edition", "units"), "file", "pasted"))
