"""From a finding back to the field it was entered in."""

from __future__ import annotations

from qualification.forms.record_forms import RecordForms

ENTERED_AS = {
    "p_pair": "base_metal_a", "group_pair": "group_a", "thickness_thinner": "thickness_a", "thickness_thicker": "thickness_b",
    "backed": "backing", "inert_backing": "backing_gas", "root_on_other_test": "part_of_joint", "f_number": "filler_classification",
    "metal_pair": "base_metal_a", "p_numbers": "base_metal_a", "inert_trailing": "trailing_gas", "flux_wire_strength": "flux_wire_class",
    "p_number_a": "base_metal_a", "p_number_b": "base_metal_b",
}
"""The field in which a person changes a variable that follows from others."""


def field_of(forms: RecordForms, variable: str, line: int | None) -> str:
    """Id of the control; empty when the forms have no field for the variable."""
    if variable == "process":
        return f"line-{line}"  # a line keeps the process it was added with; its section is the place to look
    key = ENTERED_AS.get(variable, variable)
    for index, form in forms.all_forms:
        if key in form.fields and index in (None, line):
            bound = form[key]
            return f"{bound.auto_id}_0" if bound.field.is_ticked else bound.auto_id
    return ""
