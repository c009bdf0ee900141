"""The section through a welded joint in mm, built from its dimensions: members, backing, inserts, and the
passes laid between them. What is drawn is what is computed: the passes add up to the area of the weld.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from qualification.rules.arithmetic.grooves import Groove, GrooveError
from wps.documents.joint_geometry import (
    DOUBLE,
    ROUNDED,
    Bead,
    Point,
    Polygon,
    Section,
    back_at,
    edges_of,
    segment,
)
from wps.documents.pass_layers import Passes, Place, Profile, beads_in, fillet_beads

TAPER = 3.0
"""Run to rise by which a thicker member is drawn to the groove where none is stated; a paper says so."""
CAP = 0.1
"""Height of the cap by the width of the groove, at most a tenth of the thickness: a look, not a number."""
FLUSH, CONCAVE = "flush", "concave"


@dataclass(frozen=True)
class Below:
    """What lies at the root of a groove: `backing` is metal, flux, retainer, weld metal or gouged; the depth
    of a gouge in mm where it is stated; whether an insert melts into the root, and whether the root pass
    stands out below."""

    backing: str = ""
    gouge: float | None = None
    insert: bool = False
    melt_through: bool = False


BARE = Below()


def groove_profiles(groove: Groove) -> tuple[Profile, ...]:
    """The space between the edges from the root up; of a double groove both sides, the front one first."""
    left, right = edges_of(groove)
    half, thickness = groove.gap / 2, groove.thickness
    root = groove.depths[1] if groove.shape in DOUBLE else 0.0
    heights = sorted({y for y, _ in (*left, *right)})

    def profile(levels: Sequence[float]) -> Profile:
        return Profile(
            tuple(abs(y - root) for y in levels),
            tuple(half + back_at(left, y) for y in levels),
            tuple(half + back_at(right, y) for y in levels),
        )

    front = profile([root, *(y for y in heights if y > root)])
    if groove.shape not in DOUBLE or not root < thickness:
        return (front,)
    back = profile([root, *(y for y in reversed(heights) if y < root)])
    return front, back


def groove_beads(
    groove: Groove, passes: Passes, contour: str = ""
) -> tuple[tuple[Bead, ...], tuple[Bead, ...]]:
    """Passes between the edges, and the caps on them. Of a double groove the second side is laid downwards,
    after the first."""
    profiles = groove_profiles(groove)
    root = groove.depths[1] if groove.shape in DOUBLE else 0.0
    if len(profiles) == 1 or len(passes) < 2:
        beads = tuple(
            bead
            for side, profile in zip((1, -1), profiles, strict=False)
            for bead in beads_in(profile, passes, _placed(root, side))
        )
    else:
        front, back = (profile.area(0.0, profile.top) for profile in profiles)
        first, second = passes.split(front / (front + back))
        beads = (
            *beads_in(profiles[0], first, _placed(root, 1)),
            *beads_in(profiles[1], second, _placed(root, -1)),
        )
    return beads, _caps(groove, beads, contour)


def _placed(root: float, side: int) -> Place:
    return lambda across, height: (across, root + side * height)


def _caps(groove: Groove, beads: Sequence[Bead], contour: str) -> tuple[Bead, ...]:
    if contour in (FLUSH, CONCAVE) or not beads:
        return ()
    left, right = edges_of(groove)
    half, thickness = groove.gap / 2, groove.thickness
    top = half + left[-1][1], half + right[-1][1]
    upper = max(beads, key=lambda bead: (max(y for _, y in bead.outline), bead.number))
    height = min(CAP * sum(top), thickness / 10)
    caps = [replace(upper, outline=segment(-top[0], top[1], thickness, height))]
    if groove.shape in DOUBLE:
        low = segment(-half - left[0][1], half + right[0][1], 0.0, height)
        caps.append(replace(beads[-1], outline=tuple((x, -y) for x, y in low)))
    return tuple(caps)


def butt(
    groove: Groove,
    other: float,
    passes: Passes,
    below: Below = BARE,
    *,
    taper: float | None = None,
    contour: str = "",
) -> Section:
    """A butt joint; `other` is the thickness of the second member, `groove.thickness` the thinner's, `taper`
    the run to rise by which the thicker one comes down to the groove."""
    left, right = edges_of(groove)
    beads, caps = groove_beads(groove, passes, contour)
    half, thin, thick = groove.gap / 2, groove.thickness, max(other, groove.thickness)
    run = (TAPER if taper is None else taper) * (thick - thin)
    beside = 1.0 if groove.shape in ROUNDED else 0.5  # the radius stands in the member
    near, far = (max(half + edge[-1][1] + beside * thin, half + 1.15 * thin) for edge in (left, right))
    reach = far + (run + 0.3 * thin if thick > thin else 0.0)
    members = (
        ((-near, 0.0), *((-half - back, y) for y, back in left), (-near, thin)),
        (
            (reach, 0.0),
            *((half + back, y) for y, back in right),
            *(((half + right[-1][1] + run, thick),) if thick > thin else ()),
            (reach, thick),
        ),
    )
    solid, loose, roots = _at_root(below, groove)
    if roots and beads:
        caps = (*caps, *(replace(beads[0], outline=each) for each in roots))
    inserts = _insert(groove) if below.insert else ()
    return Section(members, beads, caps, solid, loose, inserts)


def corner(
    groove: Groove, upright: float, passes: Passes, below: Below = BARE, *, contour: str = ""
) -> Section:
    """A corner of which both members are prepared: the second goes down from the edge of the first. Raises
    GrooveError where the groove takes more than its thickness."""
    flat = butt(groove, groove.thickness, passes, below, contour=contour)
    _, right = edges_of(groove)
    half, thin = groove.gap / 2, groove.thickness
    if right[-1][1] >= upright:
        raise GrooveError(
            f"The groove takes {right[-1][1]:g} mm of the upright member, which is {upright:g} mm thick."
        )
    outside, low = half + upright, -1.2 * thin
    member = (
        (outside, low),
        (half, low),
        *((half + back, y) for y, back in right),
        (outside, thin),
    )

    def inside(blocks: Sequence[Polygon]) -> tuple[Polygon, ...]:
        return tuple(tuple((min(x, half), y) for x, y in block) for block in blocks)

    members = (flat.members[0], member)
    return replace(flat, members=members, backing=inside(flat.backing), loose=inside(flat.loose))


def _at_root(
    below: Below, groove: Groove
) -> tuple[tuple[Polygon, ...], tuple[Polygon, ...], tuple[Polygon, ...]]:
    """What lies below the root: backing that stays, what is drawn in broken lines, and weld metal that
    stands out."""
    half, thin = groove.gap / 2, groove.thickness
    wide, deep = half + 0.8 * thin, 0.6 * thin
    block = ((-wide, 0.0), (wide, 0.0), (wide, -deep), (-wide, -deep))
    bulge = tuple((x, -y) for x, y in segment(-half - thin / 10, half + thin / 10, 0.0, 0.08 * thin))
    if below.backing == "metal":
        return (block,), (), ()
    if below.backing in ("flux", "retainer"):
        return (), (block,), ()
    if below.backing == "weld_metal":
        wide = half + 0.35 * thin
        return (tuple((x, -y) for x, y in segment(-wide, wide, 0.0, 0.15 * thin)),), (), ()
    if below.backing == "gouged":
        depth = 0.35 * thin if below.gouge is None else below.gouge
        if depth >= thin:
            raise GrooveError(f"The back gouge, {depth:g} mm deep, goes through the metal, {thin:g} mm.")
        wide = max(half, depth)
        return (), (segment(-wide, wide, 0.0, depth),), ()
    return (), (), (bulge,) if below.melt_through else ()


def _insert(groove: Groove) -> tuple[Polygon, ...]:
    """An insert in the root: a shape, since no record states its section; as wide as the root opening where
    there is one."""
    high = max(groove.face, 0.12 * groove.thickness)
    wide = max(groove.gap / 2, 0.06 * groove.thickness)
    low = -0.08 * groove.thickness
    return (((-wide, high), (wide, high), (wide, low), (-wide, low)),)


def turned(
    groove: Groove,
    plate: float,
    passes: Passes,
    corner: bool,
    below: Below = BARE,
    *,
    leg: float | None = None,
    both: bool = False,
) -> Section:
    """A groove in a tee or corner: the butt turned a quarter, the prepared member upright on a plate. `leg`
    is that of the fillet laid over the groove, on both faces where both are welded. Raises GrooveError where
    the fillet would not cover the groove."""
    _, right = edges_of(groove)
    half, upright = groove.gap / 2, groove.thickness
    faces = [(1, groove.gap + right[-1][1])]
    if groove.shape in DOUBLE or both:
        faces.append((-1, groove.gap + right[0][1]))
    laid, over = _shared_out(groove, passes, leg, faces)
    beads, _ = groove_beads(groove, laid)
    reach = half + right[-1][1] + 1.1 * upright + (leg or 0.0)
    wide = upright + right[-1][1] + (leg or 0.0)
    start = 0.0 if corner else -wide

    def turn(points: Sequence[Point]) -> Polygon:
        return tuple((y, x + half) for x, y in points)

    member = turn([(reach, 0.0), *((half + back, y) for y, back in right), (reach, upright)])
    base = ((start, 0.0), (upright + wide, 0.0), (upright + wide, -plate), (start, -plate))
    fillets = [
        bead
        for (side, high), part in zip(faces, over, strict=False)
        for bead in fillet_beads(
            leg or 0.0, part, _corner(upright if side > 0 else 0.0, side), max(leg or 0.0, high)
        )
    ]
    solid, loose, _ = _at_root(below, groove)
    return Section(
        (member, base),
        (*(replace(each, outline=turn(each.outline)) for each in beads), *fillets),
        backing=tuple(_behind(groove, plate) for _ in solid) if below.backing == "metal" else (),
        loose=tuple(_behind(groove, plate) for _ in loose) if below.backing in ("flux", "retainer") else (),
        inserts=tuple(turn(each) for each in _insert(groove)) if below.insert else (),
    )


def _corner(x: float, side: int) -> Place:
    return lambda along, up: (x + side * along, up)


def _shared_out(
    groove: Groove, passes: Passes, leg: float | None, faces: Sequence[tuple[int, float]]
) -> tuple[Passes, tuple[Passes, ...]]:
    """Passes of the groove, and of the fillet on each face; one pass that is all there is lays both."""
    if leg is None:
        return passes, ()
    areas = [leg * max(leg, high) / 2 for _, high in faces]
    within = sum(each.area(0.0, each.top) for each in groove_profiles(groove))
    first, rest = passes.split(within / (within + sum(areas))) if len(passes) > 1 else (passes, passes)
    if len(faces) == 1 or len(rest) < 2:
        return first, (rest,) * len(faces)
    return first, rest.split(areas[0] / sum(areas))


def _behind(groove: Groove, plate: float) -> Polygon:
    """A bar in the corner behind the root."""
    deep, high = 0.6 * groove.thickness, groove.gap + 0.8 * groove.thickness
    return ((0.0, 0.0), (0.0, high), (-deep, high), (-deep, 0.0))


def fillet(
    form: str,
    leg: float,
    plate: float,
    upright: float,
    both: bool,
    passes: Passes,
    *,
    contour: str = "",
) -> Section:
    """A fillet in a tee, corner, lap or edge joint; of both sides each has the passes. Raises GrooveError
    where the leg does not fit the lap."""
    second = replace(
        passes,
        passes=tuple(replace(each, number=each.number + len(passes)) for each in passes.passes),
    )
    if form == "edge":
        high = 4 * max(plate, upright)
        plates = (
            ((-plate, 0.0), (0.0, 0.0), (0.0, -high), (-plate, -high)),
            ((0.0, 0.0), (upright, 0.0), (upright, -high), (0.0, -high)),
        )
        cap = segment(-plate, upright, 0.0, min(leg, (plate + upright) / 2))
        return Section(plates, (Bead(cap, 1, passes.passes[0].line),))
    if form == "lap":
        return _lap(leg, plate, upright, both, passes, second, contour)
    half, beyond = upright / 2, 0.9 * max(upright, plate)
    high, long = leg + 1.1 * upright, half + leg + beyond
    start = -half if form == "corner" else -long if both else -half - beyond
    members = (
        ((-half, 0.0), (half, 0.0), (half, high), (-half, high)),
        ((start, 0.0), (long, 0.0), (long, -plate), (start, -plate)),
    )
    beads = fillet_beads(leg, passes, _corner(half, 1))
    caps = _convex(leg, half, 1, beads, contour)
    if both and form != "corner":
        others = fillet_beads(leg, second, _corner(-half, -1))
        beads, caps = (*beads, *others), (*caps, *_convex(leg, -half, -1, others, contour))
    return Section(members, beads, caps)


def _lap(
    leg: float, plate: float, upright: float, both: bool, passes: Passes, second: Passes, contour: str
) -> Section:
    if leg > upright:
        raise GrooveError(
            f"A fillet leg of {leg:g} mm stands above the edge of the lapping plate, {upright:g} mm."
        )
    beyond = 1.5 * max(plate, upright, leg)
    long, right = (2 * beyond, 2 * beyond) if both else (1.5 * beyond, leg + beyond)
    low = -long * (0.7 if both else 1)
    top = ((0.0, 0.0), (-long, 0.0), (-long, upright), (0.0, upright))
    under = ((low, 0.0), (right, 0.0), (right, -plate), (low, -plate))
    beads = fillet_beads(leg, passes, _corner(0.0, 1))
    caps = _convex(leg, 0.0, 1, beads, contour)
    if both and leg <= plate:
        others = fillet_beads(leg, second, lambda along, up: (-long * 0.7 - along, -up))
        beads = (*beads, *others)
    return Section((top, under), beads, caps)


def _convex(leg: float, x: float, side: int, beads: Sequence[Bead], contour: str) -> tuple[Bead, ...]:
    """The swell of a convex face, beyond the legs' triangle and no part of it."""
    if contour != "convex" or not beads:
        return ()
    long, turn = leg * 2**0.5, 0.5**0.5
    bow = segment(0.0, long, 0.0, CAP * long)
    # Along the face from the lower member up, and outwards from it.
    placed = tuple((x + side * (leg - along * turn + out * turn), (along + out) * turn) for along, out in bow)
    return (replace(beads[-1], outline=placed),)
