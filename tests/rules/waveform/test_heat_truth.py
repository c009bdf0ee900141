"""Intervals hold the truth, and differences that are not there are rarely seen: 100 tries of each.

`tests.benchmarks.heat_truth` prints the whole table.
"""

import pytest

from tests.rules.waveform.shops import Scenario, single, tally


@pytest.mark.parametrize("coupons", [1, 2, 3, 5])
@pytest.mark.parametrize(("part", "one_instrument"), [(1.0, True), (0.96, False), (0.4, False)])
def test_differences_between_coupons(coupons: int, part: float, one_instrument: bool) -> None:
    alike = tally(Scenario("double", "double", coupons, part, same_truth=True, one_instrument=one_instrument))
    apart = tally(Scenario("double", "pulsed", coupons, part, one_instrument=one_instrument))
    assert 90 <= alike.held <= 99
    assert 90 <= apart.held <= 99
    assert alike.false <= 5
    assert apart.false == 0


@pytest.mark.parametrize("program", ["steady", "short"])
@pytest.mark.parametrize("part", [1.0, 0.4])
def test_the_energy_of_one_pass(program: str, part: float) -> None:
    assert single(program, part) >= 90
