"""Arc energy and heat input against published examples; the source stands beside each."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.arithmetic.heat import (
    arc_energy,
    arc_energy_span,
    convention,
    conventions,
    energy_by_length,
    heat_input,
    power_by_speed,
    thermal_efficiency,
)
from qualification.rules.core.quantities import DIMENSIONS, from_canonical, read_quantity
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition, editions

IN_MIN = D("25.4")
speeds = st.decimals(D(10), D(5000), places=1)
volts = st.decimals(D(5), D(60), places=1)
amps = st.decimals(D(5), D(1000), places=0)


def in_kj_mm(value: D) -> D:
    return value / D("25.4")


@pytest.mark.parametrize(
    ("v", "a", "travel", "kj_in"),
    [
        # weldinginspections.net, thread on heat input: 25 in in 2 min
        (29, 325, D("12.5") * IN_MIN, D("45.24")),
        # expertsmind.com, arc welding processes: 2400 J/mm at 2.5 mm/s
        (20, 300, D(150), D("2.4") * D("25.4")),
        # fatskills.com, trades maths: 25,350 J/in at 8 in/min
        (26, 130, 8 * IN_MIN, D("25.35")),
        # worked by us: 15.12 kJ/in at 20 in/min
        (24, 210, 20 * IN_MIN, D("15.12")),
    ],
)
def test_published_arc_energies(v: int, a: int, travel: D, kj_in: D) -> None:
    assert arc_energy(D(v), D(a), travel) == pytest.approx(kj_in, rel=D("1e-20"))


def test_the_thermal_efficiency_is_applied_by_iso_and_not_by_asme() -> None:
    energy = arc_energy(D(24), D(210), 20 * IN_MIN)
    # twi.co.uk, difference between heat input and arc energy: GMAW 0.8, GTAW 0.6, SAW 1.0; US codes none
    assert heat_input(energy, "GMAW", convention("asme_a")).value == energy
    iso = heat_input(energy, "GMAW", convention("iso_arc"))
    assert (iso.efficiency, round(in_kj_mm(iso.value), 3)) == (D("0.8"), D("0.476"))  # worked by us
    assert [thermal_efficiency(p)[0] for p in ("GTAW", "SMAW", "FCAW", "SAW")] == [
        D("0.6"),
        D("0.8"),
        D("0.8"),
        1,
    ]


def test_a_bead_volume_is_no_energy() -> None:
    with pytest.raises(ValueError, match="volume"):
        heat_input(D(10), "GMAW", convention("asme_b"))


def test_every_family_with_an_edition_that_limits_heat_input_has_a_convention() -> None:
    for name in editions():
        found = edition(name)
        if any(row.variable == "heat_input" for row in found.procedure):
            assert conventions(found.family), name


def test_the_three_measures_of_asme_name_their_letters() -> None:
    assert [c.clause for c in conventions("asme")] == ["QW-409.1(a)", "QW-409.1(b)", "QW-409.1(c)"]


def test_the_most_comes_from_the_lowest_travel_speed() -> None:
    # materials-welding.blogspot.com, interpretation quoted: highest volts and amperes, lowest travel speed
    span = arc_energy_span(Interval(D(22), D(24)), Interval(D(180), D(210)), Interval(D(400), D(600)))
    assert span == Interval(arc_energy(D(22), D(180), D(600)), arc_energy(D(24), D(210), D(400)))
    assert arc_energy_span(Interval(None, D(24)), Interval.point(D(9)), Interval.point(D(9))).low is None


@given(volts, amps, speeds)
def test_measured_power_and_measured_energy_agree(v: D, a: D, travel: D) -> None:
    """Holding a power for the time a length takes gives the energy of that length."""
    length = D(100)
    joules = v * a * length / travel * 60
    assert power_by_speed(v * a, travel) == pytest.approx(energy_by_length(joules, length), rel=D("1e-20"))


@given(volts, amps, speeds)
def test_faster_travel_never_puts_in_more(v: D, a: D, travel: D) -> None:
    assert arc_energy(v, a, travel) > arc_energy(v, a, travel * 2)


def test_units_are_those_of_the_registry() -> None:
    kj_mm = read_quantity("1 kJ/mm", "heat_input", "si").interval.low
    assert kj_mm == D("25.4")  # weldinginspections.net: 1 kJ/mm is 25.4 kJ/in
    assert from_canonical(D("25.4"), DIMENSIONS["heat_input"].si, DIMENSIONS["heat_input"]) == 1


@pytest.mark.parametrize(
    "call", [lambda: arc_energy(D(20), D(100), D(0)), lambda: energy_by_length(D(5), D(0))]
)
def test_nothing_is_divided_by_zero(call: object) -> None:
    with pytest.raises(ValueError, match="above zero"):
        call()  # type: ignore[operator]
