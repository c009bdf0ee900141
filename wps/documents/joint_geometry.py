"""The edges of a groove and what a section through a weld is made of, in mm.

The frame: x across, y up, the root at y 0. An edge is a list of (y, how far it stands back), from the bottom
up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from qualification.rules.arithmetic.grooves import Groove, GrooveError

Point = tuple[float, float]
Polygon = tuple[Point, ...]
Edge = tuple[tuple[float, float], ...]

ONE_SIDED = frozenset(("bevel", "double_bevel", "j", "double_j", "flare_bevel"))
"""Only one member is prepared; the other keeps its square edge."""
DOUBLE = frozenset(("double_v", "double_bevel", "double_u", "double_j"))
ROUNDED = frozenset(("u", "double_u", "j", "double_j"))
FLARED = frozenset(("flare_v", "flare_bevel"))
ARC_POINTS = 64
"""Points of a quarter turn: with 24 a flare is 0.26 % off, with 64 less than 0.04 %."""


@dataclass(frozen=True)
class Bead:
    """One pass: its outline, its number, and the process line that lays it."""

    outline: Polygon
    number: int
    line: int


@dataclass(frozen=True)
class Section:
    """What is drawn of one joint. `caps` stand above the flush surface and are no part of the groove."""

    members: tuple[Polygon, ...]
    beads: tuple[Bead, ...]
    caps: tuple[Bead, ...] = ()
    backing: tuple[Polygon, ...] = ()
    loose: tuple[Polygon, ...] = ()
    """Retainers, flux and back-gouges: drawn in broken lines."""
    inserts: tuple[Polygon, ...] = ()
    """Metal placed in the root beforehand, and melted into it."""

    @property
    def filler_area(self) -> float:
        """Area in mm² of the passes as drawn, without caps."""
        return sum(area_of(bead.outline) for bead in self.beads)

    @property
    def points(self) -> tuple[Point, ...]:
        outlines = (
            *self.members,
            *self.backing,
            *self.loose,
            *self.inserts,
            *(b.outline for b in (*self.beads, *self.caps)),
        )
        return tuple(point for outline in outlines for point in outline)


def area_of(outline: Sequence[Point]) -> float:
    """Area inside an outline, by the shoelace formula."""
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def edge_of(groove: Groove) -> Edge:
    """The prepared edge of the groove, bottom to top. Raises GrooveError where its dimensions do not go
    together."""
    shape, thickness, face = groove.shape, groove.thickness, groove.face
    if shape == "square":
        return ((0.0, 0.0), (thickness, 0.0))
    if shape in FLARED:
        return _flare(groove)
    if face >= thickness:
        raise GrooveError(
            f"The root face, {face:g} mm, leaves nothing of the thickness, {thickness:g} mm, to prepare."
        )
    single = _wall(groove, groove.depths[0])
    upper = [(thickness - groove.depths[0] + y, back) for y, back in single]
    if shape not in DOUBLE:
        return ((0.0, 0.0), *upper)
    lower = [(groove.depths[1] - y, back) for y, back in reversed(_wall(groove, groove.depths[1]))]
    return (*lower, *upper)


def _wall(groove: Groove, depth: float) -> list[tuple[float, float]]:
    """From the land up to the surface: (height above the land, back)."""
    whole = groove.shape in ("bevel", "double_bevel", "j", "double_j")
    slope = math.radians(groove.angle if whole else groove.angle / 2)
    if slope >= math.pi / 2:
        raise GrooveError(f"A wall at {math.degrees(slope):g}° from upright never reaches the surface.")
    if groove.shape not in ROUNDED:
        return [(0.0, 0.0), (depth, depth * math.tan(slope))]
    radius = groove.radius
    if radius * (1 - math.sin(slope)) > depth:
        raise GrooveError(f"The radius, {radius:g} mm, does not fit into a depth of {depth:g} mm.")
    turns = [(math.pi / 2 - slope) * step / ARC_POINTS for step in range(ARC_POINTS + 1)]
    arc = [(radius - radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]
    rise = depth - arc[-1][0]
    return [*arc, (depth, arc[-1][1] + rise * math.tan(slope))]


def _flare(groove: Groove) -> Edge:
    radius, depth = groove.radius, groove.thickness
    if depth > radius:
        raise GrooveError(f"The depth, {depth:g} mm, is larger than the radius of the edge, {radius:g} mm.")
    heights = [depth * math.sin(math.pi / 2 * step / ARC_POINTS) for step in range(ARC_POINTS + 1)]
    return tuple((y, radius - math.sqrt(max(radius**2 - y**2, 0.0))) for y in heights)


def edges_of(groove: Groove) -> tuple[Edge, Edge]:
    """Left and right edge."""
    right = edge_of(groove)
    left = ((0.0, 0.0), (groove.thickness, 0.0)) if groove.shape in ONE_SIDED else right
    return left, right


def back_at(edge: Edge, y: float) -> float:
    """How far the edge stands back at a height."""
    for (low, first), (high, second) in zip(edge, edge[1:], strict=False):
        if low <= y <= high:
            return first if high == low else first + (second - first) * (y - low) / (high - low)
    return edge[-1][1] if y > edge[-1][0] else edge[0][1]


def segment(start: float, end: float, base: float, height: float) -> Polygon:
    """A cap on its chord: the segment of a circle."""
    half = (end - start) / 2
    if half <= 0 or height <= 0:
        return ((start, base), (end, base), (end, base))
    radius = (half**2 + height**2) / (2 * height)
    turn = math.asin(min(1.0, half / radius))
    steps = [turn - 2 * turn * step / 40 for step in range(41)]
    middle = (start + end) / 2
    return tuple(
        (middle + radius * math.sin(each), base + height - radius + radius * math.cos(each)) for each in steps
    )
