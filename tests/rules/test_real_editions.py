"""What holds for every edition that ships: missing values never cover, further tests never uncover."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest

from qualification.rules.coverage import coverage
from qualification.rules.entries import read_weld
from qualification.rules.facts import Coupon
from qualification.rules.findings import Report, Verdict
from qualification.rules.ranges import Side
from qualification.rules.tables import edition
from qualification.rules.variables import Use

from .case_files import bases

NAMES = sorted(bases())
Base = dict[str, Any]


def coupon(base: Base, record: str) -> Coupon:
    use = Use.TEST if Side(base["side"]) is Side.PROCEDURE else Use.WELDER_TEST
    read = read_weld(base["coupon"]["joint"], base["coupon"]["lines"], use, base["units"])
    return Coupon(record, read.weld, base["units"])


def judge(base: Base, coupons: list[Coupon]) -> Report:
    side = Side(base["side"])
    use = Use.SPEC if side is Side.PROCEDURE else Use.PART
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
