"""Where the numbers of a groove stand on its drawing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from qualification.rules.arithmetic.grooves import Groove
from wps.documents.joint_figure import Mark
from wps.documents.joint_geometry import FLARED, ONE_SIDED, ROUNDED, Section, edges_of


def butt_marks(groove: Groove, section: Section, other: float, words: Mapping[str, str]) -> Iterator[Mark]:
    """Of a butt joint: thicknesses, root face, angle, radius and root opening, as far as they are stated."""
    left, right = edges_of(groove)
    half, thin = groove.gap / 2, groove.thickness
    xs = [x for x, _ in section.members[0]], [x for x, _ in section.members[1]]
    if words["thickness_a"]:
        yield Mark("down", words["thickness_a"], (min(xs[0]), 0.0), (min(xs[0]), thin), side=-1)
    if words["root_face"] and groove.shape not in ("square", *FLARED):
        low = groove.depths[1] if len(groove.depths) > 1 else 0.0
        yield Mark("down", words["root_face"], (half, low), (half, low + groove.face))
    if words["thickness_b"] and other > thin:
        yield Mark("down", words["thickness_b"], (max(xs[1]), 0.0), (max(xs[1]), other))
    if words["groove_angle"] and right[-1][1] > 0 and groove.shape not in FLARED:
        yield _angle_mark(groove, words["groove_angle"])
    if words["groove_radius"] and groove.shape in ROUNDED:
        back = right[-1][1]
        yield Mark("word", f"r {words['groove_radius']}", (half + back + 0.45 * thin, 0.3 * thin))
    if words["root_opening"]:
        yield Mark("across", words["root_opening"], (-half, 0.0), (half, 0.0))


def corner_marks(
    groove: Groove, section: Section, upright: float, words: Mapping[str, str]
) -> Iterator[Mark]:
    """Of a corner both members of which are prepared: those of a butt joint, and the thickness of the upright
    member in it."""
    yield from butt_marks(groove, section, groove.thickness, words)
    if text := words["thickness_b"] or words["thickness_a"]:
        middle = (groove.gap + upright) / 2
        yield Mark("word", text, (middle, -0.6 * groove.thickness), (upright, groove.thickness))


def _angle_mark(groove: Groove, text: str) -> Mark:
    _, right = edges_of(groove)
    top, half = (right[-1][1], groove.thickness), groove.gap / 2
    one_sided = groove.shape in ONE_SIDED
    slope = math.radians(groove.angle if one_sided else groove.angle / 2)
    if one_sided:
        apex = (half + top[0] - (groove.depths[0]) * math.tan(slope), groove.thickness - groove.depths[0])
        return Mark("angle", text, (0.0, slope), (half + top[0], top[1]), apex)
    rise = (half + top[0]) / math.tan(slope) if slope else groove.thickness
    return Mark("angle", text, (-slope, slope), (half + top[0], top[1]), (0.0, groove.thickness - rise))


def turned_marks(
    groove: Groove, section: Section, plate: float, words: Mapping[str, str], leg: float | None = None
) -> Iterator[Mark]:
    """Of a groove in a tee or corner: both thicknesses, root opening and angle."""
    xs, ys = [x for x, _ in section.members[1]], [y for _, y in section.members[0]]
    if words["thickness_a"]:
        wide = max(xs) - min(xs)
        yield Mark("word", words["thickness_a"], (max(xs) - 0.25 * wide, -plate / 2), (wide / 2, plate))
    if words["thickness_b"] or words["thickness_a"]:
        text = words["thickness_b"] or words["thickness_a"]
        yield Mark(
            "word",
            text,
            (groove.thickness / 2, max(ys) - 0.2 * groove.thickness),
            (groove.thickness, groove.thickness),
        )
    if words["root_opening"]:
        yield Mark("down", words["root_opening"], (0.0, 0.0), (0.0, groove.gap), side=-1)
    yield from _on_the_upright(groove, words, leg or 0.0)


def _on_the_upright(groove: Groove, words: Mapping[str, str], leg: float) -> Iterator[Mark]:
    """The groove's angle past its mouth, and the leg of a fillet over it."""
    _, right = edges_of(groove)
    mouth = groove.gap + right[-1][1]
    if words["groove_angle"] and right[-1][1] > 0 and groove.shape not in FLARED:
        slope = math.radians(groove.angle)
        depth = groove.depths[0]
        foot = mouth - depth * math.tan(slope)
        yield Mark(
            "angle",
            words["groove_angle"],
            (math.pi / 2 - slope, math.pi / 2),
            (groove.thickness, mouth),
            (groove.thickness - depth, foot),
            side=-1,
        )
    if leg and words["fillet_over_groove"]:
        face = groove.thickness
        yield Mark("across", words["fillet_over_groove"], (face, 0.0), (face + leg, 0.0))


def branch_marks(
    is_set_in: bool,
    groove: Groove,
    walls: tuple[float, float],
    section: Section,
    words: Mapping[str, str],
    leg: float | None,
) -> Iterator[Mark]:
    """Of a branch at its crotch: both walls, root opening and, set on, the angle."""
    run, branch = walls
    first, second = (words[f"thickness_{side}"] or words["thickness_a"] for side in "ab")
    if not is_set_in:
        told = {**words, "thickness_a": first, "thickness_b": second}
        yield from turned_marks(replace(groove, thickness=branch), section, run, told, leg)
        return
    xs = [x for x, _ in section.members[0]]
    if words["thickness_a"]:
        yield Mark("down", first, (max(xs), 0.0), (max(xs), run))
        yield Mark("word", second, (-branch / 2, 1.7 * run), (branch, run))
    if words["root_opening"]:
        yield Mark("across", words["root_opening"], (0.0, 0.0), (groove.gap, 0.0))


def flank_marks(
    groove: Groove,
    walls: tuple[float, float],
    falls: float,
    section: Section,
    words: Mapping[str, str],
    leg: float | None,
) -> Iterator[Mark]:
    """Of a branch at its flank: both walls, root opening, the angle between its cut end and the run pipe's
    surface, which there falls away by `falls` radians, and the leg of a fillet."""
    run, branch = walls
    first, second = (words[f"thickness_{side}"] or words["thickness_a"] for side in "ab")
    high = max(y for _, y in section.members[0])
    mouth = min(y for x, y in section.members[0] if x == branch)
    end = max(x for x, _ in section.members[1])
    if first:
        under = min((y for x, y in section.members[1] if x == end), default=-run)
        yield Mark("word", first, (end - 0.2 * run, (under + _surface(section, end)) / 2), (run, run))
    if second:
        yield Mark("word", second, (branch / 2, high - 0.25 * branch), (branch, branch))
    if words["root_opening"]:
        yield Mark("down", words["root_opening"], (0.0, 0.0), (0.0, groove.gap), side=-1)
    rise = math.atan2(mouth - groove.gap, branch)
    if words["groove_angle"] and rise > 0 and groove.shape != "square":
        back = groove.gap / (math.tan(rise) + math.tan(falls))
        apex = (-back, back * math.tan(falls))
        opens = (math.pi / 2 - rise, math.pi / 2 + falls)
        yield Mark("angle", words["groove_angle"], opens, (branch, mouth), apex, side=-1)
    if leg and words["fillet_over_groove"]:
        yield Mark("across", words["fillet_over_groove"], (branch, 0.0), (branch + leg, 0.0))


def _surface(section: Section, across: float) -> float:
    """Height of the run pipe's surface so far outwards."""
    return max(y for x, y in section.members[1] if x == across)
