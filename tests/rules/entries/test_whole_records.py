"""Whole records as shops write them, in the styles of AWS, ASME, ISO and the Navy: every entry is read and
nothing odd is said of them. The firms and the welds are invented."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from qualification.rules.editions.loader import edition
from qualification.rules.entries.contradictions import contradictions
from qualification.rules.entries.reading import read_weld
from qualification.rules.materials import grouping
from qualification.rules.trials.combinations import checks_of
from qualification.rules.variables.definition import RecordKind

RECORDS = [
    (
        "ASME PQR pipe GTAW/SMAW",
        "asme_ix_2023",
        RecordKind.TEST,
        "us",
        [
            {
                "weld_type": "Groove",
                "joint_form": "Butt joint",
                "groove_type": "Single V",
                "groove_angle": "75° ± 5",
                "root_opening": "1/8",
                "root_face": "1/16 ± 1/32",
                "base_metal_a": "SA-106 Gr. B",
                "base_metal_b": "SA-106 Gr. B",
                "thickness_a": '.432"',
                "thickness_b": '.432"',
                "product_form": "Pipe",
                "diameter": '6" Sch 80',
                "test_position": "6G",
                "preheat_min": "50°F min",
                "interpass_max": "350°F max",
                "pwht": "None",
                "penetration": "CJP",
            },
            {
                "process": "GTAW",
                "operation": "Manual",
                "filler_classification": "ER70S-2, 3/32",
                "filler_specification": "SFA-5.18",
                "f_number": "F No. 6",
                "a_number": "A-1",
                "shielding_gas": "99.99% Argon @ 20 CFH",
                "current_type": "DCEN (SP)",
                "amps": "90-130",
                "volts": "10-14",
                "travel_speed": "2-4 ipm",
                "deposit_thickness": "1/8",
                "tungsten_type": "EWTh-2",
                "tungsten_diameter": "3/32 EWTh-2",
                "cup_size": "#6",
                "progression": "Uphill",
                "bead": "String",
                "backing": "none",
                "filler_used": "yes",
                "backing_gas": "None",
            },
            {
                "process": "SMAW",
                "operation": "Manual",
                "filler_classification": "E7018-H4R",
                "filler_diameter": "3/32, 1/8",
                "f_number": "F-4",
                "a_number": "1",
                "current_type": "DCEP (RP)",
                "amps": "80-140",
                "volts": "20-26",
                "travel_speed": "4-8 IPM",
                "deposit_thickness": ".307",
                "progression": "Uphill",
                "backing": "weld metal",
            },
        ],
    ),
    (
        "AWS WPS GMAW-S",
        "aws_d1_1_2020",
        RecordKind.SPEC,
        "us",
        [
            {
                "weld_type": "groove",
                "joint_form": "Butt",
                "groove_type": "single V 60° ± 5",
                "root_opening": "1/8 +1/16 -0",
                "root_face": "0-1/8",
                "base_metal_a": "ASTM A36 to A572 Gr. 50",
                "thickness_a": '1/8" thru 3/4"',
                "thickness_b": "same",
                "product_form": "plate",
                "position": "All",
                "preheat_min": "32°F up to 3/4; 50°F over 3/4",
                "interpass_max": "450 F max",
                "sides_welded": "One side only",
                "back_gouging": "N/A",
            },
            {
                "process": "GMAW-S",
                "operation": "Semi-automatic",
                "filler_classification": "AWS A5.18 ER70S-6",
                "filler_diameter": '.035"',
                "shielding_gas": "75/25 Ar/CO2",
                "shielding_flow": "35-45 CFH",
                "current_type": "DC+",
                "amps": "90–150",
                "volts": "17-20V",
                "wire_feed": "180-300 IPM",
                "travel_speed": "8-14 IPM",
                "transfer_mode": "Short Circuiting",
                "contact_tube_distance": "1/2-3/4",
                "bead": "stringer or weave",
                "passes_per_side": "single or multiple",
                "progression": "Up",
                "backing": "without",
            },
        ],
    ),
    (
        "D1.2 PQR",
        "aws_d1_2_2014",
        RecordKind.TEST,
        "us",
        [
            {
                "weld_type": "Groove",
                "base_metal_a": "AA 6061-T651",
                "base_metal_b": "same",
                "thickness_a": "3/8 in (9.5 mm)",
                "thickness_b": "same",
                "groove_type": "V",
                "groove_angle": "60°",
                "root_opening": "1/16 max",
                "test_position": "3G uphill",
                "product_form": "plate",
                "preheat_min": "Ambient, 70F",
                "interpass_max": "250F",
            },
            {
                "process": "GMAW",
                "operation": "semi-auto",
                "filler_classification": "ER5356 (A5.10)",
                "filler_diameter": '3/64"',
                "shielding_gas": "100% Argon",
                "shielding_flow": "40 cfh",
                "amps": "180-200",
                "volts": "23-25",
                "transfer_mode": "spray",
                "current_type": "DCEP, reverse",
                "backing": "Metal strip or ring",
                "backing_material": "6061",
            },
        ],
    ),
    (
        "ISO WPQR 135",
        "iso_15614_1_2017_level2",
        RecordKind.TEST,
        "si",
        [
            {
                "weld_type": "BW",
                "joint_form": "BW",
                "base_metal_a": "S355J2+N",
                "base_metal_b": "S355J2+N",
                "thickness_a": "t=12",
                "thickness_b": "12,0 mm",
                "product_form": "P",
                "test_position": "PF",
                "preheat_min": "20 °C",
                "interpass_max": "< 250 °C",
                "groove_type": "V",
                "groove_angle": "60° ±5°",
                "root_opening": "2-3 mm",
                "sides_welded": "ss",
            },
            {
                "process": "135",
                "operation": "partly mechanized",
                "filler_classification": "EN ISO 14341-A: G 42 4 M21 3Si1",
                "filler_diameter": "Ø 1,2",
                "shielding_gas": "EN ISO 14175: M21-ArC-18",
                "shielding_flow": "15-18 l/min",
                "amps": "120-180",
                "volts": "18,5-22,0",
                "travel_speed": "15-25 cm/min",
                "heat_input": "0,9-1,4 kJ/mm",
                "current_type": "DC (+)",
                "transfer_mode": "dip",
                "passes_per_side": "ml",
                "backing": "none",
            },
        ],
    ),
    (
        "ISO welder 141",
        "iso_9606_1_2012",
        RecordKind.WELDER_TEST,
        "si",
        [
            {
                "weld_type": "BW",
                "base_metal_a": "1.4404",
                "base_metal_b": "1.4404",
                "thickness_a": "3,6",
                "product_form": "T",
                "diameter": "Ø 60,3 x 3,6",
                "test_position": "H-L045 ss nb",
            },
            {
                "process": "141",
                "filler_classification": "W 19 12 3 L Si",
                "filler_diameter": "2,0",
                "shielding_gas": "I1",
                "backing_gas": "I1 Ar 99,99%",
                "current_type": "DC (-)",
                "deposit_thickness": "3,6",
                "passes_per_side": "ml",
                "backing": "ss nb",
                "filler_used": "yes",
            },
        ],
    ),
    (
        "ISO 9606-2",
        "iso_9606_2_2004",
        RecordKind.WELDER_TEST,
        "si",
        [
            {
                "weld_type": "FW",
                "base_metal_a": "EN AW-5083 H111",
                "base_metal_b": "EN AW-6082 T6",
                "thickness_a": "10",
                "thickness_b": "10",
                "product_form": "P",
                "test_position": "PB",
                "throat": "a5",
            },
            {
                "process": "131",
                "filler_classification": "S Al 5183 (AlMg4,5Mn0,7(A))",
                "filler_diameter": "1,2 mm",
                "shielding_gas": "I3 (Ar/He 70/30)",
                "current_type": "= (+)",
                "passes_per_side": "sl",
            },
        ],
    ),
    (
        "Navy PQR",
        "us_navy_248_rev_1",
        RecordKind.TEST,
        "us",
        [
            {
                "weld_type": "groove",
                "base_metal_a": "HY-80",
                "base_metal_b": "HY-80",
                "thickness_a": '1"',
                "thickness_b": '1"',
                "product_form": "plate",
                "test_position": "3G",
                "preheat_min": "200°F",
                "interpass_max": "300°F max",
                "groove_type": "double V",
            },
            {
                "process": "SMAW",
                "filler_classification": "E11018-M",
                "filler_diameter": "1/8 & 5/32",
                "amps": "120-180",
                "volts": "22-26",
                "current_type": "DCRP",
                "progression": "Vertical up",
            },
        ],
    ),
    (
        "ASME welder WPQ",
        "asme_ix_2023",
        RecordKind.WELDER_TEST,
        "us",
        [
            {
                "weld_type": "groove",
                "base_metal_a": "P No. 1 Gr. 1 to P No. 8 Gr. 1",
                "thickness_a": ".280 in.",
                "thickness_b": ".280 in.",
                "product_form": "pipe",
                "diameter": "NPS 2 (2.375 in OD)",
                "test_position": "6GR",
            },
            {
                "process": "GTAW",
                "filler_classification": "ER309L",
                "f_number": "F-6",
                "backing": "Without",
                "deposit_thickness": ".280",
                "current_type": "DCEN",
                "progression": "Uphill",
                "filler_used": "yes",
                "filler_form": "solid",
                "backing_gas": "Argon purge",
                "operation": "manual",
                "consumable_insert": "no",
            },
        ],
    ),
]


MORE = tomllib.loads(
    (Path(__file__).parents[1] / "cases" / "practice" / "whole_records.toml").read_text("utf-8")
)
ALL = [
    *RECORDS,
    *(
        (r["name"], r["code"], RecordKind(r["use"]), r["system"], [r["joint"], *r["lines"]])
        for r in MORE["record"]
    ),
]


@pytest.mark.parametrize(("name", "code", "use", "system", "levels"), ALL, ids=[r[0] for r in ALL])
def test_a_record_as_written_is_read_whole(
    name: str, code: str, use: RecordKind, system: str, levels: list[dict[str, str]]
) -> None:
    made = edition(code)
    joint, *lines = levels
    read = read_weld(joint, lines, use, system, speaks=made.speaks)
    problems = [*read.problems, *contradictions(read.weld, system), *grouping.contradictions(read.weld, made)]
    assert [problem.message for problem in problems] == []
    assert [check.sentence for check in checks_of(read, use, system)] == []
