"""Cross-sections of grooves in mm². Geometry with tangents, so floats.

Symbols: thickness t, root gap g, root face f, included angle a (bevels: the one bevel angle b), groove
radius R.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import asin, cos, pi, radians, sin, sqrt, tan

from ..core.facts import Facts

SHAPES = (
    "square",
    "v",
    "double_v",
    "bevel",
    "double_bevel",
    "u",
    "double_u",
    "j",
    "double_j",
    "flare_v",
    "flare_bevel",
)
"""Choices of the variable `groove_type`."""
_DOUBLE = frozenset({"double_v", "double_bevel", "double_u", "double_j"})
_UPRIGHT = ("tee", "corner")
_ROUND = frozenset({"u", "double_u", "j", "double_j", "flare_v", "flare_bevel"})


class GrooveError(ValueError):
    """The dimensions do not make such a groove; the message says which one to change."""


class Lacking(LookupError):
    """Dimensions that are not stated, or stated as a range; `needs` holds their variables."""

    def __init__(self, needs: tuple[str, ...]) -> None:
        super().__init__(f"not stated as one number: {', '.join(needs)}")
        self.needs = needs


@dataclass(frozen=True)
class Groove:
    """Dimensions in mm and degrees. `angle` is the included angle of both sides, for bevels and J the angle
    of the one prepared side. Raises GrooveError when they do not make a groove."""

    shape: str
    thickness: float
    gap: float = 0.0
    face: float = 0.0
    angle: float = 0.0
    radius: float = 0.0
    front_share: float = 0.5
    """Of a double groove: the part of the prepared depth on the front side."""

    def __post_init__(self) -> None:
        if self.shape not in SHAPES:
            raise GrooveError(f"“{self.shape}” is not a groove; choose one of {', '.join(SHAPES)}.")
        if self.thickness <= 0 or self.gap < 0 or self.face < 0 or self.radius < 0:
            raise GrooveError("A groove needs a thickness above zero, and no dimension below zero.")
        if self.face > self.thickness:
            raise GrooveError(
                f"The root face, {self.face:g} mm, is larger than the thickness, {self.thickness:g} mm."
            )
        if not 0 <= self.angle < 180:
            raise GrooveError(f"The angle, {self.angle:g}°, has to lie between 0° and 180°.")
        if not 0 <= self.front_share <= 1:
            raise GrooveError("The front side takes a share between 0 and 1 of the depth.")
        if self.shape in _ROUND and self.radius == 0:
            raise GrooveError("This groove needs its radius.")

    @property
    def depths(self) -> tuple[float, ...]:
        """Prepared depth of each side."""
        depth = self.thickness - self.face
        return (
            (depth * self.front_share, depth * (1 - self.front_share)) if self.shape in _DOUBLE else (depth,)
        )


def groove_area(groove: Groove) -> float:
    """Area in mm² between the edges, flush with both surfaces. Raises GrooveError for a radius deeper than
    the preparation."""
    root = groove.gap * groove.thickness
    if groove.shape == "square":
        return root
    sides, part = _PARTS[groove.shape.removeprefix("double_")]
    return root + sides * sum(part(groove, depth) for depth in groove.depths)


def _slope(groove: Groove) -> float:
    """Bevel angle of one side in radians."""
    return radians(groove.angle / 2 if groove.shape in ("v", "double_v", "u", "double_u") else groove.angle)


def _straight(groove: Groove, depth: float) -> float:
    return depth * depth * tan(_slope(groove)) / 2


def _curved(groove: Groove, depth: float) -> float:
    """An arc that starts level at the root corner, then a wall that leaves it as a tangent."""
    if depth == 0:
        return 0.0
    slope, radius = _slope(groove), groove.radius
    wall = depth - radius * (1 - sin(slope))
    if wall < 0:
        raise GrooveError(f"The radius, {radius:g} mm, does not fit into a depth of {depth:g} mm.")
    arc = radius * radius * ((pi / 2 - slope) / 2 - sin(2 * slope) / 4)
    return arc + radius * cos(slope) * wall + wall * wall * tan(slope) / 2


def _flared(groove: Groove, depth: float) -> float:
    """Between a flat and a round edge of `radius`, filled to `depth` above the point where they touch."""
    radius = groove.radius
    if depth > radius:
        raise GrooveError(f"The depth, {depth:g} mm, is larger than the radius of the edge, {radius:g} mm.")
    return radius * depth - depth * sqrt(radius**2 - depth**2) / 2 - radius**2 / 2 * asin(depth / radius)


_PARTS: dict[str, tuple[int, Callable[[Groove, float], float]]] = {
    "v": (2, _straight),
    "bevel": (1, _straight),
    "u": (2, _curved),
    "j": (1, _curved),
    "flare_v": (2, _flared),
    "flare_bevel": (1, _flared),
}


def groove_from(joint: Facts) -> Groove:
    """The groove a joint states, as deep as its thinner member. Raises Lacking for what is missing or not one
    number, GrooveError for the rest."""
    shape = joint.choice("groove_type")
    if shape is None:
        raise Lacking(("groove_type",))
    wanted = {"thickness": "thickness_a", "gap": "root_opening"}
    if shape not in ("square", "flare_v", "flare_bevel"):
        wanted |= {"face": "root_face", "angle": "groove_angle"}
    if shape in _ROUND:
        wanted["radius"] = "groove_radius"
    found: dict[str, float] = {}
    needs: list[str] = []
    for name, key in wanted.items():
        value = joint.number(key)
        if value is None:
            needs.append(key)
        else:
            found[name] = float(value)
    if needs:
        raise Lacking(tuple(needs))
    other = joint.number("thickness_b")
    if other is not None:
        found["thickness"] = min(found["thickness"], float(other))
    return Groove(shape, **found)


def section_from(joint: Facts) -> float:
    """Area in mm² of the groove a joint states, with the fillet over it in a tee or corner. Raises Lacking
    also for a branch, along which the section changes, and for a fillet that is not one number."""
    groove = groove_from(joint)
    if joint.choices("branch") - {"none"}:
        raise Lacking(("branch",))
    if not joint.given("fillet_over_groove") or joint.choice("joint_form") not in _UPRIGHT:
        return groove_area(groove)
    leg = joint.number("fillet_over_groove")
    if leg is None:
        raise Lacking(("fillet_over_groove",))
    both = joint.is_only("sides_welded", "both")
    return groove_area(groove) + fillet_over_area(groove, float(leg), both=both)


def fillet_over_area(groove: Groove, leg: float, *, both: bool = False) -> float:
    """Area in mm² of the fillets laid over a groove in a tee or corner: triangles of the leg along the plate,
    and as high as the leg or the mouth of the groove, whichever is more; `both`, on both faces."""
    faces = [groove.depths[0]]
    if groove.shape in _DOUBLE:
        faces.append(groove.depths[1])
    elif both:
        faces.append(0.0)
    return sum(leg * max(leg, _mouth(groove, depth)) / 2 for depth in faces)


def _mouth(groove: Groove, depth: float) -> float:
    """How wide the groove is at a face where one member is prepared to that depth."""
    if groove.shape == "square" or not depth:
        return groove.gap
    slope = _slope(groove)
    _, part = _PARTS[groove.shape.removeprefix("double_")]
    if part is _straight:
        return groove.gap + depth * tan(slope)
    if part is _flared:
        _flared(groove, depth)  # refuses a depth beyond the radius
        return groove.gap + groove.radius - sqrt(groove.radius**2 - depth**2)
    _curved(groove, depth)  # refuses a radius that does not fit
    wall = depth - groove.radius * (1 - sin(slope))
    return groove.gap + groove.radius * cos(slope) + wall * tan(slope)
