"""Sections through a branch connection of pipes, in mm: at the crotch, in the plane of both axes, and at the
flank, across the run pipe. The run pipe is side A, the branch side B.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from qualification.rules.arithmetic.grooves import Groove, GrooveError
from wps.documents.joint_geometry import ONE_SIDED, Polygon, Section
from wps.documents.joint_sections import Below, turned
from wps.documents.pass_layers import Passes, Profile, beads_in, fillet_beads

SET_ON, SET_IN = "set_on", "set_in"
ARC = 48
"""Points of the run pipe's surface."""


def at_crotch(
    kind: str, groove: Groove, run: float, branch: float, passes: Passes, below: Below, leg: float | None
) -> Section:
    """In the plane of both axes. Set on, the branch stands on the run pipe around its hole, and its end is
    prepared; set in, it passes through the wall, whose edge is prepared. `run` and `branch` are their walls.
    """
    if kind == SET_ON:
        return turned(replace(groove, thickness=branch), run, passes, True, below, leg=leg)
    groove = replace(groove, thickness=run)
    if groove.shape not in (*ONE_SIDED, "square"):
        raise GrooveError("A set-in branch keeps its wall; prepare the edge of the run pipe alone.")
    section = turned(groove, branch, passes, False, below, leg=leg)

    def back(outline: Sequence[tuple[float, float]]) -> Polygon:
        """The wall of the branch upright at the left, that of the run pipe level at the right."""
        return tuple((y, x) for x, y in outline)

    high, low = 2.5 * run + (leg or 0.0), -1.2 * run
    wall = ((0.0, low), (0.0, high), (-branch, high), (-branch, low))
    return Section(
        (back(section.members[0]), wall),
        tuple(replace(each, outline=back(each.outline)) for each in section.beads),
        backing=tuple(back(each) for each in section.backing),
        loose=tuple(back(each) for each in section.loose),
        inserts=tuple(back(each) for each in section.inserts),
    )


def at_flank(
    groove: Groove,
    walls: tuple[float, float],
    diameters: tuple[float, float],
    passes: Passes,
    leg: float | None,
) -> Section:
    """Across the run pipe, of a branch set on: its surface falls away from the branch, whose end is cut so
    that the groove keeps its angle. Walls and outside diameters are those of run pipe and branch."""
    (run, branch), (outside, across) = walls, diameters
    if across > outside:
        raise GrooveError(f"The branch, {across:g} mm wide, is wider than the run pipe, {outside:g} mm.")
    if branch >= across / 2 or run >= outside / 2:
        raise GrooveError("The wall is as thick as half the diameter; check wall and diameter of both pipes.")
    radius, inner = outside / 2, across / 2 - branch

    def fallen(x: float) -> float:
        """How far the surface lies below the branch's inner edge, that far outwards."""
        return math.sqrt(radius**2 - inner**2) - math.sqrt(max(radius**2 - (inner + x) ** 2, 0.0))

    slope = math.radians(groove.angle) - fall_at_the_root(outside, across, branch)
    rise = math.tan(max(slope, 0.0)) if groove.shape != "square" else 0.0
    steps = [branch * step / ARC for step in range(ARC + 1)]
    profile = Profile(
        tuple(steps), tuple(fallen(x) for x in steps), tuple(groove.gap + rise * x for x in steps)
    )
    high, end = groove.gap + rise * branch, min(branch + 0.8 * run + (leg or 0.0), radius - inner)
    top = high + 1.2 * branch
    wall = ((0.0, groove.gap), (branch, high), (branch, top + (leg or 0.0)), (0.0, top + (leg or 0.0)))
    over, within = (passes, passes) if leg is None or len(passes) < 2 else _parted(profile, passes, leg, high)
    beads = beads_in(profile, within, lambda lies, out: (out, lies))
    if leg is not None:
        if inner + branch + leg > radius:
            raise GrooveError(f"A fillet leg of {leg:g} mm reaches past the side of the run pipe.")
        beads = (
            *beads,
            *fillet_beads(
                1.0,
                over,
                lambda along, up: (branch + along * leg, _on_ramp(along, up, leg, high, fallen, branch)),
            ),
        )
    return Section((wall, _ring(radius, radius - run, inner, end)), beads)


def fall_at_the_root(outside: float, across: float, wall: float) -> float:
    """Angle in radians by which the run pipe's surface falls away at the inner edge of a branch; its outside
    diameter, that of the branch and the branch's wall in mm."""
    return math.asin(min(1.0, (across / 2 - wall) / (outside / 2)))


def _parted(profile: Profile, passes: Passes, leg: float, high: float) -> tuple[Passes, Passes]:
    within = profile.area(0.0, profile.top)
    first, rest = passes.split(within / (within + leg * max(leg, high) / 2))
    return rest, first


def _on_ramp(
    along: float, up: float, leg: float, high: float, fallen: Callable[[float], float], branch: float
) -> float:
    """Height of a point of the fillet's triangle: its foot follows the surface, its upright leg the wall."""
    foot = -fallen(branch + along * leg)
    return foot + up * (max(leg, high) + fallen(branch))


def _ring(outer: float, inner: float, start: float, reach: float) -> Polygon:
    """The wall of the run pipe from the branch's bore outwards."""
    level = math.sqrt(outer**2 - start**2)
    xs = [reach * step / ARC for step in range(ARC + 1)]
    above = [(x, math.sqrt(max(outer**2 - (start + x) ** 2, 0.0)) - level) for x in xs]
    below = [(x, math.sqrt(inner**2 - (start + x) ** 2) - level) for x in reversed(xs) if start + x <= inner]
    return (
        (*above, *below) if below else (*above, (reach, above[-1][1] - (outer - inner)), (0.0, inner - outer))
    )
