"""A test that names several sizes of electrode, or a joint by its tolerance, qualifies no more than what was
welded for certain."""

from __future__ import annotations

from dataclasses import replace

import pytest

from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry
from tests.rules.readers.case_files import base_case


def changed(weld: Weld, key: str, typed: str, use: RecordKind) -> Weld:
    if registry()[key].level is Level.JOINT:
        read = read_weld({key: typed}, [], use, "us")
        made = Weld(weld.joint.including(read.weld.joint), weld.lines, weld.name)
    else:
        process = next(iter(weld.lines[0]["process"]))  # type: ignore[arg-type]
        read = read_weld({}, [{"process": process, key: typed}], use, "us")
        made = Weld(weld.joint, (weld.lines[0].including(read.weld.lines[0]),), weld.name)
    assert read.problems == ()
    return made


def verdict_of(base: str, key: str, tested: str, claimed: str, about: str = "") -> Verdict:
    """What comes of that one variable."""
    case = base_case(base)
    coupon: Coupon = replace(
        case.coupons[0], weld=changed(case.coupons[0].weld, key, tested, RecordKind.TEST)
    )
    report = coverage(
        changed(case.weld, key, claimed, RecordKind.SPEC), [coupon], edition(EDITIONS[base]), Side.PROCEDURE
    )
    return max(
        (f.verdict for f in report.findings if f.variable == (about or key)), default=Verdict.NOT_APPLICABLE
    )


EDITIONS = {"d11_smaw": "aws_d1_1_2020", "d11_gtaw": "aws_d1_1_2020", "d12_6061_gmaw": "aws_d1_2_2014"}
SIZES = [
    # Electrodes of SMAW: at most 1/32 in over what was used, counted from the smallest.
    ("d11_smaw", "3/32, 1/8", "3/32", True),
    ("d11_smaw", "3/32, 1/8", "1/8", True),
    ("d11_smaw", "3/32, 1/8", "5/32", False),
    ("d11_smaw", "3/32, 1/8, 5/32", "3/32, 1/8, 5/32", True),
    ("d11_smaw", "3/32, 1/8, 5/32", "3/16", False),
    ("d11_smaw", "1/8", "5/32", True),
    # Rods of GTAW: within 1/16 in of each that was used.
    ("d11_gtaw", "3/32, 1/8", "1/16", True),
    ("d11_gtaw", "3/32, 1/8", "5/32", True),
    ("d11_gtaw", "3/32, 1/8", "3/16", False),
]


@pytest.mark.parametrize(("base", "tested", "claimed", "covered"), SIZES)
def test_several_sizes_cover_themselves_and_no_step_beyond_the_smallest(
    base: str, tested: str, claimed: str, covered: bool
) -> None:
    found = verdict_of(base, "filler_diameter", tested, claimed)
    assert (found is Verdict.COVERED) is covered, found


TOLERANCES = [
    ("groove_angle", "60° ± 5", "65°", Verdict.COVERED),
    ("groove_angle", "60° ± 5", "60°", Verdict.UNKNOWN),
    ("groove_angle", "60° ± 5", "54°", Verdict.NOT_COVERED),
    ("root_face", "0 - 1/8", "0", Verdict.COVERED),
    ("root_face", "0 - 1/8", "1/16", Verdict.UNKNOWN),
    ("root_face", "0 - 1/8", "5/32", Verdict.NOT_COVERED),
    ("root_opening", "1/16 ± 1/32", "1/16", Verdict.NO_RULE),
]


@pytest.mark.parametrize(("key", "tested", "claimed", "expected"), TOLERANCES)
def test_a_joint_stated_by_its_tolerance_waits_for_what_was_measured(
    key: str, tested: str, claimed: str, expected: Verdict
) -> None:
    found = verdict_of("d12_6061_gmaw", key, tested, claimed)
    if expected is Verdict.COVERED:
        assert found <= Verdict.COVERED
    else:
        assert found > Verdict.COVERED
        assert (found is Verdict.NOT_COVERED) == (expected is Verdict.NOT_COVERED), found


def test_several_sizes_of_wire_are_asked_for_a_line_each() -> None:
    line = {"process": "GMAW", "filler_diameter": ".035, .045"}
    read = read_weld({}, [line], RecordKind.TEST, "us")
    assert [p.key for p in read.problems] == ["filler_diameter"]
    assert "own process line" in read.problems[0].message
    assert "filler_diameter" not in read.weld.lines[0]
    claimed = read_weld({}, [line], RecordKind.SPEC, "us")
    assert isinstance(claimed.weld.lines[0]["filler_diameter"], Interval)
