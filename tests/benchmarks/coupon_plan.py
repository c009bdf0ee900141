"""Prints how long a coupon plan takes, what is proven of it, and its cost beside the greedy one.

`python -m tests.benchmarks.coupon_plan --details 60`; invented details of the cases of two editions.
"""

from __future__ import annotations

import argparse
import random
import time
from decimal import Decimal

from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.plan import coupons
from qualification.rules.plan.cheapest import _greedy, cheapest
from qualification.rules.plan.costs import Rates
from qualification.rules.plan.coupons import Codes, CoverageGap, plan_coupons
from qualification.rules.variables.definition import RecordKind

JOINT = {
    "weld_type": "groove",
    "penetration": "complete",
    "base_metal_a": "6061-T6",
    "base_metal_b": "same",
    "product_form": "plate",
    "toughness_required": "no",
    "preheat_min": "60 °F",
    "interpass_max": "150 °F",
    "pwht": "none",
    "joint_form": "butt",
    "groove_type": "v",
    "root_face": "1/16",
    "groove_angle": "60",
    "root_opening": "1/16",
    "sides_welded": "one",
    "back_gouging": "none",
}
LINE = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "part_of_joint": "whole",
    "backing": "metal",
    "backing_material": "6061",
    "transfer_mode": "pulsed_spray",
    "current_programme": "pulsed",
    "filler_classification": "ER5356",
    "filler_form": "solid",
    "supplemental_filler": "no",
    "filler_diameter": "3/64",
    "shielding_gas": "100Ar",
    "shielding_flow": "35 cfh",
    "backing_gas": "none",
    "trailing_gas": "none",
    "current_type": "DCEP",
    "amps": "150-165",
    "volts": "21-22.5",
    "travel_speed": "20-24 ipm",
    "wire_feed": "420-440 ipm",
    "max_pass_thickness": "1/8",
    "progression": "up",
    "bead": "stringer",
    "passes_per_side": "multiple",
    "electrodes": "single",
    "layers": "3",
}
FILLERS = ("ER5356", "ER4043", "ER5356")
POSITIONS = ("flat", "horizontal", "vertical", "overhead")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--details", type=int, default=60)
    asked.add_argument("--work", default="aws_d1_2_2014")
    asked.add_argument("--welders", default="asme_ix_2023")
    asked.add_argument("--seconds", type=float, default=coupons.SECONDS)
    given = asked.parse_args()
    codes = Codes(edition(given.work), edition(given.welders))
    plan_coupons(_gaps(1), codes, Rates())  # once, so that the tables are read
    gaps = _gaps(given.details)
    taken: list[float] = []
    solve = cheapest

    def timed(*each: object, **more: object) -> object:
        start = time.process_time()
        found = solve(*each, **more)  # type: ignore[arg-type]
        taken.append(time.process_time() - start)
        offered.append((each[0], each[1]))
        return found

    offered: list[tuple[object, object]] = []
    coupons.cheapest = timed  # type: ignore[assignment]
    start = time.process_time()
    plan = plan_coupons(gaps, codes, Rates(), given.seconds)
    whole = time.process_time() - start
    costs, covers = offered[-1]
    reachable = frozenset[int]().union(*covers)  # type: ignore[misc]
    greedy = sum(costs[n] for n in _greedy(costs, covers, range(len(costs)), reachable))  # type: ignore
    said = "proven" if plan.choice.is_proven else f"within {plan.choice.gap_percent:.1f} %"
    goal = 2 if given.details <= 60 else 30
    print(
        f"{given.details} details, {len(gaps)} gaps, {plan.considered} coupons, two codes: {whole:.2f} s"
        f" (goal: {goal} or less; solver {sum(taken):.2f}), {said}; {len(plan.chosen)} coupons; to greedy"
        f" {plan.choice.cost / max(greedy, 1):.4f}; {len(plan.open_gaps)} gaps open"
    )


def _gaps(details: int) -> list[CoverageGap]:
    draw = random.Random(5)
    welds = [
        read_weld(JOINT, [{**LINE, "filler_classification": filler}], RecordKind.SPEC, "us").weld
        for filler in FILLERS
    ]
    found = []
    for n in range(details):
        size = Interval.point(Decimal(draw.randrange(2000, 50000)) / 1000)
        joint = {
            "thickness_a": size,
            "thickness_b": size,
            "position": frozenset({POSITIONS[n % 4]}),
        }
        weld = welds[n % len(welds)]
        made = Weld(
            weld.joint.including(joint), tuple(x.including({"deposit_thickness": size}) for x in weld.lines)
        )
        found += [CoverageGap(made, 0, side, (f"D{n}",), "us") for side in Side]
    return found


if __name__ == "__main__":
    main()
