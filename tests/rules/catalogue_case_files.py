"""Reads the cases under `catalogue_cases/` and holds an edition's tables of metals and fillers to them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from qualification.rules.a_numbers import a_number_for
from qualification.rules.facts import Facts, Weld
from qualification.rules.grouping import base_metals, fillers, group, minimum_tensile
from qualification.rules.quantities import SI, US, read_quantity
from qualification.rules.tables import Edition

CASES = Path(__file__).with_name("catalogue_cases")
BESIDE = Decimal("0.005")
"""How far outside a limit a case stands, as a share of it; less than the mutations move a limit."""


@dataclass(frozen=True)
class Answer:
    name: str
    expected: Any
    found: Any
    source: str
    provenance: str = ""
    """Of the row that answered, and the keys of its sources."""
    sources: tuple[str, ...] = ()

    @property
    def complaint(self) -> str:
        return (
            ""
            if self.found == self.expected
            else f"{self.name}: expected {self.expected}, found {self.found}"
        )


@cache
def stated(edition: str) -> dict[str, Any]:
    path = CASES / f"{edition}.toml"
    return tomllib.loads(path.read_text("utf-8")) if path.exists() else {}


def answers(edition: Edition, file: str | None = None) -> Iterator[Answer]:
    """Every case of the edition, or of one of its files, with what its tables answer."""
    cases = stated(edition.id)
    for part, ask in PARTS:
        if cases and file in (None, part):
            yield from ask(cases, edition)


def complaints(edition: Edition, file: str | None = None) -> Iterator[str]:
    """The cases that do not come out as stated, one by one."""
    return (answer.complaint for answer in answers(edition, file) if answer.complaint)


def first_complaint(edition: Edition) -> list[str]:
    """For the check that every changed number of a table is noticed: one complaint is enough."""
    return [complaint for complaint in [next(complaints(edition), "")] if complaint]


def _grouped_joint(metal: str, edition: Edition) -> Facts:
    return group(Weld(Facts({"base_metal_a": frozenset({metal})}), ()), edition).joint


def _one(value: Any) -> str:
    return next(iter(value)) if isinstance(value, frozenset) and len(value) == 1 else ""


def _metal_groups(cases: dict[str, Any], edition: Edition) -> Iterator[Answer]:
    """Groups in the edition's own system: `p_numbers` and `without_p_number`, or `m_numbers` ..."""
    system = edition.metals
    if system is None:
        return
    for metal, number, sub, source in cases.get(f"{system.stem}s", []):
        joint, row = _grouped_joint(metal, edition), base_metals(edition).numbers.get(metal)
        yield Answer(
            f"{metal}: {system.label} and group within",
            (number, sub),
            (_one(joint[system.side("a")]), _one(joint[system.sub_side("a")])),
            source,
            row.citation.provenance.value if row else "",
            tuple(s.key for s in row.citation.sources) if row else (),
        )
    for metal in cases.get(f"without_{system.stem}", []):
        yield Answer(f"{metal}: not listed", "", _one(_grouped_joint(metal, edition)[system.side("a")]), "memory")


def _minima(cases: dict[str, Any], edition: Edition) -> Iterator[Answer]:
    for metal, form, inches, millimetres, ksi, mpa, source in cases.get("minima", []):
        for system, thickness, strength, unit in ((US, inches, ksi, "ksi"), (SI, millimetres, mpa, "MPa")):
            at = read_quantity(thickness, "length", system).interval
            found = minimum_tensile(metal, edition, at, form, system)
            wanted = read_quantity(f"{strength} {unit}", "stress", system).interval.low if strength else None
            cited = found.citation
            yield Answer(
                f"{metal}: minimum of {form} at {thickness}",
                wanted,
                found.strength,
                source,
                cited.provenance.value if cited else "",
                tuple(s.key for s in cited.sources) if cited else (),
            )


def _filler_numbers(cases: dict[str, Any], edition: Edition) -> Iterator[Answer]:
    tables = fillers(edition)
    for key, variable, rows in (
        ("f_numbers", "f_number", tables.f_numbers),
        ("filler_groups", "filler_group", tables.groups),
        ("deposits", "a_number", tables.deposits),
    ):
        for number, names, source in cases.get(key, []):
            for name in names.split():
                line = group(
                    Weld(Facts(), (Facts({"filler_classification": frozenset({name})}),)), edition
                ).lines[0]
                row = rows.get(name)
                yield Answer(
                    f"{name}: {variable}",
                    number,
                    _one(line[variable]),
                    source,
                    row.citation.provenance.value if row else "",
                    tuple(s.key for s in row.citation.sources) if row else (),
                )
    for name in cases.get("without_f_number", []):
        yield Answer(f"{name}: not listed", False, name in tables.f_numbers, "memory")


def _analyses(cases: dict[str, Any], edition: Edition) -> Iterator[Answer]:
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
                found = number in a_number_for({**middle, symbol: value}, edition).numbers
                yield Answer(f"A-{number}: {symbol} {value} %, {where}", inside, found, source)


PARTS = (
    ("base_metals.toml", _metal_groups),
    ("base_metals.toml", _minima),
    ("fillers.toml", _filler_numbers),
    ("a_numbers.toml", _analyses),
)
"""Which table's numbers each set of cases pins."""
