"""A metal and a filler of the catalogue, and where a row of it comes from."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from ..core.findings import Provenance, Source
from ..tabular.schema import PairInterval

FAMILIES = (
    "aluminium",
    "carbon steel",
    "low-alloy steel",
    "stainless austenitic",
    "stainless duplex",
    "stainless ferritic/martensitic",
    "nickel",
    "copper",
    "titanium",
    "zirconium",
)
FORMS = ("solid", "metal_cored", "flux_cored", "covered")


@dataclass(frozen=True)
class Origin:
    """Where a row of the catalogue comes from."""

    provenance: Provenance
    sources: tuple[Source, ...]
    remark: str
    row: str


@dataclass(frozen=True)
class Metal:
    key: str
    family: str
    cast: bool
    alloying: str
    """Main alloying elements by nominal percentage, in words."""
    heat_treatable: bool | None
    """True when heat treatment hardens it; `None` where the question is not put."""
    magnesium: Decimal | None
    """Nominal percentage, aluminium alloys only."""
    aliases: tuple[str, ...]
    short: tuple[str, ...]
    """Short names that also name a group of metals, such as P22: whoever writes one is asked which is
    meant."""
    specifications: tuple[str, ...]
    """Product specifications it is usually bought to, for example `B209`."""
    density: Decimal | None
    """In g/cm³."""
    melting: PairInterval | None
    """Solidus to liquidus, temperature in canonical units."""
    origin: Origin

    @property
    def series(self) -> str:
        """First digit of a wrought aluminium alloy (`6` of 6061); empty for everything else."""
        return _series(self.key) if self.family == "aluminium" and not self.cast else ""


@dataclass(frozen=True)
class Filler:
    key: str
    """Its classification, for example `ER5356`."""
    family: str
    specification: str
    form: str
    """One of FORMS."""
    processes: tuple[str, ...]
    """The processes it is made for."""
    magnesium: Decimal | None
    """Nominal percentage, aluminium fillers only."""
    aliases: tuple[str, ...]
    origin: Origin
    like: str = ""
    """Key of the listed filler whose groups by a code it shares, for one whose own name is read by a rule."""

    @property
    def series(self) -> str:
        """First digit of an aluminium filler (`4` of ER4043); empty for everything else."""
        return _series(self.key) if self.family == "aluminium" else ""


def _series(key: str) -> str:
    match = re.search(r"\d{4}$", key)
    return match[0][0] if match else ""
