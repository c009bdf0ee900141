"""What an edition makes of an actual coupon: the ranges one of the shop's tests, or one typed in, has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from qualification.codes.own_columns import body_of
from qualification.models import ProcedureTest, WelderTest
from qualification.rules.core.facts import Coupon, Side
from qualification.rules.entries.answer_words import Row, row_of_limit
from qualification.rules.entries.reading import read_weld
from qualification.rules.interface.schema import use_of_test
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.tabular.edition import Edition

MODELS = {"procedure": ProcedureTest, "welder": WelderTest}
OFFERED = 40
"""Tests of the shop that are offered, the newest first."""


@dataclass(frozen=True)
class Example:
    """The range of one coupon, or why there is none."""

    rows: tuple[Row, ...]
    problems: tuple[str, ...]


def tests_offered(side: str) -> list[tuple[str, str]]:
    """Id and number of the shop's tests."""
    found = MODELS[side].objects.order_by("-pk")[:OFFERED]
    return [(str(each.pk), f"{each.number} {each.reference}".strip()) for each in found]


def coupon_of(side: str, test: str, typed: str, units: str) -> tuple[dict[str, Any], str]:
    """The coupon of one of the shop's tests, or of what was typed, with its units. Raises ValueError with
    what to type."""
    if test:
        record = MODELS[side].objects.filter(pk=int(test)).first() if test.isdecimal() else None
        if record is None:
            raise ValueError("The test is not on file any more. Choose another, or type the coupon in.")
        return {"joint": _stated(record.joint), "lines": [_stated(line) for line in record.lines]}, str(
            record.units
        )
    return body_of(typed), units


def _stated(level: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in level.items() if value not in ("", [])}


def example_of(
    edition: Edition, side: str, coupon: Mapping[str, Any], units: str, variable: str = ""
) -> Example:
    """Its range under the edition; with `variable` only what it says of that."""
    which = Side(side)
    read = read_weld(coupon["joint"], coupon["lines"], use_of_test(which), units, speaks=edition.speaks)
    if read.problems:
        return Example((), tuple(problem.message for problem in read.problems))
    found = range_qualified(Coupon("T1", read.weld, units), edition, which)
    rows = tuple(
        row_of_limit(limit, units, line.line)
        for line in found.lines
        for limit in line.limits
        if variable in ("", limit.variable)
    )
    return Example(rows, found.refusals)
