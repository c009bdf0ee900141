"""Values that follow from other values: pairs of groups of metals, thinner and thicker side, backed or not.

Nothing here comes from a code's numbers; grouping by an edition's catalogue is done in `grouping.py`.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from ..core.facts import Facts, Weld
from ..core.gases import is_inert
from ..core.values import NOT_APPLICABLE, Interval, Stated
from ..materials.iso_terms import iso_terms
from ..variables.metal_systems import SYSTEMS, UNASSIGNED, MetalSystem

BACKED = {
    "none": "no",
    "metal": "yes",
    "flux": "yes",
    "weld_metal": "yes",
    "base_metal": "yes",
    "both_sides": "yes",
}


ALIKE = "same_thickness"
"""The fact that both sides of a weld are of one thickness, whichever that is."""
THICKNESSES = ("thickness_thinner", "thickness_thicker", "thickness_a", "thickness_b")


@lru_cache(maxsize=512)
def derive(weld: Weld) -> Weld:
    """The weld with its derived variables filled in wherever what they follow from is given."""
    joint = weld.joint.including(_joint(weld.joint))
    lines = (line.including(_line(line)) for line in weld.lines)
    return Weld(joint, tuple(line.including(iso_terms(joint.including(line))) for line in lines), weld.name)


def pair_key(first: str, second: str) -> str:
    """An unordered pair of groups as one key: `1|5A`, `23|23`."""
    return "|".join(sorted((first, second), key=_group_order))


def _group_order(group: str) -> tuple[int, str]:
    digits = "".join(c for c in group.split(".")[0] if c.isdecimal())
    return (int(digits) if digits else 10_000, group)


def _joint(joint: Facts) -> dict[str, Stated]:
    found: dict[str, Stated] = {}
    for system in SYSTEMS.values():
        found |= _groups(joint, system)
    metals_a, metals_b = joint.choices("base_metal_a"), joint.choices("base_metal_b")
    if metals_a and metals_b:
        found["metal_pair"] = _pairs(metals_a, metals_b)
    thick_a, thick_b = joint["thickness_a"], joint["thickness_b"]
    if ALIKE in joint and thick_a != thick_b:
        found[ALIKE] = frozenset({"no"})
    if isinstance(thick_a, Interval) and isinstance(thick_b, Interval):
        found["thickness_thinner"] = Interval(
            _least(thick_a.low, thick_b.low), _least(thick_a.high, thick_b.high)
        )
        found["thickness_thicker"] = Interval(
            _most(thick_a.low, thick_b.low), _most(thick_a.high, thick_b.high)
        )
    return found


def _groups(joint: Facts, system: MetalSystem) -> dict[str, Stated]:
    """Groups of either side, and pairs of them, in one numbering system."""
    found: dict[str, Stated] = {}
    numbers_a, numbers_b = (joint.choices(key) for key in system.sides)
    if numbers_a and numbers_b:
        found[system.either] = numbers_a | numbers_b
    side_a, side_b = _tokens(joint, system, "a"), _tokens(joint, system, "b")
    if not side_a or not side_b:
        return found
    found[system.pair] = _pairs(side_a, side_b)
    subs_a, subs_b = joint.choices(system.sub_side("a")), joint.choices(system.sub_side("b"))
    if system.sub_pair and subs_a and subs_b:
        found[system.sub_pair] = _pairs(_with_subs(side_a, subs_a), _with_subs(side_b, subs_b))
    return found


@lru_cache(maxsize=1024)
def _pairs(firsts: frozenset[str], seconds: frozenset[str]) -> frozenset[str]:
    """Every pair of one of either: many thousands where a weld claims every group, and asked for again with
    each part of it."""
    return frozenset(pair_key(a, b) for a in firsts for b in seconds)


def _with_subs(groups: frozenset[str], subs: frozenset[str]) -> frozenset[str]:
    return frozenset(f"{group}.{sub}" for group in groups for sub in subs)


def _tokens(joint: Facts, system: MetalSystem, side: str) -> frozenset[str] | None:
    """Groups of one side; a metal without one stands for itself, as `unassigned:NAME`."""
    groups, metals = joint.choices(system.side(side)), joint.choices(f"base_metal_{side}")
    if not groups:
        return None
    tokens: set[str] = set()
    for group in groups:
        if group != UNASSIGNED:
            tokens.add(group)
        elif metals:
            tokens.update(f"{UNASSIGNED}:{metal}" for metal in metals)
        else:
            return None  # an unassigned metal without a name cannot be held against anything
    return frozenset(tokens)


def _line(line: Facts) -> dict[str, Stated]:
    found: dict[str, Stated] = {}
    backing = line.choices("backing")
    if backing:
        found["backed"] = frozenset(BACKED[b] for b in backing)
    for key, inert in (("backing_gas", "inert_backing"), ("trailing_gas", "inert_trailing")):
        gas = line[key]
        if isinstance(gas, frozenset):
            found[inert] = frozenset("yes" if is_inert(g) else "no" for g in gas)
        elif gas is NOT_APPLICABLE:
            found[inert] = frozenset({"no"})
    if flux := line.text("flux_wire_class"):
        found["flux_wire_strength"] = frozenset({_strength_designator(flux)})
    return found


_FLUX_WIRE = re.compile(r"F(?P<strength>\d{1,2})[A-Z]")


def _strength_designator(flux_wire_class: str) -> str:
    """The strength designator of a flux and wire classification (AWS A5.17, A5.23): the 7 of F7A2-EM12K. What
    is not such a classification stands for itself as a whole."""
    plain = "".join(flux_wire_class.split()).upper()
    match = _FLUX_WIRE.match(plain)
    return match["strength"] if match else plain.casefold()


def can_be(facts: Facts) -> bool:
    """False for derived values no one weld can have: a thinner side thicker than the thicker one."""
    thinner, thicker = facts.interval("thickness_thinner"), facts.interval("thickness_thicker")
    if thinner is None or thicker is None or thinner.low is None or thicker.high is None:
        return True
    return thinner.low < thicker.high or (
        thinner.low == thicker.high and not (thinner.low_open or thicker.high_open)
    )


def _least(a: Decimal | None, b: Decimal | None) -> Decimal | None:
    return None if a is None or b is None else min(a, b)


def _most(a: Decimal | None, b: Decimal | None) -> Decimal | None:
    return None if a is None or b is None else max(a, b)
