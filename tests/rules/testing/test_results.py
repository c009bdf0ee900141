"""Arithmetic of test results: areas, strengths, differences and sums, exact in both unit systems."""

from __future__ import annotations

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import SI, US, read_quantity
from qualification.rules.testing.acceptance.strength import show_strength
from qualification.rules.testing.results import (
    BENDS,
    VOLUMETRIC,
    Bend,
    Fracture,
    Impact,
    Indication,
    IndicationType,
    Macro,
    Notch,
    ResultKind,
    SpecimenForm,
    Tension,
    Volumetric,
    rows_of,
)
from qualification.rules.testing.strength import in_system


def held(text: str, dimension: str, system: str = US) -> D:
    value = read_quantity(text, dimension, system, many=False).interval.low
    assert value is not None
    return value


def flat(width: str, thickness: str, load: str, system: str = US) -> Tension:
    return Tension(
        "T1",
        held(load, "force", system),
        width=held(width, "length", system),
        thickness=held(thickness, "length", system),
    )


# Published areas: Welding Inspection Technology, chapter 6.
def test_a_round_of_0_505_in_has_0_2_square_inches() -> None:
    round_one = Tension("T1", None, SpecimenForm.TURNED, diameter=held(".505", "length"))
    area = round_one.area_in(US)
    assert area is not None
    assert round(area, 3) == D("0.200")


def test_1_5_by_0_5_in_is_0_75_square_inches() -> None:
    assert flat("1.5", ".5", "1").area_in(US) == D("0.75")


# 4,950 lbf over 0.750 x 1/4 in: worked by us.
def test_4950_lbf_over_0_750_by_0_250_in_is_26400_psi() -> None:
    specimen = flat(".750", ".250", "4950")
    assert specimen.area_in(US) == D("0.1875")
    assert specimen.strength(US) == D(26400)


# Worked by us: 20 kN over 10 x 10 mm is 200 MPa.
def test_20_kilonewtons_over_100_square_millimetres_is_200_megapascals() -> None:
    assert flat("10", "10", "20 kN", SI).strength(SI) == D(200)


def test_a_tube_is_its_outer_circle_less_its_bore() -> None:
    tube = Tension("T1", None, SpecimenForm.FULL_SECTION, diameter=D(20), bore=D(10))
    rod = Tension("T1", None, SpecimenForm.TURNED, diameter=D(20))
    hole = Tension("T1", None, SpecimenForm.TURNED, diameter=D(10))
    assert tube.area is not None and rod.area is not None and hole.area is not None  # noqa: PT018
    assert tube.area == pytest.approx(rod.area - hole.area, abs=D("1e-20"))
    assert round(tube.area, 2) == D("235.62")


@pytest.mark.parametrize("missing", ["load", "width", "thickness"])
def test_a_missing_measurement_leaves_no_strength(missing: str) -> None:
    values = {"load": D(1000), "width": D(10), "thickness": D(5), missing: None}
    assert Tension("T1", **values).strength(US) is None  # type: ignore[arg-type]


inches = st.decimals(D("0.05"), D(2), places=3)
pounds = st.integers(100, 200_000)


@given(inches, inches, pounds)
def test_what_is_measured_in_inches_and_pounds_divides_exactly(width: D, thickness: D, load: int) -> None:
    """The detour through mm and N costs nothing: the strength is the quotient of what was typed."""
    found = flat(str(width), str(thickness), str(load)).strength(US)
    assert found is not None
    assert found == pytest.approx(D(load) / (width * thickness), rel=D("1e-25"))
    assert (found >= 24000) is (load >= 24000 * width * thickness)


@given(inches, inches, pounds)
def test_both_unit_systems_tell_of_one_strength(width: D, thickness: D, load: int) -> None:
    specimen = flat(str(width), str(thickness), str(load))
    psi, mpa = specimen.strength(US), specimen.strength(SI)
    assert psi is not None
    assert mpa is not None
    # 1 psi is 0.00689475729... MPa (NIST Special Publication 811).
    assert mpa == pytest.approx(psi * D("0.006894757293168361"), rel=D("1e-12"))


