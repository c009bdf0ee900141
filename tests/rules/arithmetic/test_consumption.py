"""What a weld of a known length takes, held against published tables and worked by hand."""

from __future__ import annotations

from decimal import Decimal as D
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qualification.rules.arithmetic.consumption import (
    Allowances,
    Taken,
    Wanting,
    girth,
    operating_factor,
    section_of,
    taken,
)
from qualification.rules.arithmetic.wire import NotTabled
from qualification.rules.core.facts import Weld
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind

SHOP = Allowances(D(300), D(6), D("50.8"), D(0), D("0.6"))
FOOT, POUND = D("304.8"), D("0.45359237")
FILLET = {"weld_type": "fillet", "base_metal_a": "SA-36", "thickness_a": "1 in"}
V = {
    "weld_type": "groove",
    "groove_type": "v",
    "thickness_a": "10 mm",
    "root_opening": "2 mm",
    "root_face": "0",
    "groove_angle": "60",
    "base_metal_a": "5083",
}
ALUMINUM = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "filler_classification": "ER5356",
    "filler_diameter": "1.2 mm",
    "transfer_mode": "spray",
    "shielding_gas": "100Ar",
    "shielding_flow": "18 L/min",
    "wire_feed": "10 m/min",
    "travel_speed": "500 mm/min",
}


def weld(joint: dict[str, Any], *lines: dict[str, Any], units: str = "si") -> Weld:
    read = read_weld(joint, list(lines), RecordKind.SPEC, units)
    assert read.problems == ()
    return read.weld


def one(joint: dict[str, Any], line: dict[str, Any], length: D = D(1000), shop: Allowances = SHOP) -> Taken:
    found = taken(weld(joint, line), length, shop)
    assert not isinstance(found, Wanting), found
    return found[0]


@pytest.mark.parametrize(
    ("leg", "pounds"),
    [
        ("1/4", "0.106"),
        ("5/16", "0.166"),
        ("3/8", "0.239"),
        ("1/2", "0.425"),
        ("5/8", "0.663"),
        ("3/4", "0.955"),
        ("1", "1.698"),
    ],
)
def test_steel_of_a_foot_of_fillet_is_that_of_published_tables(leg: str, pounds: str) -> None:
    """Weld metal by foot of fillet: weldingpro.com/Techpage1a.htm, at 0.283 lb/in³; 1/2 in is 0.424 in the
    worked example of esabna.com/euweb/fm_handbook/577fm8_1.htm. The first page's 3/16 in is left out: it
    stands 5 % above its own formula."""
    found = one(
        {**FILLET, "fillet_size": f"{leg} in"}, {"process": "SMAW", "filler_classification": "E7018"}, FOOT
    )
    assert found.metal[0] == found.metal[1]
    assert float(found.metal[0] / POUND) == pytest.approx(float(pounds), rel=0.01)


def test_electrodes_of_a_quarter_inch_fillet_lie_beside_the_published_figure() -> None:
    """0.193 lb a foot at 55 % (weldingpro.com); the tabled 60 to 65 % ask for less."""
    found = one(
        {**FILLET, "fillet_size": "1/4 in"}, {"process": "SMAW", "filler_classification": "E7018"}, FOOT
    )
    least, most = (float(each / POUND) for each in found.bought)
    assert (least, most) == (pytest.approx(0.1063 / 0.65, rel=0.01), pytest.approx(0.1063 / 0.60, rel=0.01))
    assert most < 0.193


def test_a_longer_stub_takes_more_electrodes() -> None:
    # 14 in electrode: 12 in burned with a stub of 2 in, 11 with 3 in
    line = {"process": "SMAW", "filler_classification": "E7018"}
    joint = {**FILLET, "fillet_size": "6 mm"}
    usual = one(joint, line).bought[0]
    longer = one(joint, line, shop=Allowances(D(300), D(6), D("76.2"), D(0), D("0.6"))).bought[0]
    assert float(longer / usual) == pytest.approx(12 / 11)


def test_a_groove_is_filled_by_its_wire() -> None:
    # Section 2 x 10 + 10² tan 30° = 77.74 mm²; 2.66 g/cm³, a meter of it 0.2068 kg; 98 % of the wire,
    # 0.2110 kg.
    # 1.2 mm wire at 10 m/min: 1.131 mm² x 10 m x 60 x 2.66 = 1.805 kg/h: 7.01 min of arc.
    # A pass is 1.131 x 10000 / 500 = 22.6 mm²: 4 passes of 4 runs, 6 s each: 1.6 min; 18 x 8.61 = 155 L.
    # 7.01 min at 45 % of the time: 0.26 h.
    found = one(V, ALUMINUM)
    assert float(found.metal[0]) == pytest.approx(0.2068, rel=2e-3)
    assert float(found.bought[1]) == pytest.approx(0.2110, rel=2e-3)
    assert found.arc
    assert float(found.arc[0]) == pytest.approx(7.01, rel=3e-3)
    assert found.liters
    assert float(found.liters[0]) == pytest.approx(155, rel=5e-3)
    assert found.hours
    assert float(found.hours[0]) == pytest.approx(0.26, rel=1e-2)
    assert found.by_arc
    assert found.gas
    assert found.origins


