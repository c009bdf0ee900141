"""From a finding back to the field it was entered in."""

from __future__ import annotations

from qualification.forms.record_forms import RecordForms
from qualification.rules.entries.entered_as import entered_as


def field_of(forms: RecordForms, variable: str, line: int | None) -> str:
    """Id of the control; empty when the forms have no field for the variable."""
    if variable == "process":
        return f"line-{line}"  # a line keeps the process it was added with; its section is the place to look
    key = entered_as(variable)
    for index, form in forms.all_forms:
        if key in form.fields and index in (None, line):
            bound = form[key]
            return f"{bound.auto_id}_0" if bound.field.is_ticked else bound.auto_id
    return ""
