"""What a test record leaves out that decides its range: each entry, and the limits that stay open without it.

The range of a coupon is worked out as if its tests had passed, so that a draft is asked for what decides its
range while it is written, and not after it was approved.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from qualification.evidence.coverage import SIDES, coupon_of, edition_of
from qualification.models import CouponRecord
from qualification.rules.core.facts import Facts
from qualification.rules.core.findings import Citation, VariableClass
from qualification.rules.core.values import Undetermined
from qualification.rules.core.words import within_sentence
from qualification.rules.entries.entered_as import entered_as
from qualification.rules.ranges.ranges import LineRange, range_qualified
from qualification.rules.variables.definition import Level
from qualification.rules.variables.limits import Limit
from qualification.rules.variables.metal_systems import SYSTEMS
from qualification.rules.variables.registry import registry


@dataclass(frozen=True)
class RangeGap:
    """One entry that is not stated."""

    line: int | None
    """`None` for an entry of the joint."""
    key: str
    limits: tuple[str, ...]
    """Labels of what is not qualified without it."""
    citation: Citation

    @property
    def label(self) -> str:
        return registry()[self.key].label

    @property
    def leaves_open(self) -> str:
        """`base metal of side B and thickness` in a sentence; empty where it is the entry itself."""
        return "; ".join(
            within_sentence(label) for label in self.limits if label != registry()[self.key].label
        )


def range_gaps(record: CouponRecord) -> tuple[RangeGap, ...]:
    """The entries without which a limit of the record's range cannot be determined, joint first. Raises
    TableError."""
    coupon = replace(coupon_of(record), refusals=())
    lines = range_qualified(coupon, edition_of(record.edition), SIDES[type(record)]).lines
    found: dict[tuple[int | None, str], RangeGap] = {}
    for line in lines:
        for limit in _open(line):
            for key in _left_out(limit, line.facts):
                place = (None if registry()[key].level is Level.JOINT else line.line, key)
                label = registry()[limit.variable].label
                gap = found.get(place) or RangeGap(*place, (), limit.citation)
                found[place] = replace(gap, limits=tuple(dict.fromkeys((*gap.limits, label))))
    return tuple(sorted(found.values(), key=lambda gap: -1 if gap.line is None else gap.line))


def _open(line: LineRange) -> Iterable[Limit]:
    """The open limits of a line that decide something for a weld like the coupon."""
    is_tough = "yes" in line.facts.choices("toughness_required") | line.facts.choices("toughness_tested")
    for limit in line.limits:
        if limit.standing is VariableClass.NONESSENTIAL or not isinstance(limit.allowed, Undetermined):
            continue
        if limit.standing is VariableClass.SUPPLEMENTARY and not is_tough:
            continue
        yield limit


def _left_out(limit: Limit, facts: Facts) -> list[str]:
    """The entries that would settle the limit, but for those the record says do not apply."""
    assert isinstance(limit.allowed, Undetermined)
    needs = [key for key in limit.allowed.needs if key not in limit.allowed.marked]
    return list(dict.fromkeys(found for key in needs if (found := _asked(key, facts)) in registry()))


def _asked(key: str, facts: Facts) -> str:
    """The entry that settles a variable: the usual one, or where that is stated and says too little, the one
    that says it outright, such as the group of a metal no table knows."""
    usual = entered_as(key)
    if not facts.given(usual):
        return usual
    for system in SYSTEMS.values():
        if key in (system.pair, system.either, system.side("a"), system.side("b")):
            side_a, side_b = system.side("a"), system.side("b")
            return side_b if key == side_b or facts.given(side_a) else side_a
    return INSTEAD.get(key, usual if registry()[key].derived else key)


INSTEAD = {"iso_process": "filler_classification"}
"""What settles a variable besides the entry it usually follows from."""
