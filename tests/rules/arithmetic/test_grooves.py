"""Areas, weights and consumption against a published table and worked examples."""

from math import cos, pi, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.arithmetic.filling import filling, mass_per_metre
from qualification.rules.arithmetic.grooves import (
    SHAPES,
    Groove,
    GrooveError,
    Lacking,
    groove_area,
    groove_from,
)
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import variable

STEEL = 7.85


def test_the_shapes_are_those_of_the_registry() -> None:
    assert set(SHAPES) == {choice.key for choice in variable("groove_type").choices}


@pytest.mark.parametrize(
    ("side", "gap_16", "gap_32", "gap_64", "deg_15", "deg_22", "deg_30", "deg_45"),
    [
        # Handbook calculations, kg per metre of steel
        (3.18, 0.040, 0.079, 0.158, 0.010, 0.016, 0.022, 0.040),
        (4.76, 0.060, 0.119, 0.237, 0.024, 0.037, 0.052, 0.089),
        (6.35, 0.079, 0.158, 0.315, 0.042, 0.065, 0.091, 0.158),
        (9.53, 0.119, 0.237, 0.473, 0.095, 0.147, 0.205, 0.356),
        (12.70, 0.158, 0.315, 0.632, 0.170, 0.262, 0.365, 0.632),
    ],
)
def test_published_weights_per_metre(
    side: float,
    gap_16: float,
    gap_32: float,
    gap_64: float,
    deg_15: float,
    deg_22: float,
    deg_30: float,
    deg_45: float,
) -> None:
    def weight(groove: Groove) -> float:
        return mass_per_metre(groove_area(groove), STEEL)

    for gap, printed in ((1.588, gap_16), (3.175, gap_32), (6.35, gap_64)):
        assert weight(Groove("square", side, gap)) == pytest.approx(printed, abs=0.0021)
    for angle, printed in ((15, deg_15), (22.5, deg_22), (30, deg_30), (45, deg_45)):
        assert weight(Groove("bevel", side, angle=angle)) == pytest.approx(printed, abs=0.0021)
        assert weight(Groove("v", side, angle=2 * angle)) == pytest.approx(2 * printed, abs=0.0042)


@pytest.mark.parametrize(
    ("shape", "t", "gap", "face", "radius", "bevel", "area"),
    [  # worked by us
        ("u", 20, 2, 2, 6, 15, 284.4),
        ("j", 20, 2, 2, 6, 15, 162.2),
        ("u", 16, 1.5, 2, 5, 10, 169.0),
        ("j", 16, 1.5, 2, 5, 10, 96.5),
    ],
)
def test_grooves_with_a_radius(
    shape: str, t: float, gap: float, face: float, radius: float, bevel: float, area: float
) -> None:
    angle = 2 * bevel if shape == "u" else bevel
    assert groove_area(Groove(shape, t, gap, face, angle, radius)) == pytest.approx(area, abs=0.05)


def test_a_small_aluminium_groove_with_its_wire_and_gas() -> None:
    # Worked by us: 6 mm, V 60°, gap 1.5, face 1.5; a cap 6.70 wide and 1.5 high fills two thirds of that
    groove = Groove("v", 6, 1.5, 1.5, 60)
    assert groove_area(groove) == pytest.approx(20.69, abs=0.005)
    area = groove_area(groove) + 2 * 6.70 * 1.5 / 3
    assert mass_per_metre(area, 2.66) == pytest.approx(0.0729, abs=0.00005)
    found = filling(area, 25_000, 2.66, rate=2.0, efficiency=0.95, pass_area=10.0, flow=18)
    assert found.wire == pytest.approx(1.92, abs=0.005)
    assert found.passes == 3
    assert found.gas == pytest.approx(found.arc_time * 18)
    assert found.arc_time / 60 == pytest.approx(1.92 / 2.0, abs=0.005)


def test_the_half_inch_vee() -> None:
    # The table prints 0.315 for the gap and 0.365 for each side
    area = groove_area(Groove("v", 12.7, 3.175, 0, 60))
    assert mass_per_metre(area, STEEL) == pytest.approx(0.315 + 2 * 0.365, abs=0.004)


def test_the_half_inch_fillet() -> None:
    # A consumable maker's note on filler metal consumption: 0.424 lb/ft at 0.283 lb/in3
    area = 12.7 * 12.7 / 2
    pounds_per_foot = mass_per_metre(area, 0.283 * 27.6799) * 0.3048 / 0.45359237
    assert pounds_per_foot == pytest.approx(0.424, abs=0.0005)


