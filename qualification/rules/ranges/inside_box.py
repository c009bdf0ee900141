"""Does a weld lie inside what a procedure claims?

The procedure is a box, and the weld one joint that wants to be in it. This is not a rule of a code: a shop
that welds outside its own written procedure has no procedure for the weld, whatever its tests would cover.
What the drawing of a weld leaves open is welded as the procedure says, except what only the drawing can say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..core.facts import Facts, Weld
from ..core.findings import Verdict
from ..core.values import MISSING, NOT_APPLICABLE, Absent, Interval, Stated
from ..entries.derive import ALIKE
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..variables.absence import has_none
from ..variables.definition import Level, RecordKind, ValueKind
from ..variables.limits import NONE_OF_IT
from ..variables.metal_systems import SYSTEMS, MetalSystem
from ..variables.registry import registry

ONLY_DRAWN = frozenset(
    {
        "weld_type",
        "base_metal_a",
        "base_metal_b",
        "thickness_a",
        "thickness_b",
        "product_form",
        "diameter",
        "position",
        "toughness_required",
    }
)
"""What a drawing has to say of a weld; a procedure cannot choose it."""
SIDED = frozenset(
    {
        "base_metal",
        "thickness",
        "temper",
        *(stem for s in SYSTEMS.values() for stem in (s.stem, s.sub_stem) if stem),
    }
)
"""Variables stated of side A and of side B; which side is called A is an accident of the drawing."""

METALS = ("base_metal_a", "base_metal_b")
GROUPS = frozenset(key for system in SYSTEMS.values() for key in system.variables)
"""Every variable that says in which group a metal is."""


@dataclass(frozen=True)
class BoxFinding:
    """One variable of the weld held against the procedure's claim."""

    variable: str
    verdict: Verdict
    found: Stated
    claimed: Stated
    line: int | None
    """Process line of the procedure, counted from 0; `None` for the joint."""
    because: str


def inside_box(part: Weld, spec: Weld, edition: Edition) -> tuple[BoxFinding, ...]:
    """Every variable the weld states, or has to state, against what the procedure claims for it."""
    whole = group(part, edition)
    either_way = (_joint(joint, spec.joint, edition.metals) for joint in (whole.joint, turned(whole.joint)))
    joint = min(either_way, key=lambda findings: sorted((f.verdict for f in findings), reverse=True))
    return (*joint, *_lines(part, spec))


def verdict_of(findings: tuple[BoxFinding, ...]) -> Verdict:
    """The worst of the findings; a weld that states nothing is unknown."""
    return max((f.verdict for f in findings), default=Verdict.UNKNOWN)


def as_welded(part: Weld, spec: Weld) -> Weld:
    """The weld as it will be made by that procedure: what the drawing states, and else its claim.

    A deposit the drawing leaves open cannot be thicker than the joint it fills (geometry)."""
    joint = Facts({**spec.joint, **part.joint})
    lines = []
    for index, claimed in enumerate(spec.lines):
        own = part.lines[index] if len(part.lines) == len(spec.lines) else Facts()
        lines.append(Facts({**claimed, **own, **_deposit(joint, claimed, own)}))
    if part.joint.given("thickness_a") or part.joint.given("thickness_b"):
        joint = joint.including({ALIKE: part.joint[ALIKE]})
    return Weld(joint, tuple(lines), part.name)


def _deposit(joint: Facts, claimed: Facts, own: Facts) -> Mapping[str, Stated]:
    sides, deposit = [joint["thickness_a"], joint["thickness_b"]], claimed["deposit_thickness"]
    tops = [side.high for side in sides if isinstance(side, Interval) and side.high is not None]
    if own.given("deposit_thickness") or not isinstance(deposit, Interval) or not tops:
        return {}
    narrowed = deposit.intersect(Interval(None, max(tops)))
    return {"deposit_thickness": narrowed} if narrowed is not None else {}


def turned(joint: Facts) -> Facts:
    """The joint with its sides called the other way round."""
    swapped = {}
    for key, value in joint.items():
        stem, _, side = key.rpartition("_")
        swapped[f"{stem}_{'b' if side == 'a' else 'a'}" if stem in SIDED and side in ("a", "b") else key] = (
            value
        )
    return Facts(swapped)


@cache
def compared(level: Level) -> tuple[str, ...]:
    """The variables of a joint or of a line that a weld and a procedure both state. Text is for people to
    compare; groups are compared with their metal."""
    return tuple(
        v.key
        for v in registry().values()
        if v.level is level
        and not v.derived
        and {RecordKind.SPEC, RecordKind.PART} <= v.uses
        and v.kind is not ValueKind.TEXT
        and v.key not in GROUPS
    )


def _joint(part: Facts, spec: Facts, metals: MetalSystem | None) -> list[BoxFinding]:
    found = (finding_of(key, part, spec, None, metals) for key in compared(Level.JOINT))
    return [f for f in found if f is not None]


