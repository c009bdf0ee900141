"""What the engine says of planned coupons, asked without the planner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from qualification.rules.core.facts import Coupon
from qualification.rules.core.findings import Verdict
from qualification.rules.plan.coupons import Codes, CoverageGap
from qualification.rules.ranges.coverage import coverage


def cover_gap(coupons: Sequence[Coupon], gap: CoverageGap, codes: Codes) -> bool:
    """Whether the coupons, welded and passed, each a record of its own, would cover the gap."""
    records = [replace(each, record=f"{n}") for n, each in enumerate(coupons)]
    report = coverage(gap.weld, records, codes.of(gap.side), gap.side)
    return report.lines[gap.line].verdict <= Verdict.COVERED
