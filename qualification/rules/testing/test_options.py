"""What a test record settles about its tests beyond the variables of the weld, and how it is typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from ..core.problems import Problem
from ..core.quantities import QuantityError, read_quantity
from ..variables.definition import Choice

BEND_CHOICES = (Choice("transverse", "Transverse bends"), Choice("longitudinal", "Longitudinal bends"))
LABELS = {
    "bends": "Bends",
    "elongation": "Lower specified elongation of the two base metals",
    "minimum_tensile": "Specified minimum tensile strength",
}
"""The keys a record may give, with their labels."""


@dataclass(frozen=True)
class Particulars:
    bends: str = "transverse"
    """`longitudinal` where the two base metals, or weld and base metal, differ much in how they bend."""
    elongation: Decimal | None = None
    """Lower specified elongation of the two base metals, percent."""
    stated_minimum: Decimal | None = None
    """Specified minimum tensile strength, MPa, for a base metal without a row in the edition's table."""


def read_particulars(entries: Mapping[str, str], system: str) -> tuple[Particulars, tuple[Problem, ...]]:
    """Read what was typed under the keys of `LABELS`; an entry with a problem counts as left out."""
    problems: list[Problem] = []
    numbers: dict[str, Decimal | None] = {}
    for key, dimension in (("elongation", "percent"), ("minimum_tensile", "stress")):
        numbers[key] = _number(key, str(entries.get(key, "")).strip(), dimension, system, problems)
    bends = str(entries.get("bends", "")).strip() or "transverse"
    if bends not in {choice.key for choice in BEND_CHOICES}:
        problems.append(
            Problem(
                "bends", f"{LABELS['bends']}: “{bends}” is not one of the choices: transverse, longitudinal."
            )
        )
        bends = "transverse"
    problems += [
        Problem(key, f"“{key}” is not something a record says of its tests; remove it.")
        for key in entries
        if key not in LABELS
    ]
    return Particulars(bends, numbers["elongation"], numbers["minimum_tensile"]), tuple(problems)


def _number(key: str, text: str, dimension: str, system: str, problems: list[Problem]) -> Decimal | None:
    if not text:
        return None
    try:
        value = read_quantity(text, dimension, system, many=False).interval.low
    except QuantityError as error:
        problems.append(Problem(key, f"{LABELS[key]}: {error}"))
        return None
    if value is None or value <= 0 or (dimension == "percent" and value >= 100):
        problems.append(
            Problem(
                key,
                f"{LABELS[key]}: “{text}” is outside what it can be. Enter a number above zero"
                f"{' and below 100 %' if dimension == 'percent' else ''}.",
            )
        )
        return None
    return value
