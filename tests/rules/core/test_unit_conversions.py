"""Units are converted as the standards body defines them.

Source of the factors: A. Thompson and B. N. Taylor, "Guide for the Use of the International System of Units
(SI)", NIST Special Publication 811, 2008 edition, Appendix B: inch, foot, pound (B.8, bold: exact), standard
acceleration of gravity (exact), thermodynamic temperature (B.8: t/°C = (t/°F - 32)/1.8). Factors it prints
rounded to seven digits are checked against those digits too. A second, independent reckoning is pint's
ordinary registry, which works in binary floats and not in the decimals the program uses.
"""

import math
from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import DIMENSIONS, Dimension, Unit, from_canonical, to_canonical

D = Decimal

INCH = Fraction(254, 10_000)  # m, exact
FOOT = Fraction(3048, 10_000)  # m, exact
POUND = Fraction(45_359_237, 100_000_000)  # kg, exact
GRAVITY = Fraction(980_665, 100_000)  # m/s2, exact
POUND_FORCE = POUND * GRAVITY  # N
MM, MINUTE, HOUR, LITRE = Fraction(1, 1000), Fraction(60), Fraction(3600), Fraction(1, 1000)

IN_BASE_UNITS: dict[str, dict[str, Fraction]] = {
    "length": {"mm": MM, "in": INCH, "cm": 10 * MM, "m": Fraction(1), "ft": FOOT},
    "area": {"mm²": MM**2, "in²": INCH**2},
    "travel_speed": {
        "mm/min": MM / MINUTE,
        "in/min": INCH / MINUTE,
        "cm/min": 10 * MM / MINUTE,
        "mm/s": MM,
        "m/min": 1 / MINUTE,
    },
    "wire_feed": {
        "mm/min": MM / MINUTE,
        "in/min": INCH / MINUTE,
        "m/min": 1 / MINUTE,
        "cm/min": 10 * MM / MINUTE,
    },
    "flow": {"L/min": LITRE / MINUTE, "cfh": FOOT**3 / HOUR, "m³/h": 1 / HOUR},
    "current": {"A": Fraction(1)},
    "voltage": {"V": Fraction(1)},
    "frequency": {"Hz": Fraction(1)},
    "percent": {"%": Fraction(1, 100)},
    "angle": {"°": Fraction(1)},
    "time": {"s": Fraction(1), "min": MINUTE, "h": HOUR},
    "duration": {"s": Fraction(1), "min": MINUTE},
    "heat_input": {
        "kJ/in": 1000 / INCH,
        "J/in": 1 / INCH,
        "kJ/mm": 1000 / MM,
        "J/mm": 1 / MM,
        "kJ/cm": 1000 / (10 * MM),
    },
    "force": {"N": Fraction(1), "lbf": POUND_FORCE, "kN": Fraction(1000)},
    "impact_energy": {"J": Fraction(1), "ft·lbf": FOOT * POUND_FORCE},
    "temperature_difference": {"°C": Fraction(1), "°F": Fraction(5, 9)},
    "count": {"": Fraction(1)},
    "number": {"": Fraction(1)},
}
SCALED = [
    (dimension, unit)
    for dimension in DIMENSIONS.values()
    if dimension.key not in ("temperature", "stress")
    for unit in dimension.units
]


def named(items: list[tuple[Dimension, Unit]]) -> list[str]:
    return [f"{dimension.key}: {unit.symbol or 'plain'}" for dimension, unit in items]


@pytest.mark.parametrize(("dimension", "unit"), SCALED, ids=named(SCALED))
def test_one_of_each_unit_is_exactly_what_the_definitions_say(dimension: Dimension, unit: Unit) -> None:
    sizes = IN_BASE_UNITS[dimension.key]
    expected = sizes[unit.symbol] / sizes[dimension.canonical.symbol]
    found = Fraction(to_canonical(D(1), unit, dimension))
    assert abs(found - expected) <= (Fraction(1, 10**12) if unit.symbol == "m³/h" else 0)


