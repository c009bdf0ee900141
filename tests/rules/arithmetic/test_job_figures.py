"""What a length of a weld takes, back gouges, quick tests and transition currents: worked by hand."""

from __future__ import annotations

from decimal import Decimal as D
from math import pi

import pytest

from qualification.rules.arithmetic import wire
from qualification.rules.arithmetic.derived_figures import reckon
from qualification.rules.arithmetic.job_figures import Money, gouge_area
from qualification.rules.arithmetic.transfer import transition_current
from qualification.rules.core.facts import Facts
from qualification.rules.core.gases import read_gas
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind

MONEY = Money(D(60), D("0.5"), D(20))


def rows(
    joint: dict[str, str], line: dict[str, str], use: RecordKind = RecordKind.SPEC, money: Money | None = None
) -> dict[str, str]:
    read = read_weld(joint, [line], use, "si")
    assert read.problems == ()
    facts: Facts = read.weld.line_facts(0)
    return {each.label: each.value for each in reckon(facts, "si", money)}


FILLET = {"weld_type": "fillet", "fillet_size": "6 mm", "base_metal_a": "SA-36", "thickness_a": "10 mm"}


def test_electrodes_and_cost_of_a_fillet() -> None:
    # 18 mm² x 7.85 g/cm³ = 141.3 g a meter; 60 to 65 % of the electrodes: 217 to 236 g; labor 0.1413/0.5 h at
    # 60 = 16.96, electrodes at 20 a kg 4.35 to 4.71
    found = rows(FILLET, {"process": "SMAW", "filler_classification": "E7018"}, money=MONEY)
    assert found["Electrodes for a meter of it"] == "217 to 236 g (0.48 to 0.52 lb)"
    assert found["Cost of a meter of it"] == "21.30 to 21.67"


@pytest.mark.parametrize(
    ("form", "shielded", "ends"),
    [
        ("flux_cored", True, (82, 88)),
        ("flux_cored", False, (75, 85)),
        ("metal_cored", True, (94, 98)),
        (None, None, (75, 88)),
    ],
)
def test_cored_wire_yields_by_form_and_gas(
    form: str | None, shielded: bool | None, ends: tuple[int, int]
) -> None:
    """Process efficiencies by weldinganswers.com: FCAW-G 82-88, FCAW-S 75-85, metal-cored 94-98 %."""
    least, most, _ = wire.yield_of("FCAW", None, form, shielded)
    assert (least * 100, most * 100) == ends


def test_a_metal_cored_wire_is_no_solid_one_though_it_sprays() -> None:
    assert wire.yield_of("GMAW", "spray", "metal_cored")[:2] == (D("0.94"), D("0.98"))
    assert wire.yield_of("GMAW", "spray", "solid")[:2] == (D("0.98"), D("0.98"))


@pytest.mark.parametrize(
    ("depth", "radius", "area"),
    [
        (4, 4, pi * 16 / 2),  # half a circle
        (6, 4, pi * 16 / 2 + 2 * 4 * 2),  # with walls of 2 mm above it
        (2, 4, 16 * pi / 3 - 2 * 12**0.5),  # segment of 120 degrees
    ],
)
def test_a_back_gouge(depth: int, radius: int, area: float) -> None:
    assert float(gouge_area(D(depth), D(radius))) == pytest.approx(area, rel=1e-5)


def test_a_gouge_of_no_depth_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        gouge_area(D(0), D(4))


def test_the_depth_stated_gives_the_section() -> None:
    joint = {
        "weld_type": "groove",
        "base_metal_a": "SA-36",
        "back_gouging": "grinding",
        "gouge_depth": "6 mm",
    }
    # radius 4 to 6 mm: 41.1 and 56.5 mm²
    assert (
        rows(joint, {"process": "SMAW"})["Section of the back gouge to fill"]
        == "41.1 to 56.5 mm² (0.064 to 0.088 in²)"
    )


def test_quick_tests_of_a_trial() -> None:
    line = {
        "process": "GMAW",
        "quick_bend_former": "40 mm",
        "quick_bend_thickness": "10 mm",
        "quick_pull": "20 kN",
        "quick_pull_area": "100 mm²",
    }
    found = rows({}, line, RecordKind.TRIAL)
    assert found["Strain of the bend test"] == "20.0\u202f%"
    assert found["Strength of the pull test"] == "200 MPa (29.0 ksi)"


def test_helium_raises_the_transition_of_aluminum() -> None:
    """MIG handbook, table 1-2: 135 A for .046 in aluminum in argon; helium raises it."""
    argon = transition_current("aluminium", D("1.2"), read_gas("100Ar"))
    mixed = transition_current("aluminium", D("1.2"), read_gas("75Ar/25He"))
    assert (argon.is_least, mixed.is_least) == (False, True)
    assert mixed.amps == argon.amps
    with pytest.raises(wire.NotTabled):
        transition_current("aluminium", D("1.2"), "none")


def test_more_carbon_dioxide_raises_the_transition_of_steel() -> None:
    for size in ("0.9", "1.2", "1.6"):
        found = [
            transition_current("carbon steel", D(size), read_gas(gas)).amps
            for gas in ("98Ar/2O2", "90Ar/10CO2", "82Ar/18CO2")
        ]
        assert found == sorted(found)
        assert len(set(found)) == 3
    with pytest.raises(wire.NotTabled):
        transition_current("carbon steel", D("1.2"), read_gas("75Ar/25CO2"))
