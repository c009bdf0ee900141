"""Values to start a draft from: the published rows, for what is not stated, and for nothing else."""

from __future__ import annotations

import pytest

from qualification.rules.core.facts import Weld
from qualification.rules.entries.reading import read_weld
from qualification.rules.trials.draft_advice import DraftAdvice, draft_advice
from qualification.rules.variables.definition import RecordKind

ALUMINUM = {"weld_type": "groove", "base_metal_a": "6061", "base_metal_b": "6061", "thickness_a": "1/4 in"}
WIRE = {"process": "GMAW", "filler_diameter": "3/64 in"}


def weld(joint: dict[str, str], *lines: dict[str, str], system: str = "us") -> Weld:
    read = read_weld(joint, lines, RecordKind.SPEC, system)
    assert read.problems == ()
    return read.weld


def advised(joint: dict[str, str], line: dict[str, str], system: str = "us") -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for each in draft_advice(weld(joint, line, system=system), system):
        found.setdefault(each.variable, []).append(each.entry)
    return found


def test_the_published_row_for_thickness_and_wire() -> None:
    """A consumable maker's parameter brochure, V in 1/4 in, .047 wire: 195 A, 20-24 V, 430 and 40 in/min."""
    found = advised(ALUMINUM, WIRE)
    assert found["amps"] == ["195 A"]
    assert found["volts"] == ["20 to 24 V"]
    assert found["wire_feed"] == ["430 in/min"]
    assert found["travel_speed"] == ["40 in/min"]


@pytest.mark.parametrize(
    ("thickness", "known"), [("1/4", True), ("0.312", True), ("0.9", True), ("1.25", True), ("1.3", False)]
)
def test_a_thickness_far_from_every_row_has_no_setting(thickness: str, known: bool) -> None:
    """A quarter of the row's own thickness is the limit: 1 in reaches to 1.25 in."""
    found = draft_advice(weld({**ALUMINUM, "thickness_a": thickness}, {"process": "GMAW"}), "us")
    assert any(each.variable == "filler_diameter" for each in found) is known


def test_what_is_stated_gets_no_advice() -> None:
    stated = {**WIRE, "amps": "150", "filler_classification": "ER4043", "shielding_flow": "40"}
    found = advised({**ALUMINUM, "interpass_max": "200"}, stated)
    assert set(found) == {"volts", "wire_feed", "travel_speed"}


def test_tungsten_and_gas_by_thickness() -> None:
    """Power source manual p. 41: fillet in 3.2 mm: 130-160 A, 2.4 mm tungsten and rod, 10 L/min."""
    joint = {**ALUMINUM, "weld_type": "fillet", "thickness_a": "3.2 mm"}
    found = advised(joint, {"process": "GTAW"}, "si")
    assert found["amps"] == ["130 to 160 A"]
    assert found["tungsten_diameter"] == ["2.38 mm"]
    assert found["shielding_flow"] == ["10 L/min"]


@pytest.mark.parametrize(
    ("metals", "most"),
    [
        (("6061", "6061"), "212 °F"),
        (("3003", "6061"), "212 °F"),
        (("7005", "6061"), "176 °F"),
        (("5052", "5052"), "248 °F"),
        (("5083", "6061"), "150 °F"),
    ],
)
def test_the_more_sensitive_metal_sets_the_interpass_temperature(metals: tuple[str, str], most: str) -> None:
    """Wire maker's table: 120 °C for 1xxx, 3xxx, 5xxx, 100 for 6xxx, 80 for 7xxx; above 3 % Mg 150 °F."""
    joint = {**ALUMINUM, "base_metal_a": metals[0], "base_metal_b": metals[1]}
    assert advised(joint, WIRE)["interpass_max"] == [most]


@pytest.mark.parametrize(
    ("metals", "filler"),
    [
        (("5754", "5754"), "ER5356"),
        (("7020", "7020"), "ER5356"),
        (("1100", "6061"), "ER4043"),
        (("6061", "3003"), "ER4043"),
        (("5083", "356.0"), "ER5356"),
        (("6082", "5083"), "ER5356"),
    ],
)
def test_a_filler_for_a_pair_of_metals(metals: tuple[str, str], filler: str) -> None:
    for a, b in (metals, metals[::-1]):
        first = advised({**ALUMINUM, "base_metal_a": a, "base_metal_b": b}, WIRE)["filler_classification"][0]
        assert first == filler


def test_no_silicon_filler_is_advised_on_much_magnesium() -> None:
    for other in ("5083", "5086", "5456", "5754", "356.0", "6061", "1100", "3003", "7020"):
        for each in draft_advice(
            weld({**ALUMINUM, "base_metal_a": "5083", "base_metal_b": other}, WIRE), "us"
        ):
            assert not each.entry.startswith("ER4")


def test_steel_gets_what_is_usual_for_its_mode() -> None:
    joint = {"weld_type": "fillet", "base_metal_a": "SA-36", "base_metal_b": "SA-36", "thickness_a": "1/8"}
    line = {
        "process": "GMAW",
        "filler_diameter": ".035",
        "filler_classification": "ER70S-6",
        "transfer_mode": "short_circuit",
        "shielding_gas": "75Ar/25CO2",
    }
    assert advised(joint, line) == {
        "amps": ["70 to 160 A"],
        "volts": ["16 to 20 V"],
        "preheat_min": ["32 °F"],
        "shielding_flow": ["25 to 30 cfh"],
    }


def test_every_entry_reads_back_as_what_it_advises() -> None:
    for system in ("us", "si"):
        for line in (WIRE, {"process": "GTAW"}, {"process": "GMAW"}):
            found: list[DraftAdvice] = draft_advice(weld(ALUMINUM, line, system=system), system)
            assert found
            for each in found:
                joint, entries = dict(ALUMINUM), dict(line)
                (joint if each.line is None else entries)[each.variable] = each.entry
                read = read_weld(joint, [entries], RecordKind.SPEC, system)
                assert read.problems == (), each
                assert each.variable not in {
                    other.variable for other in draft_advice(read.weld, system) if other.line == each.line
                }


@pytest.mark.parametrize(
    ("thickness", "least"),
    [("0.75", "32 °F"), ("0.751", "50 °F"), ("1.5", "50 °F"), ("2.5", "150 °F"), ("2.51", "225 °F")],
)
def test_preheat_of_steel_by_its_thicker_side(thickness: str, least: str) -> None:
    """AWS D1.1:2015, table 3.3, category B with low-hydrogen processes."""
    joint = {
        "base_metal_a": "SA-36",
        "base_metal_b": "A992",
        "thickness_a": "1/4 in",
        "thickness_b": f"{thickness} in",
    }
    assert advised(joint, {"process": "GMAW"})["preheat_min"] == [least]
    assert "preheat_min" not in advised(joint, {"process": "SMAW"})
    assert "preheat_min" not in advised({**joint, "base_metal_b": "API 5L X65"}, {"process": "GMAW"})
