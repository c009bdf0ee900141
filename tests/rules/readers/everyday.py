"""Everyday coupons and the welds a competent person would say they cover, for each edition and side.

A shop welds 1/4 in plate and small pipe in steel or aluminum, by GMAW, GTAW or SMAW. For each of those
coupons the welds asked about are its own, one in an easier position, a fillet, another thickness and settings
with a little room. Entries are complete, so that nothing waits for a value that somebody forgot.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry

Entries = Mapping[str, Any]

ALUMINUM = ("asme_ix_2023", "aws_d1_2_2014", "iso_15614_2_2005", "iso_9606_2_2004", "us_navy_248_rev_1")
STEEL = (
    "asme_ix_2023",
    "aws_d1_1_2020",
    "iso_15614_1_2017_level1",
    "iso_15614_1_2017_level2",
    "iso_9606_1_2012",
    "us_navy_248_rev_1",
)
ALL_POSITIONS = ["flat", "horizontal", "vertical", "overhead"]
USES = {
    Side.PROCEDURE: (RecordKind.TEST, RecordKind.SPEC),
    Side.WELDER: (RecordKind.WELDER_TEST, RecordKind.PART),
}

GROOVE: Entries = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "groove_angle": "60",
    "root_opening": "1/16 in",
    "root_face": "1/16 in",
    "penetration": "complete",
    "back_gouging": "none",
    "sides_welded": "one",
    "backing": "metal",
}
FILLET: Entries = {
    "weld_type": "fillet",
    "joint_form": "tee",
    "fillet_size": "1/4 in",
    "throat": "0.18 in",
    "back_gouging": "none",
    "backing": "base_metal",
}
PLATE: Entries = {"product_form": "plate", "thickness_a": "3/8 in", "thickness_b": "same"}
PIPE: Entries = {
    "product_form": "pipe",
    "diameter": "3.5 in OD",
    "thickness_a": "0.216 in",
    "thickness_b": "same",
    "backing": "none",
    "pipe_setting": "fixed_inclined",
    "pipe_seam": "girth",
}
COMMON: Entries = {
    "toughness_required": "no",
    "impact_tested": "no",
    "interpass_max": "200 °F",
    "preheat_min": "70 °F",
    "hydrogen_release": "none",
    "pwht": "none",
    "pressure_retaining": "yes",
    "operation": "semiautomatic",
    "part_of_joint": "whole",
    "passes_per_side": "multiple",
    "layers": "3",
    "max_pass_thickness": "1/8 in",
    "electrodes": "single",
    "progression": "up",
    "waveform_controlled": "no",
    "thermal_preparation": "no",
    "supplemental_filler": "no",
    "visual_control": "direct",
    "equipment_controls": "none",
    "torch_offset": "n/a",
    "closed_chamber": "no",
    "trailing_gas": "none",
    "trailing_shield": "n/a",
    "heat_input": "0.5 kJ/mm",
    "heat_input_measure": "arc",
}
GMAW: Entries = {
    "process": "GMAW",
    "transfer_mode": "spray",
    "current_programme": "steady",
    "filler_form": "solid",
    "current_type": "DCEP",
    "amps": "200 A",
    "amps_mean": "200 A",
    "volts": "24 V",
    "volts_mean": "24 V",
    "wire_feed": "400 ipm",
    "wire_feed_mean": "400 ipm",
    "travel_speed": "20 ipm",
    "travel_speed_mean": "20 ipm",
    "shielding_flow": "40 cfh",
    "backing_gas": "none",
    "filler_diameter": "3/64 in",
    "power_source": "A 400",
    "waveform_program": "n/a",
}
GTAW: Entries = {
    "process": "GTAW",
    "operation": "manual",
    "current_programme": "steady",
    "filler_used": "yes",
    "filler_form": "solid",
    "consumable_insert": "no",
    "amps": "150 A",
    "amps_mean": "150 A",
    "volts": "12 V",
    "volts_mean": "12 V",
    "travel_speed": "5 ipm",
    "travel_speed_mean": "5 ipm",
    "shielding_gas": "100Ar",
    "shielding_flow": "20 cfh",
    "backing_gas": "100Ar",
    "filler_diameter": "3/32 in",
    "tungsten_type": "EWLa-1.5",
    "tungsten_diameter": "3/32 in",
}
SMAW: Entries = {
    "process": "SMAW",
    "operation": "manual",
    "filler_classification": "E7018",
    "filler_trade_name": "Example 7018",
    "covering_type": "B",
    "current_type": "DCEP",
    "amps": "130 A",
    "amps_mean": "130 A",
    "volts": "23 V",
    "volts_mean": "23 V",
    "travel_speed": "6 ipm",
    "travel_speed_mean": "6 ipm",
    "filler_diameter": "1/8 in",
    "filler_a_group": "A-1",
}
OF_ALUMINUM: Entries = {
    "base_metal_a": "6061",
    "base_metal_b": "same",
    "temper_a": "T6",
    "temper_b": "T6",
    "filler_classification": "ER5356",
    "shielding_gas": "100Ar",
    "current_type": "AC",
    "filler_a_group": "A-22",
    "s_number_a": "23",
    "s_number_b": "23",
}
OF_STEEL: Entries = {
    "base_metal_a": "SA-36",
    "base_metal_b": "same",
    "filler_classification": "ER70S-6",
    "shielding_gas": "90Ar/10CO2",
    "current_type": "DCEN",
    "filler_trade_name": "Example S6",
    "filler_a_group": "A-1",
    "s_number_a": "1",
    "s_number_b": "1",
}


@dataclass(frozen=True)
class Scene:
    """One coupon and one weld asked of it, as entries; a joint and a single line."""

    name: str
    editions: tuple[str, ...]
    coupon: Entries
    weld: Entries
    sides: tuple[Side, ...] = tuple(Side)


def scenes() -> Iterator[Scene]:
    """All of them, coupon by coupon."""
    for metal, of_metal, editions in (
        ("aluminum", OF_ALUMINUM, ALUMINUM),
        ("steel", OF_STEEL, STEEL),
    ):
        arcs = {"GMAW": GMAW, "GTAW": GTAW} | ({"SMAW": SMAW} if metal == "steel" else {})
        for arc, of_arc in arcs.items():
            line = {**COMMON, **of_metal, **of_arc}
            if arc == "GTAW":
                line["shielding_gas"] = "100Ar"
            if arc == "GMAW":
                line["current_type"] = "DCEP"
            yield from _of_plate(f"{metal} {arc}", editions, line)
            if arc != "GMAW":
                yield from _of_pipe(f"{metal} {arc}", editions, line)


def _of_plate(name: str, editions: tuple[str, ...], line: Entries) -> Iterator[Scene]:
    groove = {**line, **PLATE, **GROOVE, "backing_material": line["base_metal_a"]}
    fillet = {**line, **PLATE, **FILLET}
    deposit = {"deposit_thickness": "3/8 in"}
    upward = {**groove, **deposit, "test_position": "3G"}
    flat = {**groove, **deposit, "test_position": "1G"}
    on_edge = {**groove, **deposit, "test_position": "2G"}
    of_fillet = {**fillet, "test_position": "2F"}
    at = {**groove, **deposit}
    yield Scene(f"{name}: plate 3G, its own weld", editions, upward, {**at, "position": "vertical"})
    yield Scene(f"{name}: plate 3G, flat", editions, upward, {**at, "position": "flat"})
    yield Scene(f"{name}: plate 1G, its own weld", editions, flat, {**at, "position": "flat"})
    yield Scene(f"{name}: plate 2G, flat", editions, on_edge, {**at, "position": "flat"})
    yield Scene(
        f"{name}: plate 1G, thicker by half",
        editions,
        flat,
        {**at, "position": "flat", "thickness_a": "1/2 in", "deposit_thickness": "1/2 in"},
    )
    room = {"GMAW": "195-205 A", "GTAW": "140-160 A", "SMAW": "125-135 A"}[line["process"]]
    yield Scene(
        f"{name}: plate 1G, settings with room",
        editions,
        flat,
        {**at, "position": "flat", "amps": room, "root_opening": "1/16 - 1/8 in"},
        (Side.PROCEDURE,),
    )
    as_fillet = {**fillet, "fillet_size": "1/4 in", "passes_per_side": "multiple"}
    yield Scene(f"{name}: plate 2G, a fillet flat", editions, on_edge, {**as_fillet, "position": "flat"})
    yield Scene(
        f"{name}: plate 2G, a fillet horizontal", editions, on_edge, {**as_fillet, "position": "horizontal"}
    )
    yield Scene(f"{name}: fillet 2F, its own weld", editions, of_fillet, {**fillet, "position": "horizontal"})
    yield Scene(f"{name}: fillet 2F, flat", editions, of_fillet, {**fillet, "position": "flat"})
    yield Scene(
        f"{name}: fillet 2F, on thicker plate",
        editions,
        of_fillet,
        {**fillet, "position": "horizontal", "thickness_a": "1/2 in"},
    )


def _of_pipe(name: str, editions: tuple[str, ...], line: Entries) -> Iterator[Scene]:
    pipe = {**line, **GROOVE, **PIPE, "deposit_thickness": "0.216 in", "layers": "3"}
    coupon = {**pipe, "test_position": "6G"}
    yield Scene(f"{name}: pipe 6G, its own weld", editions, coupon, {**pipe, "position": ALL_POSITIONS})
    yield Scene(
        f"{name}: pipe 6G, flat",
        editions,
        coupon,
        {**pipe, "position": "flat", "pipe_setting": "rotated"},
    )
    yield Scene(
        f"{name}: pipe 6G, a smaller pipe",
        editions,
        coupon,
        {**pipe, "position": ALL_POSITIONS, "diameter": "2.875 in OD", "thickness_a": "0.203 in"},
    )
    yield Scene(
        f"{name}: pipe 6G, a plate",
        editions,
        coupon,
        {
            **{k: v for k, v in pipe.items() if k not in ("diameter", "pipe_setting", "pipe_seam")},
            "product_form": "plate",
            "position": "vertical",
        },
    )


def gaps(scene: Scene, made: Edition, side: Side) -> tuple[Verdict, frozenset[str]]:
    """The verdict, and the variables for which no rule is encoded or which wait for a value."""
    test_use, weld_use = USES[side]
    coupon = _read(scene.coupon, test_use, made)
    weld = _read(scene.weld, weld_use, made)
    report = coverage(weld, [Coupon("T1", coupon, "us")], made, side)
    open_ones = {
        finding.variable
        for finding in report.obstacles
        if finding.verdict in (Verdict.NO_RULE, Verdict.UNKNOWN)
    }
    return report.verdict, frozenset(open_ones)


def refused(scene: Scene, made: Edition, side: Side) -> frozenset[str]:
    """The variables by which the weld is not covered."""
    test_use, weld_use = USES[side]
    report = coverage(
        _read(scene.weld, weld_use, made),
        [Coupon("T1", _read(scene.coupon, test_use, made), "us")],
        made,
        side,
    )
    return frozenset(f.variable for f in report.obstacles if f.verdict is Verdict.NOT_COVERED)


def _read(entries: Entries, use: RecordKind, made: Edition) -> Any:
    """The entries that a record of this kind under this edition asks for."""
    asked = {
        key: value
        for key, value in entries.items()
        if use in registry()[key].uses
        and registry()[key].asked_by(made.speaks)
        and entries["process"] in registry()[key].processes
    }
    joint = {k: v for k, v in asked.items() if registry()[k].level is Level.JOINT}
    line = {k: v for k, v in asked.items() if registry()[k].level is Level.LINE}
    read = read_weld(joint, [line], use, "us")
    assert not read.problems, [problem.message for problem in read.problems]
    return read.weld


def found() -> dict[str, dict[str, list[str]]]:
    """By edition and side, then by variable: the scenes in which it is open."""
    answer: dict[str, dict[str, list[str]]] = {}
    for scene in scenes():
        for name in scene.editions:
            made = edition(name)
            for side, rows in ((Side.PROCEDURE, made.procedure), (Side.WELDER, made.welder)):
                if not rows or side not in scene.sides:
                    continue
                for variable in gaps(scene, made, side)[1]:
                    answer.setdefault(f"{name} {side.value}", {}).setdefault(variable, []).append(scene.name)
    return answer
