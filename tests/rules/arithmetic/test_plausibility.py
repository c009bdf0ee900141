"""Odd pairs of settings are pointed out, published settings are not, and nothing is ever refused."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.arithmetic.engineering import engineering
from qualification.rules.arithmetic.plausibility import plausibility
from qualification.rules.arithmetic.transfer import current_range, transition_current, usual_setting
from qualification.rules.arithmetic.wire import NotTabled
from qualification.rules.core.facts import Facts
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind

LINE = {
    "process": "GMAW",
    "filler_classification": "ER5356",
    "filler_diameter": "3/64 in",
    "shielding_gas": "100Ar",
    "transfer_mode": "spray",
    "amps": "210",
    "volts": "23",
    "wire_feed": "480 ipm",
    "travel_speed": "20 ipm",
    "passes_per_side": "single",
}
JOINT = {"weld_type": "fillet", "fillet_size": "1/4 in"}


def facts(joint: dict[str, str] | None = None, **line: str) -> Facts:
    read = read_weld({**JOINT, **(joint or {})}, [{**LINE, **line}], RecordKind.SPEC, "us")
    assert read.problems == ()
    return read.weld.line_facts(0)


def checks(*args: object, **line: str) -> list[str]:
    return [remark.check for remark in plausibility(facts(*args, **line), "us")]  # type: ignore[arg-type]


def test_a_published_setting_passes_without_remark() -> None:
    # A maker's brochure: fillet 1/4 in, .047 wire, 210 A, 22-24 V, 480 ipm, 20 ipm travel
    assert checks() == []


@pytest.mark.parametrize(
    ("joint", "line", "check"),
    [
        ({}, {"amps": "120"}, "feed_against_current"),
        ({}, {"wire_feed": "900 ipm", "travel_speed": "37 ipm"}, "feed_against_current"),
        ({}, {"volts": "15"}, "volts_against_mode"),
        ({}, {"volts": "36"}, "volts_against_mode"),
        ({}, {"amps": "100", "wire_feed": "235 ipm", "travel_speed": "10 ipm"}, "mode_against_transition"),
        ({}, {"transfer_mode": "globular"}, "mode_against_transition"),
        ({}, {"amps": "300", "wire_feed": "690 ipm", "travel_speed": "29 ipm"}, "current_of_wire"),
        ({"fillet_size": "1/2 in"}, {}, "deposit_against_leg"),
        ({"fillet_size": "1/16 in"}, {"passes_per_side": "multiple"}, "deposit_against_leg"),
        ({}, {"heat_input": "30 kJ/in", "heat_input_measure": "arc"}, "energy_against_settings"),
    ],
)
def test_one_odd_pair_gives_one_remark(joint: dict[str, str], line: dict[str, str], check: str) -> None:
    assert checks(joint, **line) == [check]


def test_a_groove_that_one_pass_cannot_fill() -> None:
    groove = {
        "weld_type": "groove",
        "fillet_size": "",
        "groove_type": "v",
        "groove_angle": "60",
        "root_opening": "1/16 in",
        "root_face": "1/16 in",
        "thickness_a": "1/2 in",
        "sides_welded": "one",
    }
    assert checks(groove) == ["deposit_against_groove"]
    assert checks(groove, passes_per_side="multiple") == []
    assert checks({**groove, "root_face": ""}) == []


def test_several_passes_may_make_a_large_fillet() -> None:
    assert checks({"fillet_size": "1/2 in"}, passes_per_side="multiple") == []


def test_the_remark_says_what_to_look_at_and_where_the_number_comes_from() -> None:
    (remark,) = plausibility(facts(volts="15"), "us")
    assert remark.sentence == (
        "15 V is low for spray transfer with this wire; 22 to 28 V is usual. Check the reading and the mode."
    )
    assert remark.variables == ("volts", "transfer_mode")
    assert [source.key for source in remark.origins[0].sources] == ["MODERN"]
    (remark,) = plausibility(facts({"fillet_size": "1/2 in"}), "us")
    assert "1/2 in is entered as a single pass" in remark.sentence


def test_a_range_is_pointed_out_only_when_no_part_of_it_fits() -> None:
    assert checks(volts="15-23") == []
    assert checks(volts="14-16") == ["volts_against_mode"]


def test_every_published_setting_of_the_brochure_goes_together() -> None:
    for row in engineering().table("feed"):
        if row["family"] != "aluminium":
            continue
        stated = Facts(
            {
                "process": frozenset({"GMAW"}),
                "filler_classification": frozenset({"ER5356"}),
                "filler_diameter": Interval.point(row["diameter"]),
                "amps": Interval.point(row["amps"]),
                "wire_feed": Interval.point(row["feed"]),
            }
        )
        assert [r.check for r in plausibility(stated, "us") if r.check == "feed_against_current"] == []


KEYS = list(LINE)


@given(st.sets(st.sampled_from(KEYS)), st.sets(st.sampled_from(list(JOINT))))
def test_leaving_things_out_only_ever_silences(without_line: set[str], without_joint: set[str]) -> None:
    odd = {**LINE, "volts": "36", "amps": "120"}
    full = read_weld({**JOINT, "fillet_size": "1/2 in"}, [odd], RecordKind.SPEC, "us").weld.line_facts(0)
    less = Facts({key: full[key] for key in full if key not in without_line | without_joint})
    said = {r.check for r in plausibility(full, "us")}
    # Without the number of passes, or without the mode, another tolerance or rule may speak; never a new
    # check.
    assert {r.check for r in plausibility(less, "us")} <= said


def test_published_transition_currents() -> None:
    # MIG handbook, table 1-2 (esabna 592mig1_6)
    for family, gas, size, amps in (
        ("aluminium", "Ar", "0.030", 95),
        ("aluminium", "Ar", "0.062", 180),
        ("carbon steel", "Ar 98 / O2 2", "0.045", 220),
        ("stainless austenitic", "Ar 99 / O2 1", "0.035", 170),
    ):
        assert transition_current(family, D(size) * D("25.4"), gas).amps == amps
    assert transition_current("aluminium", D("1.2"), "Ar").amps == 135
    assert 95 < transition_current("aluminium", D("1.0"), "Ar").amps < 135
    with pytest.raises(NotTabled):
        transition_current("carbon steel", D("1.2"), "CO2")


def test_published_ranges_by_wire() -> None:
    # Modern Welding 2020, page 205; Navy training manual, tables 10-10 and 10-11
    assert usual_setting("aluminium", D("1.2"), "spray", "Ar").volts == Interval(D(22), D(28))
    assert current_range("aluminium", D("1.6"))[0] == Interval(D(165), D(300))
    with pytest.raises(NotTabled):
        usual_setting("aluminium", D("1.2"), "spray", "He")
