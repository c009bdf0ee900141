"""Reads the cases under `cases/materials/` and holds an edition's tables of metals and fillers to them."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from typing import Any

from qualification.rules.core.facts import Facts, Weld
from qualification.rules.core.findings import Citation
from qualification.rules.core.quantities import SI, US, read_quantity
from qualification.rules.materials.a_numbers import a_number_for
from qualification.rules.materials.grouping import base_metals, fillers, group, minimum_tensile
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.metal_systems import MetalSystem

CASES = Path(__file__).parents[1] / "cases" / "materials"
BESIDE = Decimal("0.005")
"""How far outside a limit a case stands, as a share of it; less than the mutations move a limit."""


@dataclass(frozen=True)
class Answer:
    name: str
    expected: Any
    found: Any
    source: str
    citation: Citation | None = None
    """Of the row that answered."""

    @property
    def provenance(self) -> str:
        return self.citation.provenance.value if self.citation else ""

    @property
    def sources(self) -> tuple[str, ...]:
        """Keys of the pages the row names."""
        return tuple(source.key for source in self.citation.sources) if self.citation else ()

    @property
    def complaint(self) -> str:
        return (
            ""
            if self.found == self.expected
            else f"{self.name}: expected {self.expected}, found {self.found}"
        )


Question = Callable[[Edition], Answer]


@cache
def stated(edition: str) -> dict[str, Any]:
    path = CASES / f"{edition}.toml"
    return tomllib.loads(path.read_text("utf-8")) if path.exists() else {}


def questions(edition: Edition) -> Iterator[tuple[str, Question]]:
    """Every case of the edition as a question to its tables, and the file whose numbers it pins."""
    cases = stated(edition.id)
    for part, asked in PARTS:
        yield from ((part, question) for question in asked(cases, edition.metals))


def answers(edition: Edition, file: str | None = None) -> Iterator[Answer]:
    """Every case of the edition, or of one of its files, with what its tables answer."""
    return (question(edition) for part, question in questions(edition) if file in (None, part))


def complaints(edition: Edition, file: str | None = None) -> Iterator[str]:
    """The cases that do not come out as stated, one by one."""
    return (answer.complaint for answer in answers(edition, file) if answer.complaint)


def _grouped_joint(metal: str, edition: Edition) -> Facts:
    return group(Weld(Facts({"base_metal_a": frozenset({metal})}), ()), edition).joint


def _one(value: Any) -> str:
    return next(iter(value)) if isinstance(value, frozenset) and len(value) == 1 else ""


def _metal_groups(cases: dict[str, Any], system: MetalSystem | None) -> Iterator[Question]:
    """Groups in the edition's own system: `p_numbers` and `without_p_number`, or `m_numbers` ..."""
    if system is None:
        return
    for metal, number, sub, source in cases.get(f"{system.stem}s", []):
        yield partial(_metal_group, system, metal, (number, sub), source)
    for metal in cases.get(f"without_{system.stem}", []):
        yield partial(_metal_without_group, system, metal)


def _metal_group(
    system: MetalSystem, metal: str, wanted: tuple[str, str], source: str, edition: Edition
) -> Answer:
    joint, row = _grouped_joint(metal, edition), base_metals(edition).numbers.get(metal)
    found = (_one(joint[system.side("a")]), _one(joint[system.sub_side("a")]))
    return Answer(
        f"{metal}: {system.label} and group within", wanted, found, source, row.citation if row else None
    )


def _metal_without_group(system: MetalSystem, metal: str, edition: Edition) -> Answer:
    found = _one(_grouped_joint(metal, edition)[system.side("a")])
    return Answer(f"{metal}: not listed", "", found, "memory")


def _minima(cases: dict[str, Any], system: MetalSystem | None) -> Iterator[Question]:
    for metal, form, inches, millimetres, ksi, mpa, source in cases.get("minima", []):
        for units, thickness, strength, unit in ((US, inches, ksi, "ksi"), (SI, millimetres, mpa, "MPa")):
            wanted = f"{strength} {unit}" if strength else ""
            yield partial(_minimum, metal, form, units, thickness, wanted, source)


def _minimum(
    metal: str, form: str, units: str, thickness: str, strength: str, source: str, edition: Edition
) -> Answer:
    at = read_quantity(thickness, "length", units).interval
    found = minimum_tensile(metal, edition, at, form, units)
    wanted = read_quantity(strength, "stress", units).interval.low if strength else None
    return Answer(
        f"{metal}: minimum of {form} at {thickness}", wanted, found.strength, source, found.citation
    )


FILLER_TABLES = {"f_numbers": "f_number", "filler_groups": "filler_group", "deposits": "a_number"}


def _filler_numbers(cases: dict[str, Any], system: MetalSystem | None) -> Iterator[Question]:
    for key, variable in FILLER_TABLES.items():
        for number, names, source in cases.get(key, []):
            for name in names.split():
                yield partial(_filler_number, variable, name, number, source)
    for name in cases.get("without_f_number", []):
        yield partial(_filler_without_number, name)


def _filler_number(variable: str, name: str, number: str, source: str, edition: Edition) -> Answer:
    tables = fillers(edition)
    rows = {"f_number": tables.f_numbers, "filler_group": tables.groups, "a_number": tables.deposits}[
        variable
    ]
    line = group(Weld(Facts(), (Facts({"filler_classification": frozenset({name})}),)), edition).lines[0]
    row = rows.get(name)
    return Answer(f"{name}: {variable}", number, _one(line[variable]), source, row.citation if row else None)


def _filler_without_number(name: str, edition: Edition) -> Answer:
    return Answer(f"{name}: not listed", False, name in fillers(edition).f_numbers, "memory")


def _analyses(cases: dict[str, Any], system: MetalSystem | None) -> Iterator[Question]:
    """Each limit on, inside and outside, all other elements staying well inside their own."""
    if "a_numbers" not in cases:
        return
    source = cases["a_numbers"]["source"]
    for number, limits in cases["a_numbers"]["limits"].items():
        ends = {
            symbol: (Decimal(low) if low else Decimal(0), Decimal(high))
            for symbol, (low, high) in limits.items()
        }
        middle = {symbol: (low + high) / 2 for symbol, (low, high) in ends.items()}
        for symbol, (low, high) in ends.items():
            tried = [
                (high, True, "on"),
                (middle[symbol], True, "inside"),
                (high * (1 + BESIDE), False, "above"),
            ]
            if low:
                tried += [(low, True, "on"), (low * (1 - BESIDE), False, "below")]
            for value, inside, where in tried:
                name = f"A-{number}: {symbol} {value} %, {where}"
                yield partial(_analysis, name, number, {**middle, symbol: value}, inside, source)


def _analysis(
    name: str, number: str, analysis: dict[str, Decimal], inside: bool, source: str, edition: Edition
) -> Answer:
    return Answer(name, inside, number in a_number_for(analysis, edition).numbers, source)


PARTS = (
    ("base_metals.toml", _metal_groups),
    ("base_metals.toml", _minima),
    ("fillers.toml", _filler_numbers),
    ("a_numbers.toml", _analyses),
)
"""Which table's numbers each set of cases pins."""
