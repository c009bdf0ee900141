"""Every row of an edition, asked about a stored test, as the page and the paper show it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from qualification.evidence.coverage import SIDES, coupon_of, edition_of
from qualification.models import CouponRecord
from qualification.rules.core.facts import Coupon
from qualification.rules.ranges.every_row import Answer, AskedLine, every_row
from qualification.rules.ranges.every_row_words import SaidRow, say_row
from qualification.rules.tabular.edition import Edition

COUNTED = (
    (Answer.SPOKE, "spoke"),
    (Answer.OPEN, "wait for an entry"),
    (Answer.NOT_MET, "do not speak of such a test"),
    (Answer.EXEMPT, "exempt it"),
    (Answer.OTHER_PROCESS, "are of other processes"),
)
Asked = Iterable[tuple[Coupon, AskedLine]]


@dataclass(frozen=True)
class RowTable:
    """The rows asked about one line of one test; lines are counted from 1."""

    record: str
    line: int
    weld_line: int | None
    """Of the procedure that is held against the test; None where the test alone was asked about."""
    process: str
    counts: tuple[tuple[int, str], ...]
    """How many rows gave each sort of answer, in words."""
    refusals: tuple[str, ...]
    not_encoded: int
    rows: tuple[SaidRow, ...]


def rows_of_test(record: CouponRecord) -> tuple[Edition, tuple[RowTable, ...]]:
    """The record's edition, and every row asked about it as it stands, judged by today's tables. Raises
    TableError where they cannot be trusted."""
    made, coupon = edition_of(record.edition), coupon_of(record)
    return made, row_tables((coupon, line) for line in every_row(coupon, made, SIDES[type(record)]))


def row_tables(asked: Asked) -> tuple[RowTable, ...]:
    """A table for each line."""
    return tuple(_table(coupon, line) for coupon, line in asked)


def _table(coupon: Coupon, line: AskedLine) -> RowTable:
    return RowTable(
        line.record,
        line.line + 1,
        None if line.weld_line is None else line.weld_line + 1,
        line.process,
        tuple((line.count(answer), words) for answer, words in COUNTED if line.count(answer)),
        coupon.refusals,
        sum(not row.is_encoded for row in line.rows),
        tuple(say_row(row, coupon.system) for row in line.rows),
    )
