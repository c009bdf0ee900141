"""One aluminium coupon, read under three codes, counts for different welds: in numbers.

An invented coupon: 5083-H116 welded with ER5183 by GMAW in spray transfer, 3G upward, at 200 A and 25 V. What
is expected is stated here on its own. Thickness under Section IX is published (page 207 of a handbook,
QW-451); what is expected of D1.2 and ISO 15614-2 is from memory, as their tables say.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import VariableClass, Verdict
from qualification.rules.core.quantities import read_quantity
from qualification.rules.core.values import Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.variables.definition import RecordKind

IX, D12, ISO = "asme_ix_2023", "aws_d1_2_2014", "iso_15614_2_2005"
CODES = (IX, D12, ISO)
JOINT: dict[str, Any] = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "penetration": "complete",
    "product_form": "plate",
    "base_metal_a": "5083",
    "base_metal_b": "same",
    "temper_a": "H116",
    "temper_b": "H116",
    "back_gouging": "none",
    "groove_angle": "60",
    "root_face": "1/16 in",
    "root_opening": "1/16 in",
    "preheat_min": "60 °F",
    "interpass_max": "200 °F",
    "pwht": "none",
}
LINE: dict[str, Any] = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "part_of_joint": "whole",
    "transfer_mode": "spray",
    "current_programme": "steady",
    "filler_classification": "ER5183",
    "filler_diameter": "3/64 in",
    "supplemental_filler": "no",
    "backing": "none",
    "backing_gas": "none",
    "shielding_gas": "100Ar",
    "shielding_flow": "40 cfh",
    "current_type": "DCEP",
    "amps": "200 A",
    "volts": "25 V",
    "travel_speed": "20 in/min",
    "wire_feed": "400 in/min",
    "passes_per_side": "multiple",
    "electrodes": "single",
    "max_pass_thickness": "1/8 in",
    "progression": "up",
}


def read(joint: dict[str, Any], line: dict[str, Any], use: RecordKind) -> Weld:
    found = read_weld(joint, [line], use, "us")
    assert found.problems == ()
    return found.weld


def coupon(thickness: str) -> Coupon:
    joint = {
        **JOINT,
        "thickness_a": thickness,
        "thickness_b": "same",
        "test_position": "3G",
        "impact_tested": "no",
    }
    return Coupon("PT-1", read(joint, {**LINE, "deposit_thickness": thickness}, RecordKind.TEST))


def spans(thickness: str, code: str, variable: str) -> Interval | None:
    """What the essential limits of one variable leave together; `None` where they leave it free."""
    (line,) = range_qualified(coupon(thickness), edition(code), Side.PROCEDURE).lines
    found: Interval | None = None
    for limit in line.limits:
        if (
            limit.variable == variable
            and limit.standing is VariableClass.ESSENTIAL
            and isinstance(limit.allowed, Interval)
        ):
            found = limit.allowed if found is None else found.intersect(limit.allowed)
    return found


def ends(
    low: str | None, high: str | None, dimension: str = "length"
) -> tuple[Decimal | None, Decimal | None]:
    one, other = (read_quantity(text, dimension, "us").interval.low if text else None for text in (low, high))
    return one, other


@pytest.mark.parametrize(
    ("thickness", "code", "low", "high"),
    [
        ("1/4 in", IX, "1/16 in", "1/2 in"),
        ("1/4 in", D12, "1/8 in", "1/2 in"),
        ("1/4 in", ISO, "3 mm", "1/2 in"),
        ("1/2 in", IX, "3/16 in", "1 in"),
        ("1/2 in", D12, "1/4 in", "1 in"),
        ("1/2 in", ISO, "3 mm", "1 in"),
        ("1 in", IX, "3/16 in", "2 in"),
        ("1 in", D12, "1/2 in", None),
        ("1 in", ISO, "20.32 mm", None),
    ],
)
def test_thickness(thickness: str, code: str, low: str, high: str | None) -> None:
    found = spans(thickness, code, "thickness_thinner")
    assert found is not None
    assert (found.low, found.high) == ends(low, high)


@pytest.mark.parametrize(
    ("variable", "dimension", "expected"),
    [
        ("amps", "current", {IX: None, D12: ("180 A", "220 A"), ISO: None}),
        ("volts", "voltage", {IX: None, D12: ("23.25 V", "26.75 V"), ISO: None}),
        ("interpass_max", "temperature", {IX: None, D12: (None, "250 °F"), ISO: (None, "200 °F")}),
    ],
)
def test_settings(
    variable: str, dimension: str, expected: dict[str, tuple[str | None, str | None] | None]
) -> None:
    for code, limits in expected.items():
        found = spans("1/4 in", code, variable)
        if limits is None:
            assert found is None, code
        else:
            assert found is not None, code
            assert (found.low, found.high) == ends(*limits, dimension)


def verdicts(joint: dict[str, Any], line: dict[str, Any], tested: str = "1/4 in") -> list[Verdict]:
    whole = {
        **JOINT,
        "thickness_a": tested,
        "thickness_b": "same",
        "position": "vertical",
        "toughness_required": "no",
        **joint,
    }
    weld = read(
        whole,
        {**LINE, "deposit_thickness": "1/16 in", "max_pass_thickness": "1/16 in", **line},
        RecordKind.SPEC,
    )
    return [coverage(weld, [coupon(tested)], edition(code), Side.PROCEDURE).verdict for code in CODES]


YES, NO, OPEN = Verdict.COVERED, Verdict.NOT_COVERED, Verdict.NO_RULE


@pytest.mark.parametrize(
    ("joint", "line", "expected"),
    [
        pytest.param({}, {}, [YES, YES, YES], id="the coupon's own weld"),
        pytest.param(
            {"thickness_a": "0.07 in", "thickness_b": "0.07 in"}, {}, [YES, NO, NO], id="thin sheet"
        ),
        pytest.param({"thickness_a": "0.12 in", "thickness_b": "0.12 in"}, {}, [YES, NO, YES], id="3.05 mm"),
        pytest.param({}, {"amps": "230 A", "wire_feed": "n/a"}, [YES, NO, YES], id="more current"),
        pytest.param({"position": "overhead"}, {}, [YES, NO, OPEN], id="overhead"),
        pytest.param(
            {}, {"filler_classification": "ER5556"}, [YES, NO, NO], id="another filler of the F-Number"
        ),
        pytest.param({"interpass_max": "230 °F"}, {}, [YES, YES, NO], id="a warmer interpass"),
        pytest.param({"base_metal_a": "5454", "base_metal_b": "5454"}, {}, [NO, NO, YES], id="another alloy"),
    ],
)
def test_one_weld_and_three_answers(
    joint: dict[str, Any], line: dict[str, Any], expected: list[Verdict]
) -> None:
    assert verdicts(joint, line) == expected
