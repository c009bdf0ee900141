"""Every row of its edition, asked about a procedure and each of its supporting tests, or about a test."""

from __future__ import annotations

from qualification.evidence.coverage import coupon_of
from qualification.evidence.every_row import RowTable, row_tables, rows_of_test
from qualification.models import CouponRecord, Record
from qualification.rules.core.facts import Side
from qualification.rules.ranges.every_row import every_row
from qualification.rules.tabular.edition import Edition
from wps.models import Spec
from wps.procedures.approval import judgement_of


def rows_of_procedure(spec: Spec) -> tuple[Edition, tuple[RowTable, ...]]:
    """The procedure as entered, held against every row of each test, whichever covers it in the end. Raises
    TableError where the tables cannot be trusted."""
    judged = judgement_of(spec)
    return judged.edition, row_tables(
        (coupon, line)
        for coupon in map(coupon_of, spec.tests.all())
        for line in every_row(coupon, judged.edition, Side.PROCEDURE, judged.weld)
    )


def rows_of(record: Record) -> tuple[Edition, tuple[RowTable, ...]]:
    """As `rows_of_procedure`, of a record of any kind."""
    assert isinstance(record, Spec | CouponRecord)
    return rows_of_procedure(record) if isinstance(record, Spec) else rows_of_test(record)
