"""From a finding back to the field it was entered in."""

from __future__ import annotations

from qualification.forms.record_forms import RecordForms
from qualification.rules.metal_systems import SYSTEMS

ENTERED_AS = {
    **{
        key: "base_metal_a"
        for system in SYSTEMS.values()
        for key in (system.pair, system.either, system.side("a"), system.side("b"))
    },
    "group_pair": "group_a",
    "thickness_thinner": "thickness_a",
    "thickness_thicker": "thickness_b",
    "backed": "backing",
    "inert_backing": "backing_gas",
    "root_on_other_test": "part_of_joint",
    "f_number": "filler_classification",
    "metal_pair": "base_metal_a",
    "inert_trailing": "trailing_gas",
    "flux_wire_strength": "flux_wire_class",
    **{system.side("b"): "base_metal_b" for system in SYSTEMS.values()},
    "magnesium_most": "base_metal_a",
    "iso_position": "position",
    "iso_process": "shielding_gas",
    "iso_gas": "shielding_gas",
    "gas_activity": "shielding_gas",
    "helium_share": "shielding_gas",
    "co2_share": "shielding_gas",
    "iso_backing_gas": "backing_gas",
    "gas_backed": "backing_gas",
    "weld_details": "backing",
    "layering": "passes_per_side",
    "filler_group": "filler_classification",
    "iso_filler": "filler_classification",
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
