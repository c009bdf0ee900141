"""Every row of an edition, asked about one test or about a procedure and its tests: which spoke, and why the
others did not."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from qualification.evidence.every_row import RowTable, rows_of_test
from qualification.models import Record
from qualification.roles import reader_required
from qualification.rules.core.program import program
from qualification.rules.editions.edition_facts import kind_of
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.views.coupon_desk import Pages


@reader_required
def coupon_rows(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Every row asked about a stored test as it stands, judged by today's tables."""
    record = get_object_or_404(pages.model, pk=pk)
    try:
        made, tables = rows_of_test(record)
    except TableError as error:
        return rows_page(request, record, None, (), str(error))
    return rows_page(request, record, made, tables)


def rows_page(
    request: HttpRequest,
    record: Record,
    made: Edition | None,
    tables: Sequence[RowTable],
    problem: str = "",
) -> HttpResponse:
    """The page on a record: one table for each line of each test."""
    context = {
        "record": record,
        "name": str(record),
        "back": record.get_absolute_url(),
        "edition": made,
        "rests_on": kind_of(made).words if made else "",
        "program": program(),
        "tables": tables,
        "problem": problem,
    }
    return render(request, "qualification/every_row.html", context)
