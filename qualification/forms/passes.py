"""The rows of a procedure test's pass log."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from qualification.forms.fields import choice_field, layout_of, text_field
from qualification.models import ProcedureTest
from qualification.records.pass_log import COLUMNS, read_reading
from qualification.rules.entries.reading import EntryError

BLANK_ROWS = 4
MOST_ROWS = 200


class PassForm(forms.Form):
    """One pass. A row in which nothing is typed is left out."""

    number = text_field("Pass", 20)

    def __init__(self, *args: Any, system: str, processes: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system = system
        choices = [("", "Not stated"), *((name, name) for name in processes)]
        typed = self.initial.get("process", "")
        if typed and typed not in processes:
            choices.append((typed, typed))
        self.fields["process"] = choice_field(
            "Process", choices, unknown="Process is none of the record's. Choose one listed."
        )
        for key, label in COLUMNS.items():
            self.fields[key] = text_field(label, 60)
        self.fields["note"] = text_field("Note", 200)

    def clean(self) -> dict[str, Any]:
        """Each reading has to be one, and a row needs the name of its pass."""
        cleaned = super().clean() or self.cleaned_data
        for key, label in COLUMNS.items():
            try:
                read_reading(key, cleaned.get(key, ""), self.system)
            except EntryError as error:
                self.add_error(key, f"{label}: {error}")
        if any(cleaned.values()) and not cleaned.get("number"):
            self.add_error("number", "Pass: write which pass this row is of, such as 1 or 3 to 5.")
        return cleaned

    @property
    def row(self) -> dict[str, str]:
        """The row as it is stored; empty where nothing is typed."""
        typed = {key: value for key, value in self.cleaned_data.items() if value}
        return {"pass" if key == "number" else key: value for key, value in typed.items()}


PassForms = forms.formset_factory(PassForm, extra=BLANK_ROWS, max_num=MOST_ROWS, absolute_max=MOST_ROWS)


def pass_forms(record: ProcedureTest, data: Any = None) -> Any:
    """The formset over what is stored, or over what is typed."""
    processes = list(dict.fromkeys(str(line["process"]) for line in record.lines if line.get("process")))
    initial = [
        {"number" if key == "pass" else key: value for key, value in row.items()} for row in record.passes
    ]
    return PassForms(
        data, initial=initial, prefix="pass", form_kwargs={"system": record.units, "processes": processes}
    )


def helper() -> FormHelper:
    """How the rows are drawn: as a table."""
    return layout_of(
        layout=None, disable_csrf=True, template="shop/table_inline_formset.html", table_label="Passes"
    )