@given(inches, inches, pounds, st.integers(2, 9))
def test_strength_follows_the_load_and_the_width(width: D, thickness: D, load: int, factor: int) -> None:
    once = flat(str(width), str(thickness), str(load)).strength(US)
    more = flat(str(width), str(thickness), str(load * factor)).strength(US)
    wide = flat(str(width * factor), str(thickness), str(load * factor)).strength(US)
    assert once is not None
    assert more == pytest.approx(once * factor, rel=D("1e-25"))
    assert wide == pytest.approx(once, rel=D("1e-25"))


@given(st.decimals(D(1000), D(200_000), places=4))
def test_a_shown_strength_never_overstates(psi: D) -> None:
    assert D(show_strength(psi, US).removesuffix(" psi")) <= psi
    assert D(show_strength(psi / 145, SI).removesuffix(" MPa")) <= psi / 145


@given(st.integers(1, 200_000))
def test_a_minimum_held_in_megapascals_comes_back_in_whole_psi(psi: int) -> None:
    assert in_system(held(f"{psi} psi", "stress"), US) == psi


def test_a_strength_reads_like_a_strength() -> None:
    assert show_strength(D("23999.99"), US) == "23999 psi"
    assert show_strength(D("165"), SI) == "165 MPa"
    assert show_strength(D("164.999"), SI) == "164.9 MPa"


def test_legs_differ_by_what_they_differ_whichever_is_longer() -> None:
    assert Macro("M1", False, True, leg_a=D(6), leg_b=D(8)).leg_difference == D(2)
    assert Macro("M1", False, True, leg_a=D(8), leg_b=D(6)).leg_difference == D(2)
    assert Macro("M1", False, True, leg_a=D(8)).leg_difference is None


def test_a_profile_is_the_larger_of_those_stated() -> None:
    assert Macro("M1", False, True, concavity=D(0), convexity=D("0.5")).profile == D("0.5")
    assert Macro("M1", False, True, concavity=D(0)).profile == D(0)
    assert Macro("M1", False, True).profile is None


@given(st.lists(st.decimals(D("0.1"), D(5), places=2), max_size=8))
def test_flaws_add_up_in_any_order(lengths: list[D]) -> None:
    assert Fracture("F1", False, flaws=tuple(lengths)).flaw_sum == sum(sorted(lengths), D(0))


def test_no_flaw_is_zero_and_nobody_looking_is_nothing() -> None:
    assert Fracture("F1", False, flaws=()).flaw_sum == 0
    assert Fracture("F1", False).flaw_sum is None


def test_an_impact_set_has_an_average() -> None:
    assert Impact("I1", Notch.WELD, (D(20), D(25), D(21))).average == D(22)
    assert Impact("I1", Notch.WELD, ()).average is None


def test_indications_in_a_row_need_their_places() -> None:
    one = Indication(IndicationType.LINEAR, D(3))
    assert rows_of([one]) == [one]
    assert rows_of([one, one]) is None
    first, second = (Indication(IndicationType.LINEAR, D(3), D(at)) for at in (1, 9))
    assert rows_of([second, Indication(IndicationType.ROUNDED, D(1)), first]) == [first, second]


def test_a_bend_and_a_volumetric_examination_know_their_kinds() -> None:
    with pytest.raises(ValueError, match="not a kind of bend"):
        Bend("B1", ResultKind.TENSION, None, None)
    with pytest.raises(ValueError, match="not a volumetric"):
        Volumetric("R1", ResultKind.VISUAL, True)


@pytest.mark.parametrize("kind", list(ResultKind))
def test_every_kind_has_words_for_one_and_for_several(kind: ResultKind) -> None:
    assert kind.counted(1) == f"1 {kind.words}"
    assert kind.counted(2) == f"2 {kind.words}s"


def test_kinds_are_sorted_into_bends_and_volumetric_ones() -> None:
    assert {kind for kind in ResultKind if "bend" in kind} == BENDS
    assert {ResultKind.RADIOGRAPH, ResultKind.ULTRASONIC} == VOLUMETRIC
