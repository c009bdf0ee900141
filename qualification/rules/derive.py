"""Values that follow from other values: pairs of P-Numbers, thinner and thicker side, backed or not.

Nothing here comes from a code's numbers; grouping by an edition's catalogue is done in `grouping.py`.
"""

from __future__ import annotations

import re
from decimal import Decimal

from .facts import Facts, Weld
from .gases import is_inert
from .values import NOT_APPLICABLE, Interval, Stated

BACKED = {"none": "no", "metal": "yes", "weld_metal": "yes", "base_metal": "yes", "both_sides": "yes"}


def derive(weld: Weld) -> Weld:
    """The weld with its derived variables filled in wherever what they follow from is given."""
    joint = weld.joint.including(_joint(weld.joint))
    return Weld(joint, tuple(line.including(_line(line)) for line in weld.lines), weld.name)


def pair_key(first: str, second: str) -> str:
    """An unordered pair of groups as one key: `1|5A`, `23|23`."""
    return "|".join(sorted((first, second), key=_group_order))


def _group_order(group: str) -> tuple[int, str]:
    digits = "".join(c for c in group.split(".")[0] if c.isdigit())
    return (int(digits) if digits else 10_000, group)


def _joint(joint: Facts) -> dict[str, Stated]:
    found: dict[str, Stated] = {}
    p_a, p_b = _tokens(joint, "a"), _tokens(joint, "b")
    numbers_a, numbers_b = joint["p_number_a"], joint["p_number_b"]
    if isinstance(numbers_a, frozenset) and isinstance(numbers_b, frozenset):
        found["p_numbers"] = numbers_a | numbers_b
    metals_a, metals_b = joint["base_metal_a"], joint["base_metal_b"]
    if isinstance(metals_a, frozenset) and isinstance(metals_b, frozenset):
        found["metal_pair"] = frozenset(pair_key(a, b) for a in metals_a for b in metals_b)
    if p_a and p_b:
        found["p_pair"] = frozenset(pair_key(a, b) for a in p_a for b in p_b)
        groups_a, groups_b = joint["group_a"], joint["group_b"]
        if isinstance(groups_a, frozenset) and isinstance(groups_b, frozenset):
            found["group_pair"] = frozenset(
                pair_key(f"{a}.{ga}", f"{b}.{gb}") for a in p_a for ga in groups_a for b in p_b for gb in groups_b
            )
    thick_a, thick_b = joint["thickness_a"], joint["thickness_b"]
    if isinstance(thick_a, Interval) and isinstance(thick_b, Interval):
        found["thickness_thinner"] = Interval(_least(thick_a.low, thick_b.low), _least(thick_a.high, thick_b.high))
        found["thickness_thicker"] = Interval(_most(thick_a.low, thick_b.low), _most(thick_a.high, thick_b.high))
    return found


def _tokens(joint: Facts, side: str) -> frozenset[str] | None:
    """P-Numbers of one side; a metal without one stands for itself, as `unassigned:NAME`."""
    groups, metals = joint[f"p_number_{side}"], joint[f"base_metal_{side}"]
    if not isinstance(groups, frozenset):
        return None
    tokens: set[str] = set()
    for group in groups:
        if group != "unassigned":
            tokens.add(group)
        elif isinstance(metals, frozenset) and metals:
            tokens.update(f"unassigned:{metal}" for metal in metals)
        else:
            return None  # an unassigned metal without a name cannot be held against anything
    return frozenset(tokens)


def _line(line: Facts) -> dict[str, Stated]:
    found: dict[str, Stated] = {}
    backing = line["backing"]
    if isinstance(backing, frozenset):
        found["backed"] = frozenset(BACKED[b] for b in backing)
    for key, inert in (("backing_gas", "inert_backing"), ("trailing_gas", "inert_trailing")):
        gas = line[key]
        if isinstance(gas, frozenset):
            found[inert] = frozenset("yes" if is_inert(g) else "no" for g in gas)
        elif gas is NOT_APPLICABLE:
            found[inert] = frozenset({"no"})
    flux = line["flux_wire_class"]
    if isinstance(flux, str):
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
    thinner, thicker = facts["thickness_thinner"], facts["thickness_thicker"]
    if not isinstance(thinner, Interval) or not isinstance(thicker, Interval) or thinner.low is None or thicker.high is None:
        return True
    return thinner.low < thicker.high or (thinner.low == thicker.high and not (thinner.low_open or thicker.high_open))


def _least(a: Decimal | None, b: Decimal | None) -> Decimal | None:
    return None if a is None or b is None else min(a, b)


def _most(a: Decimal | None, b: Decimal | None) -> Decimal | None:
    return None if a is None or b is None else max(a, b)