def _lines(part: Weld, spec: Weld) -> list[BoxFinding]:
    """Lines in order, where the drawing says anything of them."""
    if not part.lines:
        return []
    if (other := process_finding(part, spec)) is not None:
        return [other]
    return [
        f
        for index, line in enumerate(part.lines)
        for key in compared(Level.LINE)
        if (f := finding_of(key, line, spec.lines[index], index, None)) is not None
    ]


def process_finding(part: Weld, spec: Weld) -> BoxFinding | None:
    """What is wrong where a procedure is written for other processes, or in another order; `None` where it is
    not."""
    asked, claimed = [line["process"] for line in part.lines], [line["process"] for line in spec.lines]
    if asked == claimed:
        return None
    names = [_named(values) for values in (asked, claimed)]
    return BoxFinding(
        "process",
        Verdict.NOT_COVERED if MISSING not in asked else Verdict.UNKNOWN,
        asked[0] if len(asked) == 1 else MISSING,
        claimed[0] if claimed else MISSING,
        None,
        f"The weld asks for {names[0]}, the WPS is written for {names[1]}.",
    )


def _named(values: list[Stated]) -> str:
    names = ["/".join(sorted(v)) if isinstance(v, frozenset) else "a process not stated" for v in values]
    return " and ".join(names) or "no process"


def reads_of_claim(key: str, metals: MetalSystem | None) -> tuple[str, ...]:
    """What of a claim the finding on a variable turns on."""
    return (key, metals.side(key[-1])) if metals is not None and key in METALS else (key,)


def finding_of(
    key: str, part: Facts, spec: Facts, line: int | None, metals: MetalSystem | None
) -> BoxFinding | None:
    """One of the variables `compared`, the weld's against the claim; `None` where there is nothing to
    compare."""
    named = key
    if metals is not None and key in METALS and spec.given(metals.side(key[-1])):
        key = metals.side(key[-1])  # a procedure that claims a group takes every metal of it
    found, claimed = part[key], spec[key]
    if _silent(key, part):
        return None
    if found is NOT_APPLICABLE:
        return _marked(named, key, part, claimed, line)
    if found is MISSING:
        return _not_drawn(named, key, claimed, line)
    verdict, because = _compare(key, found, claimed)
    return BoxFinding(key, verdict, found, claimed, line, because)


def _marked(named: str, key: str, part: Facts, claimed: Stated, line: int | None) -> BoxFinding | None:
    """`n/a` on the weld says nothing beside a procedure without a value, or with one that says there is none;
    of what a drawing has to give it leaves the answer open."""
    if has_none(key, part):
        return None
    none_claimed = isinstance(claimed, frozenset) and claimed <= NONE_OF_IT
    if named not in ONLY_DRAWN and (isinstance(claimed, Absent) or none_claimed):
        return None
    because = "The weld says that it does not apply, and the WPS has it."
    if named in ONLY_DRAWN:
        because = "The weld says that it does not apply, and every weld has it."
    return BoxFinding(key, Verdict.UNKNOWN, NOT_APPLICABLE, claimed, line, because)


def _silent(key: str, part: Facts) -> bool:
    """True where another entry of the drawing makes the variable meaningless."""
    variable = registry()[key]
    if variable.shown_when is None:
        return False
    controller = part[variable.shown_when[0]]
    return isinstance(controller, Absent) or variable.says_nothing_beside(controller)


def _not_drawn(named: str, key: str, claimed: Stated, line: int | None) -> BoxFinding | None:
    if named not in ONLY_DRAWN or _claims_all(key, claimed):
        return None
    return BoxFinding(
        key, Verdict.UNKNOWN, MISSING, claimed, line, "The weld does not state it, and only its drawing can."
    )


def _claims_all(key: str, claimed: Stated) -> bool:
    return (
        isinstance(claimed, frozenset)
        and bool(registry()[key].choices)
        and claimed >= {c.key for c in registry()[key].choices}
    )


def _compare(key: str, found: Stated, claimed: Stated) -> tuple[Verdict, str]:
    if key == "toughness_required" and found == frozenset({"no"}):
        return Verdict.COVERED, "A WPS written for toughness serves work without as well."
    if claimed is MISSING:
        return Verdict.UNKNOWN, "The WPS does not state it."
    if claimed is NOT_APPLICABLE:
        return Verdict.NOT_COVERED, "The WPS says it does not apply."
    if isinstance(found, Interval) and isinstance(claimed, Interval):
        inside = found.within(claimed)
    elif isinstance(found, frozenset) and isinstance(claimed, frozenset):
        inside = found <= claimed
    else:
        inside = False
    return (
        (Verdict.COVERED, "Inside what the WPS claims.")
        if inside
        else (Verdict.NOT_COVERED, "Outside what the WPS claims.")
    )
