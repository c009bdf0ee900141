"""Every row of an edition, asked about one test or about a procedure and its tests: which spoke, and why the
others did not."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from qualification.evidence.coverage import SIDES, coupon_of, edition_of
from qualification.roles import reader_required
from qualification.rules.core.facts import Coupon
from qualification.rules.core.program import program
from qualification.rules.ranges.every_row import Answer, AskedLine, every_row
from qualification.rules.ranges.every_row_words import say_row
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.views.coupon_drafts import Pages

COUNTED = (
    (Answer.SPOKE, "spoke"),
    (Answer.OPEN, "wait for an entry"),
    (Answer.NOT_MET, "do not speak of such a test"),
    (Answer.EXEMPT, "exempt it"),
    (Answer.OTHER_PROCESS, "are of other processes"),
)


@reader_required
def coupon_rows(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Every row asked about a stored test as it stands, judged by today's tables."""
    record = get_object_or_404(pages.model, pk=pk)
    try:
        made = edition_of(record.edition)
    except TableError as error:
        return rows_page(request, str(record), record.get_absolute_url(), None, (), str(error))
    coupon = coupon_of(record)
    lines = every_row(coupon, made, SIDES[type(record)])
    return rows_page(
        request, str(record), record.get_absolute_url(), made, [(coupon, line) for line in lines]
    )


def rows_page(
    request: HttpRequest,
    name: str,
    back: str,
    made: Edition | None,
    asked: Iterable[tuple[Coupon, AskedLine]],
    problem: str = "",
) -> HttpResponse:
    """The page on a record of that name: one table for each line of each test."""
    context = {
        "name": name,
        "back": back,
        "edition": made,
        "program": program(),
        "tables": [_table(coupon, line) for coupon, line in asked],
        "problem": problem,
    }
    return render(request, "qualification/every_row.html", context)


def _table(coupon: Coupon, line: AskedLine) -> dict[str, Any]:
    counts = [(line.count(answer), words) for answer, words in COUNTED if line.count(answer)]
    return {
        "record": line.record,
        "line": line.line + 1,
        "weld_line": None if line.weld_line is None else line.weld_line + 1,
        "process": line.process,
        "counts": counts,
        "refusals": coupon.refusals,
        "not_encoded": sum(not row.is_encoded for row in line.rows),
        "rows": [say_row(row, coupon.system) for row in line.rows],
    }
