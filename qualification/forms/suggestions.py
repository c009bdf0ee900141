"""What is offered while one types: names from the catalogue, common gases, group numbers."""

from __future__ import annotations

from dataclasses import dataclass

from qualification.rules.materials.catalogue import catalogue
from qualification.rules.variables.definition import ValueKind, Variable
from qualification.rules.variables.metal_systems import SYSTEMS
from qualification.rules.variables.registry import registry

BY_KIND = {ValueKind.METAL: "metals", ValueKind.FILLER: "fillers", ValueKind.GAS: "gases"}
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
ISO_FIRST = {
    "metals": (
        "S235JR", "S275JR", "S355J2", "S355MC", "S420N", "P265GH", "P355GH", "16Mo3",
        "1.4301", "1.4307", "1.4401", "1.4404", "1.4462",
        "EN AW-5083", "EN AW-5754", "EN AW-6060", "EN AW-6082",
    ),
    "fillers": (
        "G 42 4 M21 3Si1", "G 46 4 M21 4Si1", "W 42 5 W3Si1", "E 42 4 B 42 H5", "T 46 4 P M21 1 H5",
        "G 19 9 L Si", "W 19 9 L", "G 19 12 3 L Si", "S Al 5356 (AlMg5Cr)", "S Al 5183 (AlMg4,5Mn0,7)",
        "S Al 4043 (AlSi5)",
    ),
    "gases": (
        "M21", "ISO 14175-M21-ArC-18", "ISO 14175-M20-ArC-10", "ISO 14175-M12-ArC-2,5",
        "ISO 14175-M13-ArO-2", "C1", "I1", "ISO 14175-I3-ArHe-30",
    ),
}  # fmt: skip
"""Names by European and ISO standards that stand first under an ISO code (common practice)."""
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


def suggested(variable: Variable) -> dict[str, str]:
    """Attributes that tie an input to the list offered for the variable."""
    key = suggested_by(variable)
    return {"list": f"suggest-{key}"} if key else {}


def suggestions(*, iso_first: bool = False) -> list[Suggestions]:
    """Every list there is; with `iso_first` the names of European and ISO standards stand first."""
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
    if not iso_first:
        return lists
    return [
        Suggestions(each.key, (*((name, "") for name in ISO_FIRST.get(each.key, ())), *_others(each)))
        for each in lists
    ]


def _others(listed: Suggestions) -> list[tuple[str, str]]:
    """What stands behind the names that come first."""
    return [each for each in listed.options if each[0] not in ISO_FIRST.get(listed.key, ())]
