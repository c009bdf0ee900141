"""A joint of a record as a section with its numbers, or the reason why it is not drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from qualification.rules.arithmetic.grooves import Groove, GrooveError
from qualification.rules.core.facts import Facts, Weld
from qualification.rules.core.values import Interval
from qualification.rules.variables.registry import registry
from qualification.rules.variables.special_welds import SPECIAL
from wps.documents.branch_sections import SET_IN, at_crotch, at_flank, fall_at_the_root
from wps.documents.joint_entries import (
    FILLETED,
    FLANK,
    MEASURED,
    Joint,
    all_of,
    is_span,
    joints_of,
    near,
    number_of,
    passes_of,
    words_of,
)
from wps.documents.joint_figure import Mark
from wps.documents.joint_geometry import FLARED, ONE_SIDED, ROUNDED, Section
from wps.documents.joint_marks import branch_marks, butt_marks, corner_marks, flank_marks, turned_marks
from wps.documents.joint_sections import Below, butt, corner, fillet, turned
from wps.documents.pass_layers import Passes
from wps.documents.weld_symbols import Symbol, symbol_of

THICKNESS, ANGLE = 10.0, 60.0
"""Drawn where a dimension is not stated, in mm and degrees: a shape, not a number."""
BOTH_PREPARED = frozenset(("v", "double_v", "u", "double_u", "flare_v"))
OF_A_CORNER = frozenset(("v", "u"))
"""Of these, what a corner is prepared with too: AWS D1.1 has single V and single U grooves of corner joints
among its prequalified ones (C-U2, C-U6; from memory)."""


@dataclass(frozen=True)
class Drawn:
    """A joint with its section and numbers, or why it is not drawn."""

    joint: Joint
    section: Section | None
    marks: tuple[Mark, ...]
    sure: bool
    notes: tuple[str, ...]
    words: Mapping[str, str] = field(default_factory=dict)
    symbol: Symbol | None = None
    root: tuple[str, ...] = ()
    """What lies at the root, in words; a figure among several leaves it to the entries beside it."""


@dataclass(frozen=True)
class Read:
    """What is read of a weld once for all its joints: facts, numbers, their words, and the passes."""

    facts: Facts
    lines: Sequence[Facts]
    stated: Mapping[str, float | None]
    words: Mapping[str, str]
    passes: Passes
    logged: bool

    def __getitem__(self, key: str) -> float | None:
        return self.stated[key]


def drawn_joints(
    weld: Weld, shown: str, is_iso: bool, log: Sequence[Mapping[str, str]] = (), units: str = ""
) -> tuple[Drawn, ...]:
    """Every joint of a weld; numbers in the unit system `shown`, `log` and its readings in `units`."""
    passes, logged = passes_of(weld.lines, log, units or shown)
    read = Read(
        weld.joint,
        weld.lines,
        {key: number_of(weld.joint, key) for key in MEASURED},
        {key: words_of(weld.joint, key, shown) for key in MEASURED},
        passes,
        logged,
    )
    shares = _shares(read)
    depth = _depth_words(read, shown)
    found = (_drawn(each, read) for each in joints_of(weld.joint))
    return tuple(
        replace(
            each,
            notes=(*each.notes, *(shares if each.section else ())),
            symbol=symbol_of(
                each.joint.groove,
                weld.joint,
                weld.lines,
                each.words,
                is_iso=is_iso,
                melts=melts_through(weld.joint, weld.lines),
                depth=depth,
            ),
        )
        for each in found
    )


def _depth_words(read: Read, shown: str) -> str:
    """Depth of preparation of a groove that is not to be penetrated, where thickness and root face are each
    one number."""
    thick, face = read.facts["thickness_a"], read.facts["root_face"]
    if all_of(read.facts, "penetration") != ["partial"]:
        return ""
    if not (isinstance(thick, Interval) and isinstance(face, Interval) and thick.is_point and face.is_point):
        return ""
    if thick.low is None or face.low is None or thick.low <= face.low:
        return ""
    return words_of(Facts({"thickness_a": Interval.point(thick.low - face.low)}), "thickness_a", shown)


def _shares(read: Read) -> tuple[str, ...]:
    """Which passes each process lays: `1 GTAW, 2–6 GMAW`; nothing where one process has one pass."""
    if len(read.passes) < 2:
        return ()
    said: list[str] = []
    rest = list(read.passes.passes)
    while rest:
        line, first = rest[0].line, rest[0].number
        while rest and rest[0].line == line:
            last = rest.pop(0).number
        process = next(iter(all_of(read.lines[line], "process")), "") if line < len(read.lines) else ""
        said.append(f"{first}{f'–{last}' if last > first else ''} {process}".strip())
    return (", ".join(said),)


def _drawn(joint: Joint, read: Read) -> Drawn:
    if joint.groove in SPECIAL:
        return Drawn(joint, None, (), False, ("Not drawn: attach a sketch.",), read.words)
    try:
        if joint.groove == "fillet":
            return _fillet(joint, read)
        return _groove(joint, read)
    except GrooveError as refusal:
        return Drawn(joint, None, (), False, (f"Not drawn: {refusal}",), read.words)


def _groove(joint: Joint, read: Read) -> Drawn:
    thick = [t for t in (read["thickness_a"], read["thickness_b"]) if t]
    thin, other = min(thick, default=THICKNESS), max(thick, default=THICKNESS)
    shape = joint.groove or "square"
    straight = shape == "square" or shape in FLARED
    gap, face, angle = read["root_opening"], read["root_face"], read["groove_angle"]
    groove = Groove(
        shape,
        thin,
        gap=thin / 6 if gap is None else gap,
        face=0.0 if straight else (thin / 6 if face is None else face),
        angle=0.0 if straight else (ANGLE / (2 if shape in ONE_SIDED else 1) if angle is None else angle),
        radius=(read["groove_radius"] or (thin if shape in FLARED else thin / 4))
        if shape in (*ROUNDED, *FLARED)
        else 0.0,
    )
    needed = ["thickness_a", "root_opening"]
    needed += [] if straight else ["root_face", "groove_angle"]
    needed += ["groove_radius"] if shape in (*ROUNDED, *FLARED) else []
    needed += ["diameter", "run_diameter"] if joint.plane == FLANK else []
    notes = [] if all(read[key] is not None for key in needed) else ["not to scale: not all is stated"]
    below, root = _below(read)
    leg, both = read["fillet_over_groove"], all_of(read.facts, "sides_welded") == ["both"]
    of_both = joint.form == "corner" and shape in OF_A_CORNER
    if joint.form in ("tee", "corner") and shape in BOTH_PREPARED and not of_both:
        raise GrooveError(
            f"{_a(shape)} groove prepares both members, and one side of a tee, corner or branch stays whole."
            " Choose a bevel or J groove, or a butt joint."
        )
    if joint.branch:
        section, marks = _branch(joint, read, groove, below, leg)
    elif of_both:
        section = corner(
            groove, other, read.passes, below, contour=next(iter(all_of(read.facts, "contour")), "")
        )
        marks = tuple(corner_marks(groove, section, other, read.words))
    elif joint.form in ("tee", "corner"):
        section = turned(groove, other, read.passes, joint.form == "corner", below, leg=leg, both=both)
        marks = tuple(turned_marks(groove, section, other, read.words, leg))
    else:
        contour = next(iter(all_of(read.facts, "contour")), "")
        section = butt(groove, other, read.passes, below, taper=read["taper"], contour=contour)
        marks = tuple(butt_marks(groove, section, other, read.words))
        if other > thin:
            slope = read.words["taper"]
            notes.append(f"taper {slope} to 1" if slope else "taper not stated, drawn 3 to 1")
        if all_of(read.facts, "product_form") == ["pipe"] and read.words["diameter"]:
            notes.append(f"wall of pipe, outside diameter {read.words['diameter']}")
    return Drawn(joint, section, marks, bool(joint.groove), tuple(notes), read.words, root=tuple(root))


def _a(groove: str) -> str:
    label = registry()["groove_type"].choice_label(groove)
    return f"A {label[:1].lower()}{label[1:]}"


def _branch(
    joint: Joint, read: Read, groove: Groove, below: Below, leg: float | None
) -> tuple[Section, tuple[Mark, ...]]:
    run, branch = (read[key] or groove.thickness for key in ("thickness_a", "thickness_b"))
    if joint.plane == FLANK:
        over, outside = read["diameter"], read["run_diameter"]
        if not over or not outside:
            raise GrooveError("The flank needs the outside diameters of the branch and of the run pipe.")
        section = at_flank(groove, (run, branch), (outside, over), read.passes, leg)
        falls = fall_at_the_root(outside, over, branch)
        return section, tuple(flank_marks(groove, (run, branch), falls, section, read.words, leg))
    section = at_crotch(joint.branch, groove, run, branch, read.passes, below, leg)
    is_set_in = joint.branch == SET_IN
    return section, tuple(branch_marks(is_set_in, groove, (run, branch), section, read.words, leg))


def _below(read: Read) -> tuple[Below, list[str]]:
    """What lies at the root, and what the caption says of it."""
    claimed = {key for line in read.lines for key in all_of(line, "backing")}
    gouged = bool(set(all_of(read.facts, "back_gouging")) - {"none"})
    insert = any(all_of(line, "consumable_insert") == ["yes"] for line in read.lines)
    notes = ["insert drawn as a shape"] if insert else []
    backing = next((each for each in ("metal", "flux") if each in claimed), "")
    if not backing:
        backing = (
            "retainer"
            if "used" in all_of(read.facts, "retainer")
            else "gouged"
            if gouged
            else "weld_metal"
            if claimed == {"weld_metal"} and len(read.lines) == 1
            else ""
        )
    if backing:
        said = {
            "metal": "backing stays",
            "flux": "flux backing",
            "retainer": "retainer",
            "gouged": "back-gouged",
            "weld_metal": "backing weld",
        }[backing]
        material = next(
            (str(line["backing_material"]) for line in read.lines if line.given("backing_material")), ""
        )
        said += f", {material}" if backing == "metal" and material else ""
        said += f" {read.words['gouge_depth']} deep" if backing == "gouged" and read["gouge_depth"] else ""
        notes.append(said)
    melted = melts_through(read.facts, read.lines)
    return Below(backing, read["gouge_depth"], insert, melted and not backing), notes


def melts_through(facts: Facts, lines: Sequence[Facts]) -> bool:
    """Whether the root stands out below: full penetration from one side with nothing behind it."""
    root = lines[0] if lines else Facts({})
    return (
        all_of(facts, "penetration") == ["complete"]
        and all_of(facts, "sides_welded") == ["one"]
        and all_of(root, "backing") == ["none"]
        and all_of(facts, "retainer") in ([], ["none"])
        and all_of(facts, "back_gouging") in ([], ["none"])
    )


def _fillet(joint: Joint, read: Read) -> Drawn:
    facts = read.facts
    leg = read["fillet_size"] or THICKNESS * 0.6
    plate = near(facts, "thickness_a", leg) or max(leg, THICKNESS * 0.8)
    upright = near(facts, "thickness_b", leg) or plate
    sure = joint.form in FILLETED
    if joint.form == "lap" and not (read["thickness_b"] and read["fillet_size"]):
        upright = max(upright, leg)
    if is_span(facts, "fillet_size") and joint.form == "lap":
        leg = min(leg, upright)
    both = all_of(facts, "sides_welded") == ["both"]
    contour = next(iter(all_of(facts, "contour")), "")
    passes = read.passes
    if both and read.logged and joint.form in ("tee", "lap"):  # the log has the passes of both sides
        passes = passes.split(0.5)[0]
    section = fillet(joint.form, leg, plate, upright, both, passes, contour=contour)
    marks = []
    if read.words["fillet_size"] and joint.form != "edge":
        x = 0.0 if joint.form == "lap" else upright / 2
        marks.append(Mark("down", read.words["fillet_size"], (x + leg, 0.0), (x, leg)))
    base = section.members[1]
    if read.words["thickness_a"] and joint.form != "edge":
        xs = [x for x, _ in base]
        wide = max(xs) - min(xs)
        at = (min(xs) + 0.22 * wide, -plate / 2)
        marks.append(Mark("word", read.words["thickness_a"], at, (0.4 * wide, plate)))
    if read.words["thickness_b"] not in ("", read.words["thickness_a"]) and joint.form != "edge":
        at = (-1.2 * plate, upright / 2) if joint.form == "lap" else (0.0, leg + 0.55 * upright)
        marks.append(Mark("word", read.words["thickness_b"], at, (upright, upright)))
    notes = [] if read["fillet_size"] and read["thickness_a"] else ["not to scale: not all is stated"]
    return Drawn(joint, section, tuple(marks), sure, tuple(notes), read.words)
