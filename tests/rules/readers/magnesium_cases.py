"""Where the ceiling for alloys rich in magnesium begins: on and just above, which no alloy of the catalogue
stands on.

The share follows from the alloy and is never typed, so it is put among the facts here. (Worked by us from the
recalled 3 %.)
"""

from __future__ import annotations

from decimal import Decimal
from itertools import product

from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.quantities import SI, US
from qualification.rules.core.values import Interval
from qualification.rules.ranges.coverage import coverage
from qualification.rules.tabular.edition import Edition
from tests.rules.readers.case_files import base_case

UNKNOWN_ALLOY = {
    **{f"base_metal_{side}": frozenset({"Alloy Q"}) for side in "ab"},
    **{f"m_number_{side}": frozenset({"25"}) for side in "ab"},
}
HOT = {
    "preheat_min": {
        "preheat_min": Interval.point(Decimal(255)),
        "interpass_max": Interval.point(Decimal(240)),
    },
    "interpass_max": {"interpass_max": Interval.point(Decimal(255))},
}


def failing(edition: Edition) -> list[str]:
    """Which share, in which unit system, is not held to the ceiling as it should be."""
    case = base_case("d12_5083_gtaw")
    found = []
    for system, (variable, heat), (share, verdict) in product(
        (US, SI), HOT.items(), (("3", Verdict.COVERED), ("3.01", Verdict.NOT_COVERED))
    ):
        facts = {**UNKNOWN_ALLOY, "magnesium_most": Interval.point(Decimal(share))}
        tested = Weld(case.coupons[0].weld.joint.including(facts), case.coupons[0].weld.lines)
        asked = Weld(case.weld.joint.including({**facts, **heat}), case.weld.lines)
        report = coverage(asked, [Coupon("T1", tested, system)], edition, Side.PROCEDURE)
        obstacles = {finding.variable for finding in report.obstacles}
        if (report.verdict, obstacles) != (verdict, {variable} if verdict is Verdict.NOT_COVERED else set()):
            found.append(f"{share} % magnesium, {variable} ({system}): {report.verdict.words}, {obstacles}")
    return found