def test_every_dimension_has_been_looked_at() -> None:
    assert set(IN_BASE_UNITS) | {"temperature", "stress"} == set(DIMENSIONS)
    assert {key: {unit.symbol for unit in DIMENSIONS[key].units} for key in IN_BASE_UNITS} == {
        key: set(sizes) for key, sizes in IN_BASE_UNITS.items()
    }


@pytest.mark.parametrize(
    ("dimension", "symbol", "printed"),
    [
        # NIST SP 811 (2008), B.8, as printed there to seven digits
        ("force", "lbf", "4.448222"),  # pound-force to newton
        ("impact_energy", "ft·lbf", "1.355818"),  # foot pound-force to joule
        ("length", "ft", "304.8"),  # foot to metre, 3.048 E-01
        ("stress", "psi", "0.006894757"),  # psi to pascal, 6.894 757 E+03
        ("stress", "ksi", "6.894757"),
    ],
)
def test_the_printed_factors_agree_to_their_last_digit(dimension: str, symbol: str, printed: str) -> None:
    dim = DIMENSIONS[dimension]
    (unit,) = [u for u in dim.units if u.symbol == symbol]
    places = abs(int(D(printed).as_tuple().exponent))
    assert round(to_canonical(D(1000), unit, dim) / 1000, places) == D(printed)


@given(st.decimals(-460, 4000, places=3))
def test_degrees_celsius_follow_the_formula_exactly(celsius: Decimal) -> None:
    dim = DIMENSIONS["temperature"]
    fahrenheit = to_canonical(celsius, dim.si, dim)
    assert (Fraction(fahrenheit) - 32) / Fraction(18, 10) == Fraction(celsius)
    assert from_canonical(fahrenheit, dim.si, dim) == celsius


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"), [("0", "32"), ("100", "212"), ("-40", "-40"), ("37", "98.6")]
)
def test_well_known_temperatures(celsius: str, fahrenheit: str) -> None:
    """Ice point, boiling point, the crossing of the scales, the body: common knowledge."""
    dim = DIMENSIONS["temperature"]
    assert to_canonical(D(celsius), dim.si, dim) == D(fahrenheit)


@given(st.decimals(D("0.001"), D("2000000"), places=3))
def test_pounds_per_square_inch_are_held_to_six_places(psi: Decimal) -> None:
    dim = DIMENSIONS["stress"]
    megapascal = Fraction(psi) * POUND_FORCE / INCH**2 / 1_000_000
    assert abs(Fraction(to_canonical(psi, dim.us, dim)) - megapascal) <= Fraction(1, 2_000_000)


FLOAT_PINT = pint.UnitRegistry()
ALL = [(dimension, unit) for dimension in DIMENSIONS.values() for unit in dimension.units]


@pytest.mark.parametrize(("dimension", "unit"), ALL, ids=named(ALL))
@pytest.mark.parametrize("number", ["0.035", "1", "18.5", "480", "24000"])
def test_pint_in_floats_reckons_the_same(dimension: Dimension, unit: Unit, number: str) -> None:
    by_pint = FLOAT_PINT.Quantity(float(number), unit.pint_name).to(dimension.canonical.pint_name).magnitude
    ours = to_canonical(D(number), unit, dimension)
    assert math.isclose(
        float(ours), by_pint, rel_tol=1e-9, abs_tol=6e-7 if dimension.key == "stress" else 1e-9
    )


@pytest.mark.parametrize("dimension", list(DIMENSIONS.values()), ids=list(DIMENSIONS))
def test_no_spelling_names_two_units_of_one_dimension(dimension: Dimension) -> None:
    spellings = [word for unit in dimension.units for word in {*unit.spellings, unit.symbol.lower()}]
    assert sorted(spellings) == sorted(set(spellings))
    assert all(word == word.lower() for word in spellings)
