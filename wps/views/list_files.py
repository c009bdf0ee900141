"""Lists as files: what the list shows, all pages of it, as a workbook or as CSV."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse

from qualification.models import ProcedureTest, WelderTest
from qualification.roles import reader_required
from qualification.views import coupon_list, welders
from qualification.views.lists import Asked
from wps.outside.lists import LISTS
from wps.reading.spreadsheet import XLSX, as_csv, workbook
from wps.views import jobs, lots, procedures
from wps.views.downloads import file_response

CSV = "text/csv; charset=utf-8"
FOUND: dict[str, tuple[tuple[str, ...], Callable[[Asked], Iterable[int]]]] = {
    "welders": (("all",), lambda asked: _ids(welders.found_among(asked))),
    "procedure-test": (("state", "result"), lambda asked: coupon_list.ids_among(ProcedureTest, asked)),
    "welder-test": (("state", "result"), lambda asked: coupon_list.ids_among(WelderTest, asked)),
    "procedures": (("state",), lambda asked: _ids(procedures.found_among(asked))),
    "jobs": (("state",), lambda asked: _ids(jobs.found_among(asked))),
    "lots": (("kind",), lambda asked: _ids(lots.found_among(asked))),
}
"""How a page finds what it lists, with its filters; of a list without them everything goes out."""


def _ids(found: QuerySet[Any]) -> Iterable[int]:
    return found.values_list("pk", flat=True)


@reader_required
def list_file(request: HttpRequest, name: str, form: str) -> HttpResponse:
    """One list as a file, with the filters of its page."""
    if name not in LISTS or form not in ("csv", "xlsx"):
        raise Http404
    listed = LISTS[name]
    found: Iterable[Any] = listed.all()
    if name in FOUND:
        filters, among = FOUND[name]
        asked = Asked(request, f"file {name}", filters)
        order = {pk: place for place, pk in enumerate(among(asked))}
        found = sorted((each for each in found if each.pk in order), key=lambda each: order[each.pk])
    heads, table = listed.table(found)
    if form == "csv":
        return file_response(as_csv(heads, table), f"{name}.csv", CSV, as_attachment=True)
    return file_response(workbook(listed.title, heads, table), f"{name}.xlsx", XLSX, as_attachment=True)
