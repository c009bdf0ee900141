"""Usual cautions of the trade on papers, in our own words: those of the metal, the process and the gas the
paper is about. Common practice, no rule of a code."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from qualification.codes.editions import is_iso
from qualification.models import ProcedureTest, WelderTest
from qualification.rules.entries.reading import read_weld
from qualification.rules.trials.practice import families_of, gases_of, processes_of
from qualification.rules.variables.definition import RecordKind
from wps.documents.iso_terms import as_iso_spells

WHO_DECIDES = (
    "The governing code, the contract and the shop's responsible welding person decide; this document"
    " replaces none of them."
)
USES = {ProcedureTest.KIND: RecordKind.TEST, WelderTest.KIND: RecordKind.WELDER_TEST}
STAINLESS_AND_NICKEL = frozenset(
    ("stainless austenitic", "stainless duplex", "stainless ferritic/martensitic", "nickel")
)
STEELS = frozenset(("carbon steel", "low-alloy steel")) | STAINLESS_AND_NICKEL
GAS_SHIELDED = frozenset(("GMAW", "GTAW", "FCAW", "PAW"))
SLAG = frozenset(("SMAW", "FCAW", "SAW"))


@dataclass(frozen=True)
class _Caution:
    """One caution, and what a paper has to be about for it; empty: any."""

    text: str
    metals: frozenset[str] = frozenset()
    processes: frozenset[str] = frozenset()
    gases: frozenset[str] = frozenset()

    def is_of(self, metals: frozenset[str], processes: frozenset[str], gases: frozenset[str]) -> bool:
        asked = ((self.metals, metals), (self.processes, processes), (self.gases, gases))
        return all(not wanted or wanted & stated for wanted, stated in asked)


ALUMINUM = frozenset(("aluminium",))
_CAUTIONS = (
    _Caution("Welding gives off fume and ultraviolet light: ventilate, screen the arc, cover skin and eyes."),
    _Caution(
        "On aluminum a gas-shielded arc makes much ozone and throws ultraviolet light about: draw the ozone"
        " off at the arc, cover all skin.",
        ALUMINUM,
        GAS_SHIELDED,
    ),
    _Caution(
        "Fume of stainless steel and nickel alloys holds hexavalent chromium and nickel: draw it off at the"
        " arc.",
        STAINLESS_AND_NICKEL,
    ),
    _Caution(
        "Let solvent dry and take rags and cans away before striking an arc; never weld where chlorinated"
        " solvent vapor may be."
    ),
    _Caution(
        "Shielding gas displaces air in tanks, hulls and pits: ventilate and measure oxygen before entering.",
        gases=frozenset(("Ar", "He", "CO2", "N2")),
    ),
    _Caution("Aluminum shows no color when hot: mark it hot.", ALUMINUM),
    _Caution("Slag flies off hot when it is chipped: wear goggles.", STEELS, SLAG),
    _Caution("Keep a fire watch where sparks may reach anything that burns."),
)


def cautions_of(content: Mapping[str, Any]) -> list[str]:
    """The cautions of a record's content, the one on who decides first. What is not stated brings up none of
    its own."""
    use = USES.get(content["kind"], RecordKind.SPEC)
    weld = read_weld(content["joint"], content["lines"], use, content["units"]).weld
    about = families_of(weld), processes_of(weld), gases_of(weld)
    said = [WHO_DECIDES, *(each.text for each in _CAUTIONS if each.is_of(*about))]
    return [as_iso_spells(each) for each in said] if is_iso(content["edition"]) else said
