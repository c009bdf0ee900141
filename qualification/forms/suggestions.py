"""What is offered while one types: names from the catalogue, common gases, group numbers."""

from __future__ import annotations

from dataclasses import dataclass

from qualification.rules.catalogue import catalogue
from qualification.rules.metal_systems import SYSTEMS
from qualification.rules.variables import Kind, Variable, registry

BY_KIND = {Kind.METAL: "metals", Kind.FILLER: "fillers", Kind.GAS: "gases"}
GASES = (
    "100Ar",
    "75Ar/25He",
    "50Ar/50He",
    "25Ar/75He",
    "100He",
    "75Ar/25CO2",
    "85Ar/15CO2",
    "90Ar/10CO2",
    "98Ar/2O2",
    "98Ar/2CO2",
    "100CO2",
    "none",
)
"""Mixtures a shop commonly has (common practice); any other can be typed."""
SHARED_SIDES = ("_a", "_b")


@dataclass(frozen=True)
class Suggestions:
    """One list: the id inputs name, and (what is put in, what is said of it)."""

    key: str
    options: tuple[tuple[str, str], ...]


def suggested_by(variable: Variable) -> str:
    """Key of the list offered for a typed variable; empty when there is none."""
    if variable.kind in BY_KIND:
        return BY_KIND[variable.kind]
    if not variable.choices:
        return ""
    return next(
        (variable.key.removesuffix(side) for side in SHARED_SIDES if variable.key.endswith(side)),
        variable.key,
    )


def suggestions() -> list[Suggestions]:
    """Every list there is."""
    known = catalogue()
    lists = [
        Suggestions("metals", tuple((metal.key, metal.alloying) for metal in known.metals.values())),
        Suggestions(
            "fillers", tuple((filler.key, filler.specification) for filler in known.fillers.values())
        ),
        Suggestions("gases", tuple((gas, "") for gas in GASES)),
    ]
    for key in (*(system.side("a") for system in SYSTEMS.values()), "f_number", "a_number"):
        variable = registry()[key]
        lists.append(
            Suggestions(suggested_by(variable), tuple((choice.label, "") for choice in variable.choices))
        )
    return lists
