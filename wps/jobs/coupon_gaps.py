"""What a plan of coupons has to cover."""

from __future__ import annotations

from dataclasses import dataclass

from qualification.rules.core import words
from qualification.rules.plan.coupons import Codes, CoverageGap
from qualification.rules.ranges.planning import what_a_coupon_waits_for
from qualification.rules.variables.registry import registry


@dataclass(frozen=True)
class LeftOut:
    """A weld that no plan is made for, and why."""

    marks: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class Uncovered:
    """What a plan has to cover, and what it cannot be asked for."""

    gaps: tuple[CoverageGap, ...]
    codes: Codes
    left_out: tuple[LeftOut, ...]
    only_a_procedure: tuple[LeftOut, ...]
    """Welds that tests on file carry: they need a WPS and no coupon."""
    welds: int


def what_is_missing(gap: CoverageGap, codes: Codes) -> str:
    """What the weld would have to state before a coupon can be named; empty where nothing is missing."""
    keys = what_a_coupon_waits_for(gap.alone, codes.of(gap.side), gap.side, gap.system)
    return "; ".join(words.within_sentence(registry()[key].label) for key in keys)
