"""Figures of a steel: against published and hand-worked ones; what is missing is named, never assumed."""

from __future__ import annotations

from decimal import Decimal as D

import pytest

from qualification.rules.arithmetic.steel_figures import SteelWeld, steel_figures

# C .18 Mn 1.20 Cr .20 Mo .10 Ni .15 Cu .20: CE 0.463 by tools.gera.services
STEEL = {
    **dict.fromkeys(("Si", "V", "Nb", "B"), D(0)),
    "C": D("0.18"),
    "Mn": D("1.20"),
    "Cr": D("0.20"),
    "Mo": D("0.10"),
    "Ni": D("0.15"),
    "Cu": D("0.20"),
}


def values(weld: SteelWeld, system: str = "si") -> dict[str, str]:
    return {row.label: row.value for row in steel_figures(weld, system).rows}


def test_all_figures_of_a_published_steel() -> None:
    found = values(SteelWeld(STEEL, D(30), D(60), D(5), D("1.5"), shape="tee_fillet"))
    assert found["CE (IIW)"] == "0.463\u202f%"
    assert found["CET"] == "0.334\u202f%"
    assert found["Pcm"] == "0.269\u202f%"
    assert found["Preheat by EN 1011-2, method B"] == "103 °C (217 °F)"
    assert found["Entry to EN 1011-2, method A"] == "CE 0.46, combined thickness 30 mm".replace(
        "30", "60"
    ) + (" (2.3622 in), hydrogen scale D")
    assert found["Susceptibility index by the annex of D1.1"] == "C"
    assert found["Cooling time from 800 to 500 °C"] == "5.3 s"


@pytest.mark.parametrize(("hydrogen", "letter"), [("5", "C"), ("5.1", "D"), ("10", "D"), ("10.1", "E")])
def test_the_letter_turns_with_hydrogen_at_its_limits(hydrogen: str, letter: str) -> None:
    """Society's forum 129522: up to 0.28 with H2 is D."""
    found = values(SteelWeld(STEEL, hydrogen=D(hydrogen)))
    assert found["Susceptibility index by the annex of D1.1"] == letter


def test_beyond_the_table_no_letter_is_given() -> None:
    rich = {**STEEL, "C": D("0.30")}
    assert values(SteelWeld(rich, hydrogen=D(5)))["Susceptibility index by the annex of D1.1"].startswith(
        "none"
    )


def test_no_preheat_below_the_temperature_of_the_plate() -> None:
    lean = {**STEEL, "C": D("0.05"), "Mn": D("0.5"), "Cr": D(0), "Mo": D(0)}
    found = values(SteelWeld(lean, D(10), None, D(3), D(2)))
    assert found["Preheat by EN 1011-2, method B"] == "none above the temperature of the plate"


def test_what_is_missing_is_named() -> None:
    needs = " ".join(steel_figures(SteelWeld({"C": D("0.18")}), "us").needs)
    for words in (
        "percentage of Mn",
        "the thickness and the heat input",
        "percentage of Si",
        "combined thickness",
    ):
        assert words in needs
    assert steel_figures(SteelWeld({}), "us").rows == []
