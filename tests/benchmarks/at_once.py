"""Prints ratios of judging many welds against many tests at once: processor time against bare numpy masks
over the same bounds, and against asking the engine for each cell.

`python -m tests.benchmarks.at_once --welds 1000 --specs 500 --welders 2000`; invented tests and welds made of
the cases of an edition.
"""

from __future__ import annotations

import argparse
import gc
import random
import time
from collections.abc import Callable, Sequence
from decimal import Decimal

import numpy as np

from qualification.rules.core.facts import Coupon, Facts, Side, Weld
from qualification.rules.core.findings import VariableClass
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.at_once import answers_at_once
from qualification.rules.ranges.coverage import cover_whole
from qualification.rules.ranges.ranges import TestRange, range_qualified
from qualification.rules.tabular.edition import Edition
from tests.rules.readers.case_files import cases

DETAILS, KINDS = 200, 60
"""Different welds and different tests of a shop; the rest repeat them."""


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--edition", default="asme_ix_2023")
    asked.add_argument("--welds", type=int, default=1000)
    asked.add_argument("--specs", type=int, default=500)
    asked.add_argument("--welders", type=int, default=2000)
    asked.add_argument("--different", action="store_true", help="every number differs, nothing repeats")
    given = asked.parse_args()
    whole, least = 0.0, 0.0
    for side, tests in ((Side.PROCEDURE, given.specs), (Side.WELDER, given.welders)):
        at_once, bare = _measure(edition(given.edition), side, given.welds, tests, given.different)
        whole, least = whole + at_once, least + bare
    print(f"Both, none joined: to bare masks {whole / least:.2f} (goal: 1 or less)")


def _measure(made: Edition, side: Side, welds: int, tests: int, different: bool) -> tuple[float, float]:
    """Seconds at once, and of bare masks; prints them with what joining takes besides."""
    draw = random.Random(7)
    own = [c for c in cases(made.id) if c.side is side and len(c.coupons) == 1]
    wholes = [
        derive(group(_moved(draw.choice(own).weld, draw), made))
        for _ in range(welds if different else DETAILS)
    ]
    ranges = [
        range_qualified(Coupon(f"T{n}", _moved(c.coupons[0].weld, draw), c.coupons[0].system), made, side)
        for n in range(tests if different else KINDS)
        for c in [draw.choice(own)]
    ]
    wholes = [wholes[n % len(wholes)] for n in range(welds)]
    ranges = [ranges[n % len(ranges)] for n in range(tests)]
    at_once = _seconds(lambda: answers_at_once(wholes, [[each] for each in ranges], made, side))
    bare = _seconds(lambda: _bare_masks(wholes, ranges))
    of_two = [ranges[n : n + 2] for n in range(0, len(ranges), 2)]
    joined = _seconds(lambda: answers_at_once(wholes, of_two, made, side))
    few = [(weld, each) for weld in draw.sample(wholes, 20) for each in draw.sample(ranges, 20)]
    plain = _seconds(lambda: [cover_whole(weld, [each], made, side) for weld, each in few])
    plain *= welds * tests / len(few)
    print(
        f"{made.name}, {side.value}: {welds} welds, {tests} tests, {at_once:.2f} s; to bare masks"
        f" {at_once / bare:.2f}; to the engine, cell by cell {at_once / plain:.5f}; two to a procedure or"
        f" welder, joining decided: to bare masks {joined / bare:.2f} (goal: 10 or less)"
    )
    return at_once, bare


def _moved(weld: Weld, draw: random.Random) -> Weld:
    size = Interval.point(Decimal(draw.randrange(1500, 60000)) / 1000)
    return Weld(
        weld.joint.including({"thickness_a": size, "thickness_b": size}),
        tuple(line.including({"deposit_thickness": size}) for line in weld.lines),
    )


def _bare_masks(welds: Sequence[Weld], ranges: Sequence[TestRange]) -> None:
    """Two comparisons of numbers for each binding limit over all welds: the least any table has to do that
    takes limits one by one."""
    facts: list[Facts] = [weld.line_facts(n) for weld in welds for n in range(len(weld.lines))]
    low = np.array([float(each["thickness_thinner"].low or 0) for each in facts])  # type: ignore[union-attr]
    high = np.array([float(each["thickness_thicker"].high or 0) for each in facts])  # type: ignore[union-attr]
    for tested in ranges:
        for line in tested.lines:
            inside = np.ones(len(facts), bool)
            for n, limit in enumerate(line.limits):
                if limit.standing is not VariableClass.NONESSENTIAL:
                    inside &= (low >= n) & (high <= 60 - n)


def _seconds(work: Callable[[], object]) -> float:
    """Without the garbage collector, as `timeit` does it: a full collection of the tables loaded takes longer
    than the work, and falls on whichever comes last."""
    gc.collect()
    gc.disable()
    start = time.process_time()
    work()
    spent = time.process_time() - start
    gc.enable()
    return spent


if __name__ == "__main__":
    main()
