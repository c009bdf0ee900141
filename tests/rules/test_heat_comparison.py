"""When one energy per length lies below another, and when the difference may be chance."""

from __future__ import annotations

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.heat_comparison import Energy, difference, mean_of, times_counted

energies = st.builds(Energy, st.decimals("0.1", "100", places=3), st.decimals("0", "5", places=3))


def test_a_difference_within_its_uncertainty_does_not_count() -> None:
    # Worked by us: 9.5 against 10 is 5 % less; root of (0.19² + 0.2²) is 0.276 of 10; twice that 5.5 %
    found = difference(Energy(D("9.5"), D("0.19")), Energy(D(10), D("0.2")))
    assert (found.percent, found.counts) == (D(-5), False)
    assert float(found.uncertainty) == pytest.approx(2.759, abs=0.001)
    # With half the uncertainties twice is 2.76 %, and 5 % is more.
    assert difference(Energy(D("9.5"), D("0.095")), Energy(D(10), D("0.1"))).counts


def test_the_factor_is_that_of_the_published_page() -> None:
    times, origin = times_counted()
    # NIST/SEMATECH handbook 2.5.7: k = 2 approximates 95 % coverage for many degrees of freedom
    assert (times, origin.provenance.value) == (D(2), "published")


def test_the_mean_of_one_is_itself_and_of_several_shows_their_scatter() -> None:
    assert mean_of([Energy(D(10), D("0.2"))]) == Energy(D(10), D("0.2"))
    # Worked by us: 9, 10, 11 scatter by 1; the mean of three by 1 / root 3
    scattered = mean_of([Energy(D(v), D("0.01")) for v in (9, 10, 11)])
    assert scattered.value == 10
    assert float(scattered.uncertainty) == pytest.approx(3**-0.5)
    # Alike among themselves, the measurement decides: 0.3 / root 2
    alike = mean_of([Energy(D(10), D("0.3"))] * 2)
    assert float(alike.uncertainty) == pytest.approx(0.3 / 2**0.5)


@given(energies, energies)
def test_turned_round_the_same_difference_counts(one: Energy, other: Energy) -> None:
    there, back = difference(one, other), difference(other, one)
    assert there.percent == 0 or (there.percent > 0) == (back.percent < 0)
    assert there.counts == back.counts


@pytest.mark.parametrize("value", [D(0), D(-1)])
def test_an_energy_of_nought_is_none(value: D) -> None:
    with pytest.raises(ValueError, match="above zero"):
        difference(Energy(value, D(0)), Energy(D(1), D(0)))
    with pytest.raises(ValueError, match="no energy"):
        mean_of([])
