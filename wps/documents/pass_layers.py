"""Passes laid in a weld: in layers from the root, several beads side by side where the log has more passes
than layers, each with its share of the area.

A profile is the space to fill, seen from its root: heights, and how far the weld reaches to either side of
the axis there. What is laid adds up to the area of the profile.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby

from wps.documents.joint_geometry import Bead, Point, Polygon

Place = Callable[[float, float], Point]
"""From (across, height) in the profile to the section."""
FLATTEST = 2.5
"""Width to height of a bead from which a layer takes another beside it: a look, where no layer is known."""
STEPS = 48
"""Halvings in the search for a height: far below a thousandth of a millimeter."""


@dataclass(frozen=True)
class Pass:
    """One pass as the record has it: its number, the process line that lays it, its share of the weld by the
    wire it took, and its layer where the record tells."""

    number: int
    line: int
    share: float = 1.0
    layer: int | None = None


@dataclass(frozen=True)
class Passes:
    """The passes of a weld. `level` is True where nothing tells their sizes: layers are then equally high."""

    passes: tuple[Pass, ...]
    level: bool = True

    def __len__(self) -> int:
        return len(self.passes)

    @property
    def share(self) -> float:
        return sum(each.share for each in self.passes)

    def split(self, part: float) -> tuple[Passes, Passes]:
        """Passes of the first side, which has that part of the area, and of the second; each side takes one
        at least where there are two."""
        if len(self) < 2:
            return self, Passes((), self.level)
        taken = 0.0
        sums = [taken := taken + each.share for each in self.passes]
        at = min(range(1, len(self)), key=lambda count: abs(sums[count - 1] - part * self.share))
        return Passes(self.passes[:at], self.level), Passes(self.passes[at:], self.level)


@dataclass(frozen=True)
class Profile:
    """Heights from the root up, and how far the weld reaches left and right of the axis at each."""

    heights: tuple[float, ...]
    left: tuple[float, ...]
    right: tuple[float, ...]

    @property
    def top(self) -> float:
        return self.heights[-1]

    def at(self, height: float) -> tuple[float, float]:
        """How far the weld reaches left and right at a height."""
        for place in range(len(self.heights) - 1):
            low, high = self.heights[place], self.heights[place + 1]
            if height <= high and high > low:
                part = max(0.0, (height - low) / (high - low))
                return (
                    self.left[place] + part * (self.left[place + 1] - self.left[place]),
                    self.right[place] + part * (self.right[place + 1] - self.right[place]),
                )
        return self.left[-1], self.right[-1]

    def area(self, low: float, high: float) -> float:
        levels = [low, *self.between(low, high), high]
        widths = [sum(self.at(each)) for each in levels]
        return sum(
            (levels[n + 1] - levels[n]) * (widths[n] + widths[n + 1]) / 2 for n in range(len(levels) - 1)
        )

    def between(self, low: float, high: float) -> list[float]:
        return sorted({each for each in self.heights if low < each < high})

    def above(self, low: float, area: float) -> float:
        """The height up to which an area reaches from `low`."""
        if area >= self.area(low, self.top):
            return self.top
        under, over = low, self.top
        for _ in range(STEPS):
            middle = (under + over) / 2
            under, over = (middle, over) if self.area(low, middle) < area else (under, middle)
        return (under + over) / 2


def beads_in(profile: Profile, passes: Passes, place: Place) -> tuple[Bead, ...]:
    """The beads of these passes in the profile."""
    whole, low = profile.area(0.0, profile.top), 0.0
    layers = _layers(profile, passes, whole)
    found: list[Bead] = []
    for row, layer in enumerate(layers, 1):
        share = sum(each.share for each in layer)
        if row == len(layers):
            high = profile.top
        elif passes.level:
            high = profile.top * row / len(layers)
        else:
            high = profile.above(low, whole * share / passes.share)
        taken = 0.0
        for each in layer:
            first, taken = taken / share, taken + each.share
            found.append(
                Bead(_outline(profile, (low, high), (first, taken / share), place), each.number, each.line)
            )
        low = high
    return tuple(found)


def _layers(profile: Profile, passes: Passes, whole: float) -> list[list[Pass]]:
    """Passes by layer: as the record has them, one above the other where it gives no sizes, else as many
    side by side as keep each bead from being drawn flat."""
    if all(each.layer is not None for each in passes.passes):
        return [list(each) for _, each in groupby(passes.passes, key=lambda each: (each.layer, each.line))]
    if passes.level:
        return [[each] for each in passes.passes]
    found: list[list[Pass]] = []
    low, rest = 0.0, list(passes.passes)
    while rest:
        for count in range(1, len(rest) + 1):
            area = whole * sum(each.share for each in rest[:count]) / passes.share
            high = profile.above(low, area)
            wide = sum(profile.at((low + high) / 2)) / count
            if wide <= FLATTEST * (high - low):
                break
        found.append(rest[:count])
        low, rest = high, rest[count:]
    if len(found) > 1 and len(found[-1]) < len(found[-2]) - 1:  # a last layer too thin to stand alone
        found[-2:] = [[*found[-2], *found[-1]]]
    return found


def _outline(profile: Profile, span: Point, part: Point, place: Place) -> Polygon:
    low, high = span
    levels = [low, *profile.between(low, high), high]

    def side(share: float) -> list[Point]:
        return [
            place(-left + share * (left + right), each)
            for each in levels
            for left, right in (profile.at(each),)
        ]

    return (*side(part[0]), *reversed(side(part[1])))


def fillet_beads(leg: float, passes: Passes, place: Place, reach: float = 0.0) -> tuple[Bead, ...]:
    """Passes of a fillet in the corner at (0, 0) of `place`, legs along both its axes: layers parallel to the
    face, beads from the lower member up. `reach` is the leg along the second axis where it is another."""
    up = reach or leg
    if not passes.passes:
        return ()
    throat = 1 / math.sqrt(2)
    profile = Profile((0.0, throat), (0.0, throat), (0.0, throat))

    def turned(across: float, height: float) -> Point:
        # The face runs from the lower member, at the left end of a layer, to the upright one.
        return place(leg * (height - across) * throat, up * (height + across) * throat)

    return beads_in(profile, passes, turned)
