"""Every row of an edition and what it said, as JSON."""

from __future__ import annotations

from collections.abc import Iterable

from ..core.facts import Coupon, Side, Weld
from ..ranges.every_row import AskedRow, every_row
from ..ranges.every_row_words import say_row
from ..tabular.edition import Edition
from .values import Json


def rows_json(coupons: Iterable[Coupon], made: Edition, side: Side, weld: Weld | None = None) -> Json:
    """Under `every_row`: each line of each test, with a weld once for each of its lines of that process."""
    return {
        "every_row": [
            {
                "record": line.record,
                "line": line.line,
                "weld_line": line.weld_line,
                "process": line.process,
                "rows": [_row(each, coupon.system) for each in line.rows],
            }
            for coupon in coupons
            for line in every_row(coupon, made, side, weld)
        ]
    }


def _row(asked: AskedRow, system: str) -> Json:
    said = say_row(asked, system)
    return {
        "variable": asked.row.variable,
        "clause": said.citation.clause,
        "row": said.citation.row,
        "provenance": said.citation.provenance.value,
        "rule": said.because,
        "encoded": said.is_encoded,
        "said": said.key,
        "verdict": said.verdict or None,
        "words": list(said.words),
    }
