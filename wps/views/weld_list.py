"""The weld list of a job: a grid to read and to type in, what is typed into it, and the list as a file."""

from __future__ import annotations

import json
from typing import Any

from django.core.paginator import Paginator
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.request import RawPostDataException
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.models import Shop, UnitSystem
from qualification.posted import number_in, sought_in
from qualification.roles import author_required, may_author, reader_required
from qualification.tongues.told import told
from wps.jobs.assignments import Judge
from wps.jobs.weld_grid import COLUMNS, rows_of, save_typed, text_of, typed_in
from wps.models import Job, Part
from wps.reading.spreadsheet import XLSX, workbook
from wps.views.downloads import file_response

A_PAGE = 100
SHOW = {"": "All", "no_spec": "No WPS chosen", "no_welder": "No welder chosen", "own": "No detail"}
_FILTERS = {
    "no_spec": Q(spec_number=""),
    "no_welder": Q(welder=None),
    "own": Q(detail=None),
}


def units_of_shop() -> str:
    return UnitSystem.US if Shop.current().inch_first else UnitSystem.SI


@reader_required
def weld_list(request: HttpRequest, job: int) -> HttpResponse:
    """The welds as a grid; authors type in it."""
    found = get_object_or_404(Job, pk=job)
    show, sought = request.GET.get("show", ""), sought_in(request)
    shown = found.parts.select_related("detail", "welder", "job")
    counts = {key: found.parts.filter(rule).count() for key, rule in _FILTERS.items()}
    if show in _FILTERS:
        shown = shown.filter(_FILTERS[show])
    if (detail := number_in(request.GET.get("detail", ""))) is not None:
        shown = shown.filter(detail=detail)
    shown = _sought(shown, sought)
    page = Paginator(shown, A_PAGE).get_page(request.GET.get("page"))
    parts = list(page)
    details = {each.pk: each for each in found.details.all()}
    judge = Judge(found, timezone.localdate())
    return render(
        request,
        "wps/weld_list.html",
        {
            "job": found,
            "columns": COLUMNS,
            "rows": rows_of(parts, details, judge),
            "page": page,
            "show": show,
            "shows": [(key, words, counts.get(key, found.parts.count())) for key, words in SHOW.items()],
            "sought": sought,
            "detail": details.get(detail or 0),
            "details": len(details),
            "units": units_of_shop(),
            "unit_choices": UnitSystem.choices,
            "may_author": may_author(request.user),
        },
    )


def _sought(shown: QuerySet[Part], sought: str) -> QuerySet[Part]:
    for word in sought.split():
        shown = shown.filter(
            Q(mark__icontains=word)
            | Q(title__icontains=word)
            | Q(drawing__icontains=word)
            | Q(detail__number__iexact=word)
            | Q(spec_number__iexact=word)
            | Q(welder__stamp__iexact=word)
        )
    return shown


@author_required
@require_POST
def weld_cells(request: HttpRequest, job: int) -> HttpResponse:
    """Store what was typed into cells, and say of every other what is wrong with it."""
    found = get_object_or_404(Job, pk=job)
    try:
        body = json.loads(request.body)
        typed, units = typed_in(body), body.get("units")
    except (ValueError, KeyError, TypeError, RecursionError, RawPostDataException):  # the last: a form
        return JsonResponse(
            {"problem": told("The cells did not arrive whole. Load the page again.")}, status=400
        )
    units = units if units in UnitSystem.values else units_of_shop()
    rows = save_typed(found, typed, units, timezone.localdate(), request.user)
    for row in rows:
        row["problems"] = {key: told(words) for key, words in row["problems"].items()}
        row["why"] = told(row.get("why"))
        row["shape"] = render_to_string("_verdict.html", row) if "verdict" in row else ""
    return JsonResponse({"rows": rows})


@reader_required
def weld_list_file(request: HttpRequest, job: int) -> HttpResponse:
    """The whole list as a workbook, which can be imported again."""
    found = get_object_or_404(Job, pk=job)
    judge = Judge(found, timezone.localdate())
    rows: list[list[Any]] = []
    for row in rows_of(list(found.parts.select_related("detail", "welder", "job")), {}, judge):
        values: list[Any] = [text_of(row.part, each.key) for each in COLUMNS]
        rows.append([*values, row.words, row.why])
    heads = [*(each.label for each in COLUMNS), "Verdict", "Why"]
    return file_response(
        workbook(f"Welds {found.number}", heads, rows), f"welds-{found.number}.xlsx", XLSX, as_attachment=True
    )
