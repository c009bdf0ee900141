"""What a record says of its joints, read for the drawing: which joints there are, their numbers, and the
passes as its log or its layers have them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from qualification.records.pass_log import read_reading
from qualification.rules.core.facts import Facts
from qualification.rules.entries.reading import EntryError
from qualification.rules.entries.wording import say_value
from qualification.rules.variables.registry import registry
from qualification.rules.variables.special_welds import SPECIAL
from wps.documents.branch_sections import SET_ON
from wps.documents.joint_geometry import ONE_SIDED
from wps.documents.pass_layers import Pass, Passes

GROOVED, FILLETED = ("butt", "tee", "corner"), ("tee", "corner", "lap", "edge")
CROTCH, FLANK = "crotch", "flank"
MOST_PASSES, MOST_LOGGED = 12, 80
"""Passes that layers alone speak of beyond which numbers would not be read, and rows of a log."""
SEVERAL = re.compile(r"^(\d+)\s*(?:-|–|to)\s*(\d+)$")
"""A row of the log that stands for several passes: 5-11."""
OF_A_LAYER = re.compile(r"^(\d+)\s*(?:\.\s*\d+|[a-z])$", re.IGNORECASE)
"""A pass named by its layer: 2a, 2.1."""
MEASURED = (
    "thickness_a",
    "thickness_b",
    "groove_angle",
    "root_opening",
    "root_face",
    "groove_radius",
    "fillet_size",
    "fillet_over_groove",
    "gouge_depth",
    "taper",
    "diameter",
    "run_diameter",
    "throat",
)


@dataclass(frozen=True)
class Joint:
    """One joint to draw: its form, and the groove or what is welded in place of one. `branch` is how a branch
    joins its run pipe, and `plane` in which of its two planes it is drawn."""

    form: str
    groove: str
    also: str = ""
    """A second form that looks the same."""
    branch: str = ""
    plane: str = ""

    @property
    def words(self) -> str:
        if self.groove in SPECIAL:
            return registry()["weld_type"].choice_label(self.groove)
        form = registry()["joint_form"].choice_label(self.form) if self.form else "Joint not stated"
        if self.branch:
            form = f"Branch {registry()['branch'].choice_label(self.branch).lower()}, {self.plane}"
        form += f", {self.also}" if self.also else ""
        if self.groove == "fillet":
            return f"{form}, fillet"
        groove = registry()["groove_type"].choice_label(self.groove) if self.groove else "groove not stated"
        return f"{form}, {groove[:1].lower()}{groove[1:]}"


def joints_of(joint: Facts) -> tuple[Joint, ...]:
    """The joints a record speaks of, each to be drawn."""
    forms, kinds = all_of(joint, "joint_form"), all_of(joint, "weld_type")
    grooves = all_of(joint, "groove_type") or [""]
    branches = [each for each in all_of(joint, "branch") if each != "none"]
    found: list[Joint] = []
    if "groove" in kinds or not kinds:
        if branches:
            found += [each for kind in branches for each in _branches(kind, _on_a_plate(grooves))]
            forms = [form for form in forms if form not in ("tee", "corner")]
        if not branches or "butt" in forms:
            grooved = [form for form in GROOVED if form in forms] or [""]
            found += [Joint(grooved[0], groove) for groove in grooves]
            found += [Joint(form, _on_a_plate(grooves)) for form in grooved[1:] if "fillet" not in kinds]
    if "fillet" in kinds:
        welded = [form for form in FILLETED if form in forms]
        if "tee" in welded and "corner" in welded and len(found) + len(welded) > IN_A_ROW:
            welded.remove("corner")  # the same weld; the tee is named for both
        found += [Joint(form, "fillet") for form in welded or ([] if branches and found else [""])]
    found += [Joint("", kind) for kind in kinds if kind in SPECIAL]
    return tuple(
        replace(each, also="corner")
        if each == Joint("tee", "fillet") and "corner" in forms and Joint("corner", "fillet") not in found
        else each
        for each in found
    )


IN_A_ROW = 4
"""How many figures stand side by side on a paper."""


def _branches(kind: str, groove: str) -> list[Joint]:
    crotch = Joint("tee", groove, branch=kind, plane=CROTCH)
    return [crotch, replace(crotch, plane=FLANK)] if kind == SET_ON else [crotch]


def _on_a_plate(grooves: Sequence[str]) -> str:
    return next((each for each in grooves if each in ONE_SIDED), grooves[0])


def all_of(facts: Facts, key: str) -> list[str]:
    """Claimed choices in the order of the registry."""
    return [c.key for c in registry()[key].choices if c.key in facts.choices(key)]


def number_of(facts: Facts, key: str) -> float | None:
    """One number to draw by: the middle of what is stated, in canonical units."""
    ends = facts.ends(key)
    return float(sum(ends)) / 2 if ends else None


def near(facts: Facts, key: str, leg: float) -> float | None:
    """The thickness to draw a fillet's member by: of what is stated, what lies nearest to somewhat more than
    the leg, so that the weld is not lost on the thickest plates of a range."""
    if not (ends := facts.ends(key)):
        return None
    least, most = ends
    return min(max(1.25 * leg, float(least)), float(most))


def is_span(facts: Facts, key: str) -> bool:
    value = facts.interval(key)
    return value is not None and not value.is_point


def words_of(facts: Facts, key: str, system: str) -> str:
    """The number as it stands on the drawing: in one unit, a span with a dash; empty where none is stated."""
    if number_of(facts, key) is None:
        return ""
    said = say_value(key, facts[key], system).split(" (")[0]
    for unit in (" in", " mm"):
        said = said.removesuffix(unit)
    return said.replace(" to ", "–").replace("°–", "–")


def passes_of(
    lines: Sequence[Facts], log: Sequence[Mapping[str, str]] = (), system: str = "us"
) -> tuple[Passes, bool]:
    """The passes to lay, and whether they are those of the log: without one the layers stated, or those the
    thickest pass allows; one for a line where neither is."""
    if logged := _logged(lines, log, system):
        return logged, True
    found: list[Pass] = []
    for at, line in enumerate(lines or (Facts({}),)):
        layers, deposit, thickest = (
            number_of(line, key) for key in ("layers", "deposit_thickness", "max_pass_thickness")
        )
        count = layers or (math.ceil(deposit / thickest - 1e-9) if deposit and thickest else 1)
        for _ in range(max(1, min(int(count), MOST_PASSES))):
            found.append(Pass(len(found) + 1, at, layer=len(found) + 1))
    return Passes(tuple(found)), False


def _logged(lines: Sequence[Facts], log: Sequence[Mapping[str, str]], system: str) -> Passes | None:
    """The rows of a pass log, each with its process line and, where every row gives them, its share by the
    wire fed into a length of weld."""
    rows = [row for row in log[:MOST_LOGGED] if any(str(text).strip() for text in row.values())]
    names = [row.get("pass", "").strip() for row in rows]
    counts = [_count(name) for name in names]
    if sum(counts) < 2 or sum(counts) > MOST_LOGGED:
        return None
    fed = [_fed(row, lines, system) for row in rows]
    known = all(fed)
    layers = [OF_A_LAYER.match(name) for name in names]
    by_layer = all(layers) or (
        any(layers) and all(each or name.isdecimal() for each, name in zip(layers, names, strict=True))
    )
    found: list[Pass] = []
    for row, name, count, area, layer in zip(rows, names, counts, fed, layers, strict=True):
        for _ in range(count):
            of = int(layer[1] if layer else name) if by_layer else None
            found.append(Pass(len(found) + 1, _line_of(row, lines), area if known and area else 1.0, of))
    if not by_layer and (layered := _spread(found, lines)):
        found = layered
    return Passes(tuple(found), level=False)


def _count(name: str) -> int:
    match = SEVERAL.match(name)
    return max(1, int(match[2]) - int(match[1]) + 1) if match else 1


def _line_of(row: Mapping[str, str], lines: Sequence[Facts]) -> int:
    said = row.get("process", "").strip().upper()
    return next((at for at, line in enumerate(lines) if said and said in all_of(line, "process")), 0)


def _fed(row: Mapping[str, str], lines: Sequence[Facts], system: str) -> float:
    """Section in mm² of the wire laid into a length of weld; 0 where a reading is missing."""

    def reading(key: str) -> float:
        try:
            value = read_reading(key, row.get(key, ""), system)
        except EntryError:
            return 0.0
        return float(value.low + value.high) / 2 if value and value.low and value.high else 0.0

    travel, feed = reading("travel_speed"), reading("wire_feed")
    at = _line_of(row, lines)
    wide = reading("filler_diameter") or (number_of(lines[at], "filler_diameter") if at < len(lines) else 0.0)
    return math.pi / 4 * wide**2 * feed / travel if travel and feed and wide else 0.0


def _spread(passes: Sequence[Pass], lines: Sequence[Facts]) -> list[Pass] | None:
    """Passes over the layers that every line states, the upper ones taking what is left over; nothing where
    one does not, or has fewer passes than layers."""
    found: list[Pass] = []
    done = 0
    for at, line in enumerate(lines):
        own, layers = [each for each in passes if each.line == at], number_of(line, "layers")
        if not own:
            continue
        if not layers or layers > len(own):
            return None
        count = int(layers)
        base, more = divmod(len(own), count)
        rest = iter(own)
        for layer in range(count):
            for _ in range(base + (1 if layer >= count - more else 0)):
                found.append(replace(next(rest), layer=done + layer + 1))
        done += count
    ordered = [each.number for each in found] == [each.number for each in passes]
    return found if ordered and found else None
