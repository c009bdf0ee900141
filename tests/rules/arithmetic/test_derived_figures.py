"""What follows from settings and readings, in words, against figures worked elsewhere."""

from __future__ import annotations

from decimal import Decimal as D

import pytest

from qualification.rules.arithmetic.derived_figures import HeatByCode, heat_by_code, reckon
from qualification.rules.arithmetic.heat_comparison import Energy
from qualification.rules.core.facts import Facts
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind

JOINT = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "groove_angle": "60",
    "root_opening": "2 mm",
    "root_face": "2 mm",
    "thickness_a": "10 mm",
    "base_metal_a": "6061",
}
LINE = {
    "process": "GMAW",
    "transfer_mode": "spray",
    "filler_classification": "ER5356",
    "filler_diameter": "1.2 mm",
    "shielding_gas": "100Ar",
    "wire_feed": "10 m/min",
    "travel_speed": "500 mm/min",
    "amps": "180",
}


def facts(joint: dict[str, str] | None = None, **line: str) -> Facts:
    return read_weld({**JOINT, **(joint or {})}, [{**LINE, **line}], RecordKind.TEST, "si").weld.line_facts(0)


def found(of: Facts, system: str = "si") -> dict[str, str]:
    return {each.label: each.value for each in reckon(of, system)}


def test_a_pass_and_the_groove_it_fills() -> None:
    rows = found(facts())
    # Worked by us: 1.131 mm² x 10 m/min / 0.5 m/min x 0.98 = 22.2 mm²
    assert rows["Section that one pass lays down"] == "22.2 mm² (0.034 in²)"
    # Worked by us: 10 x 2 + (10 - 2)² tan 30 = 56.95 mm²
    assert rows["Section of the groove"] == "57.0 mm² (0.088 in²)"
    # Worked by us: three passes; 56.95 mm² x 1 m x 2.66 g/cm³ / 0.98 = 155 g, at 1.805 kg/h 5.1 min
    assert rows["To fill a meter of it"].startswith("3 passes, 155 g (0.34 lb) of wire, 5.1 min of arc time")
    assert "To fill a foot of it" in found(facts(), "us")


def test_the_deposition_of_a_wire() -> None:
    # Worked by us: 1.131 mm² x 10 m/min x 60 min x 2.66 g/cm³ x 0.98 = 1.77 kg, 3.9 lb
    assert found(facts())["Weld metal laid down in an hour of arc time"] == "1.77 kg (3.9 lb)"


def test_the_transition_current_of_the_published_table() -> None:
    # ER5356 0.047 in (1.2 mm) in argon, as tabled in transfer.toml with its page
    (row,) = [each for each in reckon(facts(), "si") if each.label == "Current from which this wire sprays"]
    assert row.value == "135 A"
    assert row.origins[0].sources


def test_a_fillet_has_leg_throat_and_travel() -> None:
    fillet = {"weld_type": "fillet", "joint_form": "t", "fillet_size": "5 mm"}
    rows = found(facts(fillet))
    # Worked by us: root of (2 x 22.2) is 6.7 mm, root of 22.2 is 4.7 mm; 5 mm need 12.5 mm², 887 mm/min
    assert rows["Flat fillet of that section"] == "leg 6.7 mm (0.2638 in), throat 4.7 mm (0.185 in)"
    assert rows["Travel at which one pass gives the leg stated"].startswith("887 mm/min")
    assert "Section of the groove" not in rows


@pytest.mark.parametrize(
    ("change", "gone"),
    [
        ({"wire_feed": ""}, "Section that one pass lays down"),
        ({"travel_speed": ""}, "Section that one pass lays down"),
        ({"filler_classification": ""}, "Current this feed usually draws"),
        ({"amps": ""}, "Feed this current usually melts"),
        ({"shielding_gas": ""}, "Current from which this wire sprays"),
    ],
)
def test_what_is_not_stated_gives_no_figure(change: dict[str, str], gone: str) -> None:
    assert gone in found(facts())
    assert gone not in found(facts(**change))
    assert found(Facts()) == {}


def by_code(**given: object) -> dict[tuple[str, str], HeatByCode]:
    arguments = {"by_displays": Interval.point(D("15.12")), "measured": None, "basis": ""} | given
    rows = heat_by_code(facts(), "us", **arguments)  # type: ignore[arg-type]
    return {(row.code, row.clause): row for row in rows}


def test_the_same_weld_under_each_code() -> None:
    # TWI FAQ, heat input and arc energy: EN takes 0.8 of the arc energy for MIG, ASME and AWS take it whole.
    # Worked by us: 24 V, 210 A, 20 in/min is 15.12 kJ/in; 0.8 of it 12.1 kJ/in
    rows = by_code()
    assert rows["ASME BPVC Section IX", "QW-409.1(a)"].value == "15.1 kJ/in (0.6 kJ/mm)"
    assert rows["AWS D1.1, D1.2", ""].value == "15.1 kJ/in (0.6 kJ/mm)"
    iso = rows["ISO 15614, EN 1011", "ISO/TR 17671-1, EN 1011-1"]
    assert iso.value == "12.1 kJ/in (0.48 kJ/mm)"
    assert iso.words.endswith("0.8 is taken")
    assert [len(each.sources) for each in iso.origins] == [1]  # the one page states both
    assert all(row.origins for row in rows.values())


def test_a_convention_without_its_figure_says_what_it_needs() -> None:
    measured = by_code()["ASME BPVC Section IX", "QW-409.1(c)"]
    assert (measured.value, measured.basis) == ("", "Needs a measured waveform of a pass with its length.")
    bare = by_code(by_displays=None)["ASME BPVC Section IX", "QW-409.1(a)"]
    assert (bare.value, bare.basis) == ("", "Needs length, arc time, amps and volts of a pass.")


def test_a_measured_energy_keeps_its_uncertainty_under_every_code() -> None:
    rows = by_code(measured=Energy(D(10), D("0.2")), basis="Measured.")
    assert rows["ASME BPVC Section IX", "QW-409.1(c)"].value == "10 kJ/in (0.39 kJ/mm) ± 2.0\u202f%"
    assert rows["ISO 15614, EN 1011", "ISO/TR 18491"].value == "8 kJ/in (0.31 kJ/mm) ± 2.0\u202f%"
