"""Checks on radiographs and ultrasonic examinations of welder coupons (in ASME IX: QW-191, QW-302.2).

Indications are judged as far as the code gives numbers. Its charts of rounded indications are pictures;
there the report's own word decides, which is asked of every examination anyway.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING

from ..results import PI, Indication, IndicationType, Volumetric, rows_of
from .check import (
    AcceptanceCheck,
    CheckAnswer,
    Surroundings,
    failed,
    incomplete,
    not_counted,
    passed,
    yes_no_check,
)

if TYPE_CHECKING:
    from ..specimen_rows import CheckRow

PLANAR = {
    IndicationType.CRACK: "a crack",
    IndicationType.LACK_OF_FUSION: "lack of fusion",
    IndicationType.LACK_OF_PENETRATION: "lack of penetration",
}


def _planar(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer:
    for indication in result.indications:
        if indication.type in PLANAR:
            return failed(
                f"It shows {PLANAR[indication.type]}.", "indications", around.length(indication.length)
            )
    return passed("", "indications")


def _reported(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer:
    if not result.report:
        return incomplete("State the number of the report.", "report")
    return passed(f"Report {result.report}.", "report")


def _of_type(result: Volumetric, wanted: IndicationType) -> list[Indication]:
    return [i for i in result.indications if i.type is wanted]


def _no_thickness(what: str) -> CheckAnswer:
    return incomplete(
        f"State the thickness of the coupon; {what} indications are judged against it.", "indications"
    )


def _linear_length(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer | None:
    """The longest linear indication against a length, or against a part of the thickness."""
    longest = max((i.length for i in _of_type(result, IndicationType.LINEAR)), default=None)
    if longest is None:
        return None
    if row.most is not None:
        limit = row.most.of(around.system)
    elif around.thickness is None:
        return _no_thickness("linear")
    else:
        assert row.divisor is not None
        limit = around.thickness / row.divisor
    found, most = around.length(longest, limit), around.length(limit)
    if longest > limit:
        return failed(f"A linear indication is {found} long, more than {most}.", "indications", found, most)
    return passed(f"The longest linear indication is {found}; {most} is allowed.", "indications", found, most)


def _linear_row(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer | None:
    """Linear indications in a row: their lengths within any stretch of `times` thicknesses add up to no
    more than the thickness, unless the gaps between them are wider than `gap` times the longest."""
    assert row.times is not None
    assert row.gap is not None
    if len(_of_type(result, IndicationType.LINEAR)) < 2:
        return None
    ordered, thickness = rows_of(result.indications), around.thickness
    if ordered is None:
        return incomplete(
            "State where each linear indication starts, so that those in a row can be judged.", "indications"
        )
    if thickness is None:
        return _no_thickness("linear")
    worst = max(_sum_within(group, row.times * thickness) for group in _groups(ordered, row.gap))
    found, most = around.length(worst, thickness), around.length(thickness)
    if worst > thickness:
        stretch = around.length(row.times * thickness)
        return failed(
            f"Linear indications in a row add up to {found} within {stretch}, "
            f"more than the thickness of {most}.",
            "indications",
            found,
            most,
        )
    return passed(
        f"Linear indications in a row add up to {found} at most; {most} is allowed.",
        "indications",
        found,
        most,
    )


def _groups(ordered: Sequence[Indication], gap: Decimal) -> list[list[Indication]]:
    """Cut the row at gaps wider than `gap` times the longest of the two groups they part."""
    groups = [[i] for i in ordered]
    while True:
        for index in range(len(groups) - 1):
            left, right = groups[index], groups[index + 1]
            space = (right[0].at or Decimal(0)) - (left[-1].at or Decimal(0)) - left[-1].length
            if space <= gap * max(i.length for i in (*left, *right)):
                groups[index : index + 2] = [left + right]
                break
        else:
            return groups


def _sum_within(group: Sequence[Indication], stretch: Decimal) -> Decimal:
    """The largest sum of lengths that lie, as far as they do, within a stretch starting at one of them."""
    best = Decimal(0)
    for first in group:
        start = first.at or Decimal(0)
        end = start + stretch
        best = max(
            best,
            sum(
                (
                    min(i.length, max(Decimal(0), end - (i.at or Decimal(0))))
                    for i in group
                    if (i.at or Decimal(0)) >= start
                ),
                Decimal(0),
            ),
        )
    return best


def _rounded_size(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer | None:
    assert row.share is not None
    ignored = row.least.of(around.system) if row.least is not None else Decimal(0)
    largest = max(
        (i.length for i in _of_type(result, IndicationType.ROUNDED) if i.length >= ignored), default=None
    )
    if largest is None:
        return None
    if around.thickness is None:
        return _no_thickness("rounded")
    limit = row.share * around.thickness
    if row.most is not None:
        limit = min(limit, row.most.of(around.system))
    found, most = around.length(largest, limit), around.length(limit)
    if largest > limit:
        return failed(f"A rounded indication is {found}, more than {most}.", "indications", found, most)
    return passed(
        f"The largest rounded indication is {found}; {most} is allowed.", "indications", found, most
    )


def _rounded_count(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer | None:
    """No more than `count` rounded indications in `within` of weld, fewer in proportion in a shorter weld."""
    assert row.count is not None
    assert row.within is not None
    rounded = _of_type(result, IndicationType.ROUNDED)
    if not rounded:
        return None
    stretch = row.within.of(around.system)
    if result.examined_length is None:
        return incomplete(
            "State the length examined; the number of rounded indications is judged against it.",
            "examined_length",
        )
    if result.examined_length <= stretch:
        allowed, worst = Decimal(row.count) * result.examined_length / stretch, len(rounded)
    else:
        allowed, worst = Decimal(row.count), len(rounded)
        if worst > allowed and any(i.at is None for i in rounded):
            return incomplete(
                "State where each rounded indication lies, so that those close together can be judged.",
                "indications",
            )
        if worst > allowed:
            worst = max(
                sum(1 for i in rounded if (first.at or 0) <= (i.at or 0) <= (first.at or 0) + stretch)
                for first in rounded
            )
    whole = int(allowed)
    if worst > whole:
        return failed(
            f"There are {worst} rounded indications in "
            f"{around.length(min(stretch, result.examined_length))} of weld; {whole} are "
            "allowed.",
            "indications",
            str(worst),
            str(whole),
        )
    return passed(f"{worst} rounded indications; {whole} are allowed.", "indications", str(worst), str(whole))


def _examined_length(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer:
    assert row.least is not None
    least = row.least.of(around.system)
    if result.examined_length is None:
        return incomplete("State the length examined.", "examined_length")
    found, asked = around.length(result.examined_length, least), around.length(least)
    if result.examined_length < least:
        return not_counted(f"Only {found} was examined; {asked} is asked.", "examined_length", found, asked)
    return passed(f"{found} was examined; {asked} is asked.", "examined_length", found, asked)


def _circumference(row: CheckRow, result: Volumetric, around: Surroundings) -> CheckAnswer:
    """The whole weld of a pipe, of as many small pipes in a row as give the length asked, `count` at most."""
    assert row.least is not None
    assert row.count is not None
    if result.whole_circumference is None:
        return incomplete("State whether the weld was examined all round.", "whole_circumference")
    if not result.whole_circumference:
        return not_counted("The weld was not examined all round.", "whole_circumference")
    diameter, least = around.joint.number("diameter"), row.least.of(around.system)
    if diameter is None:
        return incomplete(
            "State the outside diameter of the coupon; the length examined follows from it.", "coupons"
        )
    needed = min(row.count, int((least / (PI * diameter)).to_integral_value(ROUND_CEILING)))
    if needed > 1 and result.coupons is None:
        return incomplete(
            f"State how many coupons in a row were examined; {needed} are asked at this diameter.", "coupons"
        )
    coupons = result.coupons or 1
    if coupons < needed:
        return not_counted(
            f"At this diameter {needed} coupons in a row are examined; the record has {coupons}.",
            "coupons",
            str(coupons),
            str(needed),
        )
    return passed(
        f"Examined all round; {needed} {'coupon is' if needed == 1 else 'coupons are'} asked.",
        "coupons",
        str(coupons),
        str(needed),
    )


VOLUMETRIC_CHECKS: Mapping[str, AcceptanceCheck] = {
    "accepted": yes_no_check(
        "accepted", True, "The report does not accept the weld.", "whether the report accepts the weld"
    ),
    "reported": AcceptanceCheck(_reported),
    "planar": AcceptanceCheck(_planar),
    "linear_length": AcceptanceCheck(_linear_length, one_of=("most", "divisor")),
    "linear_row": AcceptanceCheck(_linear_row, ("times", "gap")),
    "rounded_size": AcceptanceCheck(_rounded_size, ("share",), ("most", "least")),
    "rounded_count": AcceptanceCheck(_rounded_count, ("count", "within")),
    "examined_length": AcceptanceCheck(_examined_length, ("least",)),
    "circumference": AcceptanceCheck(_circumference, ("least", "count")),
}
