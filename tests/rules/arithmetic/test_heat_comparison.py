"""When one energy per length lies below another, and when the difference may be chance."""

from __future__ import annotations

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.arithmetic.heat_comparison import (
    Coupon,
    Energy,
    HeatContrast,
    PassHeat,
    compare,
    difference,
    mean_of,
    times_counted,
)

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


def coupon(name: str, *values: float, **changes: object) -> Coupon:
    """Passes 1, 2, ... with these energies, each known to 1 % by itself and 2 % by its instruments."""
    passes = tuple(
        PassHeat(at, D(str(v)), D(str(v)) / 100, D(str(v)) / 50, **changes)  # type: ignore[arg-type]
        for at, v in enumerate(values, start=1)
    )
    return Coupon(name, passes)


def test_one_coupon_of_each_is_judged_by_the_usual_scatter() -> None:
    # Worked by us: root of (5² + 1²) by root of 2 and 1.96 is 14.1 %, 2 % by root of 2 and 1.96 is 5.5 %
    found = compare([coupon("a", 8)], [coupon("b", 10)])
    assert (found.percent, found.usual_scatter) == (pytest.approx(-20), True)
    assert found.margin == pytest.approx(0.8 * (14.13**2 + 5.54**2) ** 0.5, rel=1e-3)
    assert found.answer is HeatContrast.LESS
    # 17.9 % is what counts: root of (2.33 times 7.21)² and (2.33 times 2.83)².
    assert found.counts_from == pytest.approx(18.0, abs=0.1)
    assert compare([coupon("a", 8.4)], [coupon("b", 10)]).answer is HeatContrast.NO_DIFFERENCE


def test_many_coupons_tell_their_own_scatter_by_student() -> None:
    # Worked by us: 9.8, 10, 10.2 scatter by 2 %; t of 4 degrees is 2.776 (NIST/SEMATECH 1.3.6.7.2)
    sides = [[coupon(str(v), v, recorder="L7") for v in (9.8, 10, 10.2)] for _ in range(2)]
    found = compare(*sides)
    assert (found.usual_scatter, found.shared_instruments) == (False, True)
    assert found.margin == pytest.approx(2.776 * 2 * (2 / 3) ** 0.5, rel=1e-3)


def test_passes_are_matched_and_others_left_out() -> None:
    """The root takes less heat than the cap, whoever welds it."""
    found = compare([coupon("a", 5, 10)], [coupon("b", 5, 10, 12)])
    assert (found.positions, found.percent) == ((1, 2), pytest.approx(0))
    only_cap = Coupon("c", (PassHeat(3, D(12), D("0.1"), D("0.1")),))
    found = compare([coupon("a", 5, 10)], [coupon("b", 5, 10), only_cap])
    assert (found.positions, found.left_out) == ((1,), ("c",))
    assert compare([coupon("a", 5, 10)], [only_cap]).answer is HeatContrast.NOT_COMPARABLE


def test_a_bound_is_not_compared() -> None:
    found = compare([coupon("a", 5, at_least=True)], [coupon("b", 10)])
    assert found.answer is HeatContrast.NOT_COMPARABLE
    assert "cut off" in found.because
    assert compare([Coupon("a", ())], [coupon("b", 10)]).because == "one side has no energy per length"


def test_one_instrument_cancels_and_several_readings_of_a_pass_are_one() -> None:
    apart, same, other = (
        compare([coupon("a", 9, recorder=one)], [coupon("b", 10, recorder=two)])
        for one, two in (("", ""), ("L7", "l7"), ("L7", "L8"))
    )
    assert same.margin < apart.margin == pytest.approx(other.margin)
    twice = Coupon("a", coupon("a", 9).passes * 2)
    assert compare([twice], [coupon("b", 10)]).percent == pytest.approx(-10)


@given(
    st.lists(st.floats(5, 20), min_size=1, max_size=5),
    st.lists(st.floats(5, 20), min_size=1, max_size=5),
)
def test_turned_round_the_answer_is_turned_round(ones: list[float], others: list[float]) -> None:
    first, second = ([coupon(str(at), round(v, 3)) for at, v in enumerate(side)] for side in (ones, others))
    there, back = compare(first, second), compare(second, first)
    turned = {HeatContrast.LESS: HeatContrast.MORE, HeatContrast.MORE: HeatContrast.LESS}
    assert there.counts_from == pytest.approx(back.counts_from)
    assert back.answer == turned.get(there.answer, there.answer)
