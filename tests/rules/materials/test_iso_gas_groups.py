"""Groups and designations of shielding gases by ISO 14175: every limit of a group on it and just outside.

Expected terms are worked by us from ISO 14175 as the trade uses it (common practice); the gas examples marked
so are printed on a public page.
"""

from __future__ import annotations

import pytest

from qualification.rules.core.gases import read_gas
from qualification.rules.core.quantities import US
from qualification.rules.entries.wording import say_value
from qualification.rules.materials.iso_gases import OTHER, designation, groups, say_symbol, symbol

ON_AND_OUTSIDE = [
    # gas, symbol: each limit on, and just outside
    ("100Ar", "I1"), ("100He", "I2"), ("99.5Ar/0.5He", "I3"), ("5Ar/95He", "I3"), ("4.9Ar/95.1He", OTHER),
    ("99.6Ar/0.4He", OTHER),
    ("99.5Ar/0.5CO2", "M12"), ("99.6Ar/0.4CO2", OTHER), ("95Ar/5CO2", "M12"), ("94.9Ar/5.1CO2", "M20"),
    ("85Ar/15CO2", "M20"),
    ("84.9Ar/15.1CO2", "M21"), ("75Ar/25CO2", "M21"), ("74.9Ar/25.1CO2", "M31"), ("50Ar/50CO2", "M31"),
    ("49.9Ar/50.1CO2", OTHER),
    ("99.5Ar/0.5O2", "M13"), ("99.6Ar/0.4O2", OTHER), ("97Ar/3O2", "M13"), ("96.9Ar/3.1O2", "M22"),
    ("90Ar/10O2", "M22"),
    ("89.9Ar/10.1O2", "M32"), ("85Ar/15O2", "M32"), ("84.9Ar/15.1O2", OTHER),
    ("99Ar/0.5CO2/0.5H2", "M11"), ("99.1Ar/0.4CO2/0.5H2", OTHER), ("99.1Ar/0.5CO2/0.4H2", OTHER),
    ("90Ar/5CO2/5H2", "M11"),
    ("89.9Ar/5.1CO2/5H2", OTHER), ("89.9Ar/5CO2/5.1H2", OTHER),
    ("99Ar/0.5CO2/0.5O2", "M14"), ("99.1Ar/0.4CO2/0.5O2", OTHER), ("99.1Ar/0.5CO2/0.4O2", OTHER),
    ("92Ar/5CO2/3O2", "M14"),
    ("91.9Ar/5CO2/3.1O2", "M23"), ("91.9Ar/5.1CO2/3O2", "M24"), ("96.4Ar/0.5CO2/3.1O2", "M23"),
    ("96.5Ar/0.4CO2/3.1O2", OTHER),
    ("85Ar/5CO2/10O2", "M23"), ("84.9Ar/5CO2/10.1O2", OTHER), ("82Ar/15CO2/3O2", "M24"),
    ("84.6Ar/15CO2/0.4O2", OTHER),
    ("84.5Ar/15CO2/0.5O2", "M24"), ("81.9Ar/15CO2/3.1O2", "M25"), ("81.9Ar/15.1CO2/3O2", "M26"),
    ("84.4Ar/15.1CO2/0.5O2", "M26"),
    ("84.5Ar/15.1CO2/0.4O2", OTHER), ("84.9Ar/5.1CO2/10O2", "M25"), ("75Ar/15CO2/10O2", "M25"),
    ("74.9Ar/15CO2/10.1O2", "M34"),
    ("72Ar/25CO2/3O2", "M26"), ("71.9Ar/25CO2/3.1O2", "M27"), ("81.8Ar/15.1CO2/3.1O2", "M27"),
    ("65Ar/25CO2/10O2", "M27"),
    ("64.9Ar/25CO2/10.1O2", "M34"), ("64.9Ar/25.1CO2/10O2", "M33"), ("72.9Ar/25.1CO2/2O2", "M33"),
    ("73Ar/25.1CO2/1.9O2", OTHER),
    ("40Ar/50CO2/10O2", "M33"), ("39.9Ar/50.1CO2/10O2", OTHER), ("39.9Ar/50CO2/10.1O2", "M35"),
    ("84.8Ar/5.1CO2/10.1O2", "M34"),
    ("60Ar/25CO2/15O2", "M34"), ("59.9Ar/25CO2/15.1O2", OTHER), ("59.9Ar/25.1CO2/15O2", "M35"),
    ("64.8Ar/25.1CO2/10.1O2", "M35"),
    ("35Ar/50CO2/15O2", "M35"), ("34.9Ar/50.1CO2/15O2", OTHER), ("34.9Ar/50CO2/15.1O2", OTHER),
    ("60Ar/22He/18CO2", "M21"), ("100CO2", "C1"), ("99.5CO2/0.5O2", "C2"), ("99.6CO2/0.4O2", OTHER),
    ("70CO2/30O2", "C2"),
    ("69.9CO2/30.1O2", OTHER), ("99.5Ar/0.5H2", "R1"), ("99.6Ar/0.4H2", OTHER), ("85Ar/15H2", "R1"),
    ("84.9Ar/15.1H2", "R2"),
    ("50Ar/50H2", "R2"), ("49.9Ar/50.1H2", OTHER), ("100N2", "N1"), ("99.5Ar/0.5N2", "N2"),
    ("99.6Ar/0.4N2", OTHER), ("95Ar/5N2", "N2"),
    ("94.9Ar/5.1N2", "N3"), ("50Ar/50N2", "N3"), ("49.9Ar/50.1N2", OTHER), ("99Ar/0.5H2/0.5N2", "N4"),
    ("99.1Ar/0.4H2/0.5N2", OTHER),
    ("99.1Ar/0.5H2/0.4N2", OTHER), ("85Ar/10H2/5N2", "N4"), ("84.9Ar/10.1H2/5N2", OTHER),
    ("84.9Ar/10H2/5.1N2", OTHER),
    ("99.5N2/0.5H2", "N5"), ("99.6N2/0.4H2", OTHER), ("50N2/50H2", "N5"), ("49.9N2/50.1H2", OTHER),
    ("100O2", "O1"),
    # printed on the page GASES: argon with 30 % helium
    ("70Ar/30He", "I3"),
]  # fmt: skip


