"""The field in which a person enters a variable that follows from others."""

from __future__ import annotations

from ..variables.metal_systems import SYSTEMS

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
    "same_thickness": "thickness_b",
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
"""Of what is worked out from two sides, the one that usually differs."""


def entered_as(variable: str) -> str:
    """The variable a person states to settle that one: itself, unless it follows from another."""
    return ENTERED_AS.get(variable, variable)
