"""Files of a shop's own edition whose rows stand in parts with names that the program gives: metals, fillers,
required tests, acceptance. Which columns each part has."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from qualification.codes.own_tables import HEAD
from qualification.rules.materials.grouping_tables import FILLERS, MINIMUM, numbering
from qualification.rules.tabular.schema import Column
from qualification.rules.testing.acceptance.tables import CHECK
from qualification.rules.testing.specimen_tables import PARTS
from qualification.rules.variables.metal_systems import SYSTEMS

LISTED = ("base_metals.toml", "fillers.toml", "specimens.toml", "acceptance.toml")
AS_TEXT = frozenset({"bend_specimen", "bend_former"})
"""Parts whose rows hold conditions on the metals of both sides, which are written in the whole table."""
WORDS = {
    "minimum_tensile": "Least tensile strength of a metal",
    "f_number": "F-Numbers of fillers",
    "filler_group": "Groups of fillers",
    "typical_deposit": "A-Numbers that fillers usually lay down",
    "tests": "Tests a coupon takes",
    "retest": "Coupons of a retest",
    "volumetric": "What a volumetric examination may stand for",
    "method": "How thick a coupon a method takes",
    "extra": "Results that may come besides",
    "bend_width": "Width of a bend specimen",
    "check": "What a result has to show",
}


def parts_of(file: str, files: Mapping[str, Any]) -> Mapping[str, Mapping[str, Column]]:
    """The columns of each part of a file that has a form; empty for a file that has none."""
    if file == "base_metals.toml":
        system = SYSTEMS.get(files[HEAD].get("metal_groups", ""))
        groups = {system.stem: numbering(system)} if system else {}
        return {**groups, "minimum_tensile": MINIMUM}
    if file == "fillers.toml":
        return FILLERS
    if file == "specimens.toml":
        return {name: columns for name, columns in PARTS.items() if name not in AS_TEXT}
    return {"check": CHECK} if file == "acceptance.toml" else {}


def part_in_words(part: str) -> str:
    """What a part holds."""
    return WORDS.get(part) or f"Metals by {SYSTEMS[part].label}"
