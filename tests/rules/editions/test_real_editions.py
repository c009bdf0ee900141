"""What holds for every edition that ships: missing values never cover, further tests never uncover."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.core.findings import Report, Verdict
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.variables.definition import RecordKind
from tests.rules.readers.case_files import bases

NAMES = sorted(bases())
Base = dict[str, Any]


def coupon(base: Base, record: str) -> Coupon:
    use = RecordKind.TEST if Side(base["side"]) is Side.PROCEDURE else RecordKind.WELDER_TEST
    read = read_weld(base["coupon"]["joint"], base["coupon"]["lines"], use, base["units"])
    return Coupon(record, read.weld, base["units"])


def judge(base: Base, coupons: list[Coupon]) -> Report:
    side = Side(base["side"])
    use = RecordKind.SPEC if side is Side.PROCEDURE else RecordKind.PART
    weld = read_weld(base["weld"]["joint"], base["weld"]["lines"], use, base["units"]).weld
    return coverage(weld, coupons, edition(_edition_of(base)), side)


def _edition_of(base: Base) -> str:
    return base.get("edition", "asme_ix_2023")


def left_out(base: Base, part: str) -> Iterator[tuple[str, Base]]:
    """The base with each of its entries left out in turn; without its process a test is no test at all."""
    for number, entries in enumerate([base[part]["joint"], *base[part]["lines"]]):
        for key in entries:
            if key == "process":
                continue
            poorer = copy.deepcopy(base)
            del [poorer[part]["joint"], *poorer[part]["lines"]][number][key]
            yield key, poorer


@pytest.mark.parametrize("part", ["weld", "coupon"])
@pytest.mark.parametrize("name", NAMES)
def test_an_entry_left_out_leaves_covered_or_unknown(name: str, part: str) -> None:
    """Were it taken for some value, some welds would come out as not covered."""
    verdicts = {}
    for key, poorer in left_out(bases()[name], part):
        report = judge(poorer, [coupon(poorer, "T1")])
        verdicts[key] = report.verdict
        if report.verdict is Verdict.UNKNOWN:
            assert all(finding.needs for finding in report.obstacles)
    assert {k: v for k, v in verdicts.items() if v not in (Verdict.COVERED, Verdict.UNKNOWN)} == {}
    assert Verdict.UNKNOWN in verdicts.values()


@pytest.mark.parametrize("name", NAMES)
def test_further_tests_never_uncover_a_weld(name: str) -> None:
    base = bases()[name]
    alike = [
        b
        for b in NAMES
        if bases()[b]["side"] == base["side"] and _edition_of(bases()[b]) == _edition_of(base)
    ]
    others = [coupon(bases()[other], other) for other in alike if other != name]
    own = coupon(base, name)
    assert judge(base, [own]).verdict is Verdict.COVERED
    for coupons in ([own, *others], [*others, own]):
        assert judge(base, coupons).verdict is Verdict.COVERED


@pytest.mark.parametrize("side", ["thickness_a", "thickness_b", "both"])
@pytest.mark.parametrize("name", NAMES)
def test_a_coupon_of_a_thickness_without_upper_end_covers_no_known_thickness(name: str, side: str) -> None:
    """`10 mm or more` is no thickness a limit can be reckoned from: what rests on it stays open, and nothing
    fails."""
    base = bases()[name]
    open_ended = Interval(Decimal(10), None)
    keys = ("thickness_a", "thickness_b") if side == "both" else (side,)
    tested = coupon(base, "T1")
    joint = tested.weld.joint.including(dict.fromkeys(keys, open_ended))
    poorer = replace(tested, weld=replace(tested.weld, joint=joint))
    limits = [
        limit
        for line in range_qualified(poorer, edition(_edition_of(base)), Side(base["side"])).lines
        for limit in line.limits
    ]
    assert limits
    assert judge(base, [poorer]).verdict >= judge(base, [tested]).verdict
