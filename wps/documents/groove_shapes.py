"""Outlines of edge preparations, in drawing units: how far an edge stands back, top to bottom."""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]

DOUBLE = frozenset({"double_v", "double_bevel", "double_u", "double_j"})
ONE_SIDED = frozenset({"bevel", "double_bevel", "j", "double_j", "flare_bevel"})
"""Only one member is prepared; the other keeps its square edge."""
ROUNDED = frozenset({"u", "double_u", "j", "double_j"})
FLARED = frozenset({"flare_v", "flare_bevel"})
ARC_POINTS = 12


@dataclass(frozen=True)
class Preparation:
    """One edge as drawn: lengths in drawing units, the wall's slope from the vertical in radians."""

    shape: str
    height: float
    slope: float
    face: float
    radius: float

    @property
    def depth(self) -> float:
        """From the surface down to the root face."""
        return (self.height - self.face) / 2 if self.shape in DOUBLE else self.height - self.face


def edge_profile(preparation: Preparation) -> list[Point]:
    """The prepared edge as (distance back from the root, distance down from the top) points, top first."""
    if preparation.shape in FLARED:
        return _flare(preparation.height)
    if preparation.shape in ("square", ""):
        return [(0.0, 0.0), (0.0, preparation.height)]
    upper = _wall(preparation)
    if preparation.shape not in DOUBLE:
        return [*upper, (0.0, preparation.height)]
    return [*upper, *((back, preparation.height - down) for back, down in reversed(upper))]


def square_profile(height: float) -> list[Point]:
    """The square edge of the other member."""
    return [(0.0, 0.0), (0.0, height)]


def _wall(preparation: Preparation) -> list[Point]:
    depth, slope = preparation.depth, preparation.slope
    if preparation.shape not in ROUNDED:
        return [(depth * math.tan(slope), 0.0), (0.0, depth)]
    radius = min(preparation.radius, depth)
    meets = (radius * math.cos(slope), depth - radius + radius * math.sin(slope))
    top = (meets[0] + meets[1] * math.tan(slope), 0.0)
    # The round runs from where it meets the wall to straight below its centre, over the root edge.
    turns = [slope + (math.pi / 2 - slope) * step / ARC_POINTS for step in range(ARC_POINTS + 1)]
    return [top, *((radius * math.cos(turn), depth - radius + radius * math.sin(turn)) for turn in turns)]


def _flare(height: float) -> list[Point]:
    turns = [math.pi / 2 * step / ARC_POINTS for step in range(ARC_POINTS + 1)]
    return [(height - height * math.sin(turn), height - height * math.cos(turn)) for turn in turns]
