"""How numbers are read: every way the trade writes them, and every slip, with what to do about it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import (
    DIMENSIONS,
    SI,
    US,
    QuantityError,
    from_canonical,
    read_quantity,
    show,
    show_both,
    show_interval,
    to_canonical,
)
from qualification.rules.core.values import Interval

D = Decimal

SINGLE = [
    # text, dimension, unit system, value in the canonical unit (an inch is 25.4 mm exactly)
    ("1/8", "length", US, "3.175"),
    ("1/8 in", "length", SI, "3.175"),
    ("1/8in", "length", US, "3.175"),
    ('1/8"', "length", US, "3.175"),
    ("1/8″", "length", US, "3.175"),
    ("1 / 8 in.", "length", US, "3.175"),
    ("1⁄8 in", "length", US, "3.175"),
    ("⅛", "length", US, "3.175"),
    ("⅛ in", "length", SI, "3.175"),
    ("1 1/2 in", "length", US, "38.1"),
    ("1-1/2 in", "length", US, "38.1"),
    ("1-1/2", "length", US, "38.1"),
    ("1‑1/2 in", "length", US, "38.1"),
    ("1½", "length", US, "38.1"),
    ("1 ½ in", "length", US, "38.1"),
    ("2-3/4 in", "length", US, "69.85"),
    (".035", "length", US, "0.889"),
    (".035 in", "length", SI, "0.889"),
    (",035 in", "length", US, "0.889"),
    ("0.035", "length", US, "0.889"),
    ("3/64", "length", US, "1.190625"),
    ("1.2 mm", "length", US, "1.2"),
    ("6,35 mm", "length", US, "6.35"),
    ("6.35", "length", SI, "6.35"),
    ("6.35mm", "length", US, "6.35"),
    ("6.35\u00a0mm", "length", US, "6.35"),
    ("2.5 cm", "length", US, "25"),
    ("0.5 M", "length", US, "500"),
    ("2 ft", "length", SI, "609.6"),
    ("5.", "length", SI, "5"),
    ("0", "length", US, "0"),
    ("480 ipm", "wire_feed", US, "12192"),
    ("480 IPM", "wire_feed", SI, "12192"),
    ("12.192", "wire_feed", SI, "12192"),
    ("12 ipm", "travel_speed", US, "304.8"),
    ("12 in / min", "travel_speed", US, "304.8"),
    ("5 mm/s", "travel_speed", SI, "300"),
    ("35 cfh", "flow", US, "16.518160512"),
    ("35 ft³/hr", "flow", SI, "16.518160512"),
    ("35 ft3/h", "flow", SI, "16.518160512"),
    ("16 L/min", "flow", US, "16"),
    ("-60 °F", "temperature", US, "-60"),
    ("−60", "temperature", US, "-60"),
    ("- 60 F", "temperature", SI, "-60"),
    ("+60 F", "temperature", SI, "60"),
    ("-51 °C", "temperature", US, "-59.8"),
    ("15 C", "temperature", US, "59"),
    ("15", "temperature", SI, "59"),
    ("60 ° F", "temperature", US, "60"),
    ("60º F", "temperature", US, "60"),
    ("60℉", "temperature", SI, "60"),
    ("100 °F", "temperature_difference", US, "100"),
    ("55 °C", "temperature_difference", US, "99"),
    ("2 h", "time", US, "7200"),
    ("1/2 h", "time", SI, "1800"),
    ("90", "time", SI, "5400"),
    ("0.6 kJ/mm", "heat_input", US, "15.24"),
    ("38100 J/in", "heat_input", SI, "38.1"),
    ("4950 lbf", "force", US, "22018.696995539475"),
    ("22 kN", "force", US, "22000"),
    ("60°", "angle", US, "60"),
    ("60 deg", "angle", SI, "60"),
    ("50 %", "percent", US, "50"),
    ("-3.5", "number", US, "-3.5"),
    ("3", "count", US, "3"),
    ("20 ft-lb", "impact_energy", US, "27.116358966628008"),
]


@pytest.mark.parametrize(
    ("text", "dimension", "system", "value"), SINGLE, ids=[f"{s[0]} ({s[2]})" for s in SINGLE]
)
def test_a_single_number_is_read(text: str, dimension: str, system: str, value: str) -> None:
    assert read_quantity(text, dimension, system, many=False).interval == Interval.point(D(value))


RANGES = [
    ("18.5-20", "voltage", US, "18.5", "20"),
    ("18.5 - 20 V", "voltage", US, "18.5", "20"),
    ("18.5–20 V", "voltage", US, "18.5", "20"),
    ("18,5 to 20 volts", "voltage", US, "18.5", "20"),
    ("18.5 V-20 V", "voltage", US, "18.5", "20"),
    ("140..160", "current", US, "140", "160"),
    ("1/8 - 1/4 in", "length", US, "3.175", "6.35"),
    ("1/8-1/4", "length", US, "3.175", "6.35"),
    ("1/8−1/4", "length", US, "3.175", "6.35"),
    ('1/8"-1/4"', "length", SI, "3.175", "6.35"),
    ("1/8 in to 6.35 mm", "length", US, "3.175", "6.35"),
    ("0-1/8", "length", US, "0", "3.175"),
    ("0 - 1/8 in", "length", SI, "0", "3.175"),
    ("0–⅛", "length", US, "0", "3.175"),
    ("1-5/4 in", "length", US, "25.4", "31.75"),
    ("1-2 in", "length", US, "25.4", "50.8"),
    ("1 to 2", "length", US, "25.4", "50.8"),
    ("1 mm to 3 mm", "length", US, "1", "3"),
    ("1 mm to 3", "length", US, "1", "3"),
    ("1-1 1/2 in", "length", US, "25.4", "38.1"),
    ("1 1/2-2 in", "length", US, "38.1", "50.8"),
    ("1/2-1-1/2 in", "length", US, "12.7", "38.1"),
    ("3-1/8-3-1/4 in", "length", US, "79.375", "82.55"),
    ("60 to 250 F", "temperature", US, "60", "250"),
    ("60 to 250 F", "temperature", SI, "60", "250"),
    ("60°F-250°F", "temperature", US, "60", "250"),
    ("-60-20 °F", "temperature", US, "-60", "20"),
    ("-20 to -10 °C", "temperature", US, "-4", "14"),
    ("-20--10 °C", "temperature", US, "-4", "14"),
    ("-20 to 10", "temperature", US, "-20", "10"),
    ("30-40 cfh", "flow", SI, "14.158423296", "18.877897728"),
    ("20 ft-lb - 30 ft-lb", "impact_energy", SI, "27.116358966628008", "40.674538449942012"),
    ("20-20", "voltage", US, "20", "20"),
]


@pytest.mark.parametrize(
    ("text", "dimension", "system", "low", "high"), RANGES, ids=[f"{r[0]} ({r[2]})" for r in RANGES]
)
def test_a_range_is_read(text: str, dimension: str, system: str, low: str, high: str) -> None:
    assert read_quantity(text, dimension, system).interval == Interval(D(low), D(high))
    if low != high:
        with pytest.raises(QuantityError, match="one number, not a range"):
            read_quantity(text, dimension, system, many=False)


REFUSED = [
    ("", "length", US, "Enter a number, for example 1/8 in"),
    ("  ", "length", SI, "Enter a number, for example 3.2 mm"),
    ("in", "length", US, "could not be read"),
    ("about 3", "length", US, "could not be read"),
    ("1/8 in thick", "length", US, "Use one of: in, mm"),
    ("1/8 F", "length", US, "“F” is not a unit this field takes"),
    ("60 mm", "temperature", US, "Use one of: °F, °C"),
    ("480 mm", "wire_feed", US, "Use one of: in/min, m/min"),
    ("3 in", "count", US, "plain number without a unit"),
    ("2.5", "count", US, "not a whole number"),
    ("1/0", "length", US, "divides by zero"),
    ("1 1/0 in", "length", US, "divides by zero"),
    ("1-1/0 in", "length", US, "divides by zero"),
    ("1 5/4 in", "length", US, "fraction above one"),
    ("-1/8", "length", US, "below zero"),
    ("−3 mm", "length", US, "below zero"),
    ("-5 to 3 mm", "length", US, "below zero"),
    ("1,500", "length", SI, "Write 1500 or 1.500"),
    ("12,500 psi", "stress", US, "Write 12500 or 12.500"),
    ("1,500.5", "length", SI, "could not be read"),
    ("1 500", "length", SI, "could not be read"),
    ("5,", "length", SI, "could not be read"),
    ("1.2.3", "length", SI, "could not be read"),
    ("1e3 mm", "length", SI, "could not be read"),
    ("1/8", "length", SI, "Write 1/8 in or 3.2 mm"),
    ("1/8-1/4", "length", SI, "Write 1/8 in or 3.2 mm"),
    ("20-18.5", "voltage", US, "write the smaller number first"),
    ("1 - 1/2 in", "length", US, "write the smaller number first"),
    ("1 in - 20 mm", "length", US, "write the smaller number first"),
    ("250 to 60 F", "temperature", US, "write the smaller number first"),
    ("1-2-3", "length", US, "could not be read"),
    ("1000000000000", "length", SI, "check its digits"),
    ("9" * 81, "length", SI, "81 characters long"),
    ("nan", "length", SI, "could not be read"),
    ("inf", "length", SI, "could not be read"),
    ("1/8 in; 1/4 in", "length", US, "not a unit|could not be read"),
]


@pytest.mark.parametrize(
    ("text", "dimension", "system", "words"), REFUSED, ids=[f"{r[0][:20]!r} ({r[2]})" for r in REFUSED]
)
def test_a_slip_is_refused_with_what_to_do(text: str, dimension: str, system: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        read_quantity(text, dimension, system)


@given(st.text(max_size=90), st.sampled_from(sorted(DIMENSIONS)), st.sampled_from([US, SI]))
def test_any_text_is_read_or_refused_and_never_crashes(text: str, dimension: str, system: str) -> None:
    _read_or_refuse(text, dimension, system)


PIECES = st.lists(
    st.sampled_from(
        [
            "1",
            "0",
            "12",
            "1/8",
            "1 1/2",
            "-",
            " ",
            "to",
            "in",
            "mm",
            "°F",
            ".",
            ",",
            "/",
            "½",
            "ft3/h",
            "–",
            "²",
        ]
    ),
    max_size=9,
).map("".join)


@given(PIECES, st.sampled_from(sorted(DIMENSIONS)), st.sampled_from([US, SI]))
def test_any_jumble_of_what_people_type_is_read_or_refused(text: str, dimension: str, system: str) -> None:
    _read_or_refuse(text, dimension, system)


def _read_or_refuse(text: str, dimension: str, system: str) -> None:
    try:
        found = read_quantity(text, dimension, system).interval
    except QuantityError as error:
        message = str(error)
    else:
        message = f"from {Decimal(found.low or 0)} to {Decimal(found.high or 0)}."
    assert message.endswith(".")


NUMBERS = st.decimals(
    min_value=D("0.001"), max_value=D("99999"), places=4, allow_nan=False, allow_infinity=False
)


@given(NUMBERS, st.sampled_from(sorted(set(DIMENSIONS) - {"count"})), st.sampled_from([US, SI]))
def test_what_is_shown_reads_back_within_its_rounding(value: Decimal, dimension: str, system: str) -> None:
    dim = DIMENSIONS[dimension]
    unit = dim.unit_for(system)
    places = dim.places_us if system == US else dim.places_si
    back = read_quantity(show(value, dimension, system), dimension, system, many=False).interval.low
    assert back is not None
    half_a_step = D(1).scaleb(-places) / 2
    assert abs(from_canonical(back, unit, dim) - from_canonical(value, unit, dim)) <= half_a_step + D("1e-6")


@given(NUMBERS, st.sampled_from(sorted(set(DIMENSIONS) - {"count"})), st.sampled_from([US, SI]))
def test_a_written_number_keeps_its_value_in_every_unit(number: Decimal, dimension: str, system: str) -> None:
    dim = DIMENSIONS[dimension]
    for unit in dim.units:
        value = read_quantity(f"{number} {unit.symbol}", dimension, system, many=False).interval.low
        assert value == to_canonical(number, unit, dim)


@given(st.integers(1, 64), st.sampled_from([8, 16, 32, 64]))
def test_inches_and_millimetres_of_the_same_length_are_equal(top: int, bottom: int) -> None:
    written = read_quantity(f"{top}/{bottom} in", "length", US).interval
    assert read_quantity(f"{D(top) / bottom * D('25.4')} mm", "length", SI).interval == written


@pytest.mark.parametrize(
    ("dimension", "us", "si"),
    [
        ("temperature", "59 °F", "15 °C"),
        ("temperature", "-40 °F", "-40 °C"),
        ("temperature_difference", "99 °F", "55 °C"),
        ("travel_speed", "10 in/min", "254 mm/min"),
        ("wire_feed", "500 ipm", "12.7 m/min"),
        ("heat_input", "25.4 kJ/in", "1 kJ/mm"),
        ("flow", "1 cfh", "0.4719474432 L/min"),
        ("force", "1000 lbf", "4.4482216152605 kN"),
        ("impact_energy", "1 ft-lb", "1.3558179483314004 J"),
        ("time", "120 min", "2 h"),
    ],
)
def test_us_and_si_writings_of_one_value_are_equal(dimension: str, us: str, si: str) -> None:
    assert read_quantity(us, dimension, US).interval == read_quantity(si, dimension, SI).interval


def test_the_unit_it_was_written_in_is_kept() -> None:
    assert read_quantity("6,35 mm", "length", US).unit.symbol == "mm"
    assert read_quantity("1/4", "length", US).unit.symbol == "in"
    assert read_quantity("0.25", "length", SI).unit.symbol == "mm"


@pytest.mark.parametrize(
    ("interval", "dimension", "system", "words"),
    [
        (Interval(D("1.5875"), D("12.7")), "length", US, "1/16 to 1/2 in"),
        (Interval(D("1.5875"), D("12.7")), "length", SI, "1.59 to 12.7 mm"),
        (Interval(None, D(250)), "temperature", US, "up to 250 °F"),
        (Interval(None, D(250), high_open=True), "temperature", US, "below 250 °F"),
        (Interval(D(140), None), "current", US, "140 A or more"),
        (Interval(D(140), None, low_open=True), "current", US, "above 140 A"),
        (Interval(D(5), D(9), low_open=True), "number", US, "above 5 to 9"),
        (Interval(D(5), D(9), high_open=True), "percent", US, "5 to below 9%"),
        (Interval(None, None), "length", US, "no limit"),
        (Interval.point(D("-60")), "temperature", US, "−60 °F"),
        (Interval.point(D("0")), "length", US, "0 in"),
        (Interval.point(D("-0.4")), "temperature", US, "0 °F"),
    ],
)
def test_an_interval_in_words(interval: Interval, dimension: str, system: str, words: str) -> None:
    assert show_interval(interval, dimension, system) == words


def test_both_systems_stand_side_by_side_and_once_where_they_agree() -> None:
    assert show_both(Interval.point(D("3.175")), "length", US) == "1/8 in (3.18 mm)"
    assert show_both(Interval.point(D("3.175")), "length", SI) == "3.18 mm (1/8 in)"
    assert show_both(Interval(D(140), D(160)), "current", US) == "140 to 160 A"


@pytest.mark.parametrize(
    ("millimetres", "words"),
    [
        ("3.175", "1/8 in"),
        ("52.3875", "2 1/16 in"),
        ("25.4", "1 in"),
        ("1.190625", "3/64 in"),
        ("6.35", "1/4 in"),
        ("609.6", "24 in"),
        ("1.143", "0.045 in"),
        ("0.889", "0.035 in"),
        ("6.2992", "0.248 in"),
        ("3.1750254", "0.125 in"),
        ("0", "0 in"),
    ],
)
def test_inches_are_written_as_the_trade_writes_them(millimetres: str, words: str) -> None:
    """Whole 64ths as fractions, everything else as decimals (common practice)."""
    assert show(D(millimetres), "length", US) == words


@pytest.mark.parametrize(
    ("value", "dimension", "system", "words"),
    [
        ("9.525", "length", SI, "9.53 mm"),
        ("60.325", "length", SI, "60.33 mm"),
        ("22.225", "length", SI, "22.23 mm"),
        ("9.524", "length", SI, "9.52 mm"),
        ("120.5", "current", US, "121 A"),
        ("22.25", "voltage", US, "22.3 V"),
        ("22.249", "voltage", US, "22.2 V"),
    ],
)
def test_a_half_is_rounded_up_as_the_trade_does(value: str, dimension: str, system: str, words: str) -> None:
    assert show(D(value), dimension, system) == words
