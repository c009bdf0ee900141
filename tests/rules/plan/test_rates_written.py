"""Rates as a shop writes them: both units of each, the same amount whichever is written."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.units import SI, US
from qualification.rules.plan.rates_written import FIFTH_PLACE, MEASURES, RateError, rate_in, read_rate

NAMES = st.sampled_from(sorted(MEASURES))
AMOUNTS = st.decimals(min_value=0, max_value=9999, places=2)


@given(NAMES, AMOUNTS)
def test_a_bare_number_and_one_with_its_unit_are_the_same(name: str, amount: Decimal) -> None:
    measure = MEASURES[name]
    written = f"{amount}/{measure.si}" if measure.is_price else f"{amount} {measure.si}"
    assert read_rate(name, written) == read_rate(name, str(amount)) == amount


@given(NAMES, AMOUNTS)
def test_what_is_written_in_us_units_is_read_back_in_them(name: str, amount: Decimal) -> None:
    measure = MEASURES[name]
    rate = read_rate(name, f"{amount} a {measure.us}" if measure.is_price else f"{amount} {measure.us}")
    shown, unit = rate_in(name, rate, US)
    # A price by the cubic foot is small: five places of the price by the cubic meter still tell its cents.
    assert (shown, unit) == (amount, measure.us)


@given(NAMES, AMOUNTS)
def test_a_rate_in_si_is_shown_as_it_is(name: str, amount: Decimal) -> None:
    assert rate_in(name, amount, SI) == (amount, MEASURES[name].si)


def test_a_dearer_pound_is_a_dearer_kilogram() -> None:
    # The pound is 0.45359237 kg (NIST Handbook 44, appendix C).
    assert read_rate("filler_kg", "0.45 / lb") == (Decimal("0.45") / Decimal("0.45359237")).quantize(
        FIFTH_PLACE
    )
    assert read_rate("spool_kg", "1 lb") == Decimal("0.45359")


@pytest.mark.parametrize("written", ["5/hour", "5 lb", "5 a", "5/", "/lb", "lb", "5 5", "5.123", "1,500"])
def test_what_is_no_hour_of_work_is_refused(written: str) -> None:
    with pytest.raises(RateError):
        read_rate("hour", written)


def test_an_amount_of_an_earlier_release_is_read() -> None:
    assert read_rate("radiograph", "1E+2") == 100