def test_filler_for_metal_in_the_joint() -> None:
    # Cost sheet (esabna 577fm8_7): 4 lb of electrode for 3 lb of weld is 75 %
    found = filling(100, 1000, 3.0 * 10, rate=1, efficiency=0.75)
    assert found.weld_metal == pytest.approx(3)
    assert found.wire == pytest.approx(4)


def test_flare_grooves_filled_flush() -> None:
    # Common practice: between a flat and a round, flush with the centre, r² (1 - pi/4)
    assert groove_area(Groove("flare_bevel", 10, radius=10)) == pytest.approx(100 * (1 - pi / 4))
    assert groove_area(Groove("flare_v", 10, radius=10)) == pytest.approx(200 * (1 - pi / 4))


angles, depths = st.floats(10, 80), st.floats(4, 40)


@given(st.sampled_from(["v", "bevel"]), depths, angles, st.floats(0, 4), st.floats(0, 3))
def test_a_double_groove_of_equal_halves_holds_half_of_what_the_angle_opens(
    shape: str, t: float, angle: float, gap: float, face: float
) -> None:
    single, double = Groove(shape, t, gap, face, angle), Groove(f"double_{shape}", t, gap, face, angle)
    opened = groove_area(single) - gap * t
    assert groove_area(double) - gap * t == pytest.approx(opened / 2)
    assert groove_area(Groove(f"double_{shape}", t, gap, face, angle, front_share=1)) == pytest.approx(
        gap * t + opened
    )


@given(st.sampled_from(["v", "bevel", "u", "j", "double_v", "double_bevel"]), depths, angles, st.floats(0, 3))
def test_a_wider_angle_a_wider_gap_and_a_thicker_plate_hold_more(
    shape: str, t: float, angle: float, gap: float
) -> None:
    base = groove_area(Groove(shape, t, gap, 1, angle, 2))
    assert groove_area(Groove(shape, t, gap, 1, angle + 5, 2)) > base
    assert groove_area(Groove(shape, t, gap + 0.5, 1, angle, 2)) > base
    assert groove_area(Groove(shape, t + 1, gap, 1, angle, 2)) > base
    assert groove_area(Groove(shape, t, gap, 2, angle, 2)) < base


@given(depths, st.floats(5, 45), st.floats(0.5, 3))
def test_area_grows_with_depth_by_the_width_at_the_top(t: float, angle: float, radius: float) -> None:
    """The width at the surface is the derivative of the area; here it is drawn from the groove's corners."""
    step = 1e-4
    slope = radians(angle)
    wall = (t - radius * (1 - sin(slope))) * tan(slope)
    for shape, sides, width in (
        ("v", 2, t * tan(slope)),
        ("bevel", 1, t * tan(slope)),
        ("u", 2, radius * cos(slope) + wall),
        ("j", 1, radius * cos(slope) + wall),
    ):
        low, high = (Groove(shape, t + d, 2, 0, sides * angle, radius) for d in (-step, step))
        grown = (groove_area(high) - groove_area(low)) / (2 * step)
        assert grown == pytest.approx(2 + sides * width, rel=1e-5)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"shape": "w", "thickness": 5}, "not a groove"),
        ({"shape": "v", "thickness": 0}, "above zero"),
        ({"shape": "v", "thickness": 5, "face": 6}, "larger than the thickness"),
        ({"shape": "v", "thickness": 5, "angle": 180}, "between 0° and 180°"),
        ({"shape": "u", "thickness": 5, "angle": 20}, "radius"),
    ],
)
def test_what_is_no_groove_is_refused_in_words(wrong: dict[str, object], says: str) -> None:
    with pytest.raises(GrooveError, match=says):
        Groove(**wrong)  # type: ignore[arg-type]


def test_a_radius_has_to_fit() -> None:
    with pytest.raises(GrooveError, match="does not fit"):
        groove_area(Groove("u", 5, 0, 1, 20, 8))


def test_a_groove_is_read_from_a_joint_and_a_range_is_not_one_number() -> None:
    entries = {
        "groove_type": "v",
        "thickness_a": "6 mm",
        "root_opening": "1.5 mm",
        "root_face": "1.5 mm",
        "groove_angle": "60",
    }
    joint = read_weld(entries, [], RecordKind.SPEC, "si").weld.joint
    assert groove_area(groove_from(joint)) == pytest.approx(20.69, abs=0.005)
    loose = read_weld(
        {**entries, "root_face": "0-1.5 mm", "groove_angle": ""}, [], RecordKind.SPEC, "si"
    ).weld.joint
    with pytest.raises(Lacking) as error:
        groove_from(loose)
    assert error.value.needs == ("root_face", "groove_angle")
