"""The joint sketch of a procedure: a plain SVG drawn from the joint's entries, for page and document alike.

It is a sketch, not a scale drawing: proportions follow the stated dimensions as far as they stay readable.
Dimensions stand in a list below the drawing in both unit systems; one that is missing is said to be.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from qualification.rules.entries import read_weld
from qualification.rules.facts import Facts
from qualification.rules.values import Interval
from qualification.rules.variables import Use, registry
from qualification.rules.wording import say_value
from wps.documents.fillet_shapes import fillet_drawing
from wps.documents.groove_shapes import (
    DOUBLE,
    FLARED,
    ONE_SIDED,
    ROUNDED,
    Preparation,
    edge_profile,
    square_profile,
)
from wps.documents.svg import Drawing

WIDTH, LEFT, RIGHT, TOP, TALLEST = 360, 44.0, 316.0, 40.0, 84.0
MIDDLE = WIDTH / 2
GAP, FACE, RADIUS, ANGLE = 10.0, 12.0, 18.0, 60.0
"""Drawn where a dimension is not stated: a shape, not a number."""
MARKS = {
    "thickness_a": "tA",
    "thickness_b": "tB",
    "groove_angle": "α",
    "root_opening": "g",
    "root_face": "f",
    "groove_radius": "r",
    "fillet_size": "z",
}


@dataclass(frozen=True)
class Legend:
    """One line below the drawing: the mark in the drawing, what it is, how large."""

    mark: str
    label: str
    words: str


def sketch_of(
    joint: Mapping[str, Any],
    units: str,
    lines: Sequence[Mapping[str, Any]] = (),
    use: Use = Use.SPEC,
    shown: str = "",
) -> str:
    """The SVG of the joint these entries describe; entries that cannot be read count as not stated. `shown`
    is the unit system that stands first, where it is not the one the record is kept in."""
    weld = read_weld(joint, lines, use, units).weld
    backing = next((line["backing"] for line in weld.lines if line.given("backing")), None)
    backed = backing == frozenset({"metal"})
    fillet = weld.joint["weld_type"] == frozenset({"fillet"})
    drawing = (
        fillet_drawing(_first(weld.joint, "joint_form"), _first(weld.joint, "sides_welded"))
        if fillet
        else _groove(weld.joint, backed)
    )
    legend = _legend(
        weld.joint, shown or units, fillet, [line for line in weld.lines if line.given("backing")]
    )
    return drawing.render(WIDTH, [(each.mark, each.label, each.words) for each in legend], _spoken(legend))


def _first(facts: Facts, key: str) -> str:
    """The claimed choice that stands first in the registry; empty when none is stated."""
    value = facts[key]
    if not isinstance(value, frozenset):
        return ""
    return next((c.key for c in registry()[key].choices if c.key in value), "")


def _number(facts: Facts, key: str) -> float | None:
    """One number to draw by: the middle of what is stated, in canonical units."""
    value = facts[key]
    if not isinstance(value, Interval) or value.low is None or value.high is None:
        return None
    return float(value.low + value.high) / 2


def _groove(joint: Facts, backed: bool) -> Drawing:
    shape = _first(joint, "groove_type")
    heights, scale = _heights(joint)
    gap = _drawn(_number(joint, "root_opening"), scale, GAP, 4, 36)
    drawing = Drawing()
    base = TOP + max(heights)
    left, right = (_preparation(joint, shape, height, scale) for height in heights)
    profiles = [square_profile(heights[0]) if shape in ONE_SIDED else edge_profile(left), edge_profile(right)]
    for side, profile, height in ((-1, profiles[0], heights[0]), (1, profiles[1], heights[1])):
        edge = [
            (MIDDLE + side * (gap / 2 + min(back, 120.0)), base - height + down) for back, down in profile
        ]
        outer = LEFT if side < 0 else RIGHT
        drawing.plate([(outer, base - height), *edge, (outer, base)], dashed=not shape)
    drawing.measure_down(LEFT - 16, base - heights[0], base, MARKS["thickness_a"], before=True)
    drawing.measure_down(RIGHT + 16, base - heights[1], base, MARKS["thickness_b"], before=False)
    if backed:
        drawing.plate(
            [(MIDDLE - 46, base), (MIDDLE + 46, base), (MIDDLE + 46, base + 16), (MIDDLE - 46, base + 16)]
        )
    _mark_groove(drawing, shape, right, gap, base)
    drawing.measure_across(
        MIDDLE - gap / 2, MIDDLE + gap / 2, base + (16 if backed else 0), MARKS["root_opening"]
    )
    drawing.height = base + 44
    return drawing


def _heights(joint: Facts) -> tuple[tuple[float, float], float]:
    """Drawn thickness of both sides, and drawing units per mm (0 where no thickness is stated)."""
    thick_a, thick_b = _number(joint, "thickness_a"), _number(joint, "thickness_b")
    known = [t for t in (thick_a, thick_b) if t]
    if not known:
        return (TALLEST, TALLEST), 0.0
    scale = TALLEST / max(known)
    drawn = [max(TALLEST * 0.35, (t or max(known)) * scale) for t in (thick_a, thick_b)]
    return (drawn[0], drawn[1]), scale


def _drawn(value: float | None, scale: float, unstated: float, least: float, most: float) -> float:
    if value is None or (value and not scale):
        return unstated
    return 0.0 if value == 0 else min(max(value * scale, least), most)


def _preparation(joint: Facts, shape: str, height: float, scale: float) -> Preparation:
    angle = _number(joint, "groove_angle")
    opened = min(max(ANGLE if angle is None else angle, 4.0), 120.0)
    slope = math.radians(opened if shape in ONE_SIDED else opened / 2)
    face = _drawn(_number(joint, "root_face"), scale, FACE, 4, height * 0.6)
    radius = _drawn(_number(joint, "groove_radius"), scale, RADIUS, 6, height * 0.45)
    return Preparation(shape, height, min(slope, math.radians(65)), face, radius)


def _mark_groove(drawing: Drawing, shape: str, edge: Preparation, gap: float, base: float) -> None:
    """The marks of angle, root face and radius, where the groove has them."""
    if shape in ("square", "") or shape in FLARED:
        return
    root, top = MIDDLE + gap / 2, base - edge.height
    drawing.angle(
        MIDDLE,
        top + edge.depth,
        edge.depth * 0.8,
        0.0 if shape in ONE_SIDED else -edge.slope,
        edge.slope,
        MARKS["groove_angle"],
    )
    bottom = base - edge.depth if shape in DOUBLE else base
    if edge.face:
        drawing.bracket(root + 8, top + edge.depth, bottom, MARKS["root_face"])
    if shape in ROUNDED:
        turn = math.radians(50)
        drawing.leader(
            root + edge.radius * math.cos(turn),
            top + edge.depth - edge.radius * (1 - math.sin(turn)),
            MARKS["groove_radius"],
        )


def _legend(joint: Facts, units: str, fillet: bool, backed: Sequence[Facts]) -> list[Legend]:
    shape = _first(joint, "groove_type")
    keys = ["joint_form", "thickness_a", "thickness_b"]
    if fillet:
        keys += ["fillet_size"]
    else:
        keys = ["groove_type", *keys, "root_opening"]
        keys += ["groove_angle", "root_face"] if shape and shape != "square" and shape not in FLARED else []
        keys += ["groove_radius"] if shape in ROUNDED else []
    kinds = joint["weld_type"]
    if isinstance(kinds, frozenset) and len(kinds) > 1:
        keys = ["weld_type", *keys, "fillet_size"]
    keys += [key for key in ("sides_welded", "back_gouging", "retainer") if joint.given(key)]
    found = [_line(key, joint, units) for key in keys]
    words = dict.fromkeys(say_value("backing", line["backing"], units) for line in backed)
    return [*found, Legend("", registry()["backing"].label, "; ".join(words))] if words else found


def _line(key: str, facts: Facts, units: str) -> Legend:
    return Legend(MARKS.get(key, ""), registry()[key].label, say_value(key, facts[key], units))


def _spoken(legend: Sequence[Legend]) -> str:
    return "Joint sketch. " + " ".join(f"{each.label}: {each.words}." for each in legend)