@pytest.mark.parametrize(("gas", "wanted"), ON_AND_OUTSIDE, ids=[gas for gas, _ in ON_AND_OUTSIDE])
def test_the_symbol_of_a_gas(gas: str, wanted: str) -> None:
    assert symbol(read_gas(gas)).partition(":")[0] == wanted


def test_every_group_is_met_by_a_case_and_no_mixture_is_in_two() -> None:
    assert {wanted for _, wanted in ON_AND_OUTSIDE} == {group.symbol for group in groups()} | {OTHER}
    for gas, _ in ON_AND_OUTSIDE:
        from qualification.rules.core.gases import components

        held = [group.symbol for group in groups() if group.holds(components(read_gas(gas)))]
        assert len(held) <= 1, (gas, held)


@pytest.mark.parametrize(
    ("gas", "wanted"),
    [
        ("100Ar", "ISO 14175 - I1 - Ar"), ("82Ar/18CO2", "ISO 14175 - M21 - ArC - 18"),
        ("90Ar/8CO2/2O2", "ISO 14175 - M24 - ArCO - 8/2"),
        ("30Ar/70He", "ISO 14175 - I3 - HeAr - 30"), ("99.97Ar/0.03O2", "ISO 14175 - Z - ArO - 0.03"),
        ("none", ""),
    ],
)  # fmt: skip
def test_the_designation_of_a_gas(gas: str, wanted: str) -> None:
    assert designation(read_gas(gas)) == wanted


def test_two_mixtures_outside_the_table_are_not_the_same_gas() -> None:
    assert symbol(read_gas("99.97Ar/0.03O2")) != symbol(read_gas("99.95Ar/0.05O2"))
    assert say_symbol(symbol(read_gas("99.97Ar/0.03O2"))) == "Z (99.97 % Ar + 0.03 % O₂)"
    assert say_value("iso_gas", frozenset({"M21", "none"}), US) in ("M21; No gas", "No gas; M21")
