"""A printed limit typed back lies within the limit, in either unit system."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.printed_limits import limit_in_both, show_limit
from qualification.rules.core.quantities import from_canonical, read_quantity, to_canonical
from qualification.rules.core.units import DIMENSIONS, SI, US
from qualification.rules.core.values import Interval
from qualification.rules.entries.wording import say_allowed, say_value

D = Decimal


@pytest.mark.parametrize(
    ("low", "high", "dimension", "system", "words"),
    [
        ("22.32", "25.68", "voltage", US, "22.4 to 25.6 V"),
        ("1.5875", "9.525", "length", SI, "1.59 to 9.52 mm"),
        ("1.5875", "9.525", "length", US, "1/16 to 3/8 in"),
        ("3", "20", "length", US, "0.1182 to 0.7874 in"),
        ("3", "20", "length", SI, "3 to 20 mm"),
        (None, "50", "heat_input", SI, "up to 1.96 kJ/mm"),
        ("71.6", None, "temperature", US, "72 °F or more"),
        ("71.6", None, "temperature", SI, "22 °C or more"),
        ("22.31", "22.39", "voltage", US, "22.31 to 22.39 V"),
        ("3.175", "3.175", "length", SI, "3.175 mm"),
        ("3.175", "3.175", "length", US, "1/8 in"),
        ("10", "10", "length", US, "about 0.3937 in"),
        (None, None, "length", US, "no limit"),
    ],
)
def test_ends_are_rounded_to_the_inside(
    low: str | None, high: str | None, dimension: str, system: str, words: str
) -> None:
    interval = Interval(D(low) if low else None, D(high) if high else None)
    assert show_limit(interval, dimension, system) == words


@pytest.mark.parametrize(
    ("interval", "words"),
    [
        (Interval(D("10.004"), None, low_open=True), "above 10.01 mm"),
        (Interval(None, D("10.006"), high_open=True), "below 10 mm"),
        (Interval(D("10.004"), D("20.006"), True, True), "above 10.01 to below 20 mm"),
    ],
)
def test_ends_that_lie_outside_are_rounded_inward_as_well(interval: Interval, words: str) -> None:
    assert show_limit(interval, "length", SI) == words


def test_a_limit_is_rounded_inward_and_a_value_to_the_nearest() -> None:
    span = Interval(D("22.32"), D("25.68"))
    assert (say_allowed("volts", span, US), say_value("volts", span, US)) == (
        "22.4 to 25.6 V",
        "22.3 to 25.7 V",
    )
    assert limit_in_both(Interval(D("3.2"), None), "length", SI) == "3.2 mm or more (0.126 in or more)"


NUMBERS = st.decimals("0.02", "3000", places=5)


@given(
    NUMBERS,
    NUMBERS,
    st.sampled_from(sorted(set(DIMENSIONS) - {"stress", "count"})),
    st.sampled_from([US, SI]),
)
def test_a_printed_limit_typed_back_lies_within_it(
    one: Decimal, other: Decimal, key: str, system: str
) -> None:
    """Of any numbers in any dimension, also of limits that were stated in the other unit system."""
    dim = DIMENSIONS[key]
    given_in = dim.unit_for(US if system == SI else SI)
    interval = Interval(*sorted(to_canonical(each, given_in, dim) for each in (one, other)))
    words = show_limit(interval, key, system)
    if words.startswith("about "):
        assert interval.is_point
        return
    unit = dim.unit_for(system).symbol
    for text in words.removesuffix(unit).strip().split(" to "):
        back = read_quantity(f"{text} {unit}".replace("−", "-").strip(), key, system).interval
        assert back.within(interval), (words, from_canonical(interval.low, dim.unit_for(system), dim))  # type: ignore[arg-type]