def test_the_shop_s_own_share_of_arc_time_goes_before_the_tabled_one() -> None:
    own = one(V, ALUMINUM, shop=Allowances(D(300), D(6), D(50), D(20), D("0.6")))
    assert own.hours
    assert own.arc
    assert own.hours[0] == own.arc[0] / 60 / D("0.2")
    assert operating_factor("GMAW", frozenset({"automatic"}))[:2] == (D("0.6"), D("0.8"))
    with pytest.raises(NotTabled):
        operating_factor("GTAW", frozenset({"manual"}))
    with pytest.raises(NotTabled):
        operating_factor("GMAW", frozenset())


def test_without_a_feed_a_single_pass_goes_by_its_travel_and_several_by_the_shop_s_rate() -> None:
    line = {**ALUMINUM, "passes_per_side": "single"}
    del line["wire_feed"]
    single = one(V, line)
    assert single.arc == (D(2), D(2))
    several = one(V, {**line, "passes_per_side": "multiple"})
    assert several.arc is None
    assert several.liters is None
    assert not several.by_arc
    assert several.hours
    assert several.hours[0] == several.metal[0] / D("0.6")


def test_two_processes_share_the_groove_by_what_each_deposits() -> None:
    root = {"process": "GTAW", "filler_classification": "ER5356", "deposit_thickness": "3 mm"}
    found = taken(weld(V, root, ALUMINUM), D(1000), SHOP)
    assert not isinstance(found, Wanting)
    # Up to 3 mm: 2 x 3 + 3² tan 30° = 11.2 mm² of 77.7
    assert float(found[0].metal[0]) == pytest.approx(0.0298, rel=5e-3)
    whole = one(V, ALUMINUM).metal[0]
    assert float(found[0].metal[0] + found[1].metal[0]) == pytest.approx(float(whole))
    open_ones = taken(weld(V, {**root, "deposit_thickness": ""}, ALUMINUM), D(1000), SHOP)
    assert open_ones == Wanting(("deposit_thickness",))
    too_much = taken(weld(V, {**root, "deposit_thickness": "12 mm"}, ALUMINUM), D(1000), SHOP)
    assert isinstance(too_much, Wanting)
    assert "more than the metal" in too_much.because


@pytest.mark.parametrize(
    ("joint", "line", "needs"),
    [
        ({**FILLET, "weld_type": ""}, ALUMINUM, ("weld_type",)),
        (FILLET, ALUMINUM, ("fillet_size",)),
        ({**V, "groove_type": ""}, ALUMINUM, ("groove_type",)),
        ({**V, "root_opening": "", "groove_angle": ""}, ALUMINUM, ("root_opening", "groove_angle")),
        (V, {**ALUMINUM, "filler_classification": ""}, ("filler_classification",)),
    ],
)
def test_what_is_not_stated_is_named(
    joint: dict[str, Any], line: dict[str, Any], needs: tuple[str, ...]
) -> None:
    assert taken(weld(joint, line), D(1000), SHOP) == Wanting(needs)


def test_around_a_pipe_the_length_is_that_of_the_middle_of_its_wall() -> None:
    pipe = {**V, "product_form": "pipe", "diameter": "110 mm"}
    length = girth(weld(pipe).joint)
    assert length is not None
    assert float(length) == pytest.approx(314.159, rel=1e-6)
    assert girth(weld(V).joint) is None


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 4), st.integers(1, 3), st.integers(40, 80), st.integers(1, 20), st.integers(4, 30))
def test_a_range_of_dimensions_holds_every_groove_inside_it(
    gap: int, wider: int, angle: int, more: int, t: int
) -> None:
    def section(gap: str, angle: str) -> tuple[D, D]:
        joint = {**V, "thickness_a": f"{t} mm", "root_opening": gap, "groove_angle": angle}
        found = section_of(weld(joint, ALUMINUM).line_facts(0))
        assert not isinstance(found, Wanting)
        return found

    span = section(f"{gap} to {gap + wider} mm", f"{angle} to {angle + more}")
    middle = section(f"{gap + wider / 2:.1f} mm", f"{angle + more / 2:.1f}")
    assert span[0] <= middle[0] <= middle[1] <= span[1]
