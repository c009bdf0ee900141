"""Importing welds or details: choose a list, match its columns and look, then import it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.models import UnitSystem
from qualification.roles import SignedInRequest, author_required
from wps.forms.weld_list import ImportForm
from wps.jobs.list_look import ImportRefused
from wps.jobs.weld_columns import DETAILS, LOG, TARGETS, WELDS, columns_for
from wps.jobs.weld_import import Look, import_list, keep_list, match
from wps.models import Job, WeldImport
from wps.reading.spreadsheet import XLSX, NotAList, read_sheet, read_text, workbook
from wps.views.downloads import file_response
from wps.views.weld_list import units_of_shop

PAGES = {WELDS: "weld_list", DETAILS: "detail_list", LOG: "weld_log"}
SHOWN = 300
"""Rows shown of a long list; those with problems and changes come first."""


@author_required
def import_start(request: SignedInRequest, job: int) -> HttpResponse:
    """Choose a file, or paste a block from a spreadsheet."""
    found = get_object_or_404(Job, pk=job)
    target = request.GET.get("target", WELDS)
    form = ImportForm(
        *((request.POST, request.FILES) if request.method == "POST" else ()),
        initial={"units": units_of_shop(), "target": target if target in TARGETS else WELDS},
    )
    if request.method == "POST" and form.is_valid():
        data, file = form.cleaned_data, form.cleaned_data["file"]
        try:
            sheet = read_sheet(file.read(), file.name) if file else read_text(data["pasted"])
            name = file.name if file else "Pasted rows"
            kept = keep_list(found, data["target"], sheet, name, data["units"], request.user)
        except NotAList as problem:
            form.add_error("file" if file else "pasted", str(problem))
        else:
            return redirect(kept)
    return render(
        request,
        "wps/import_start.html",
        {"job": found, "form": form},
        status=422 if form.errors else 200,
    )


@author_required
def weld_import(request: SignedInRequest, job: int, pk: int) -> HttpResponse:
    """The list as it would be imported; posted, its columns are matched anew, or it is imported."""
    listed = get_object_or_404(WeldImport.objects.select_related("job"), pk=pk, job_id=job, by=request.user)
    refusal = ""
    if request.method == "POST":
        try:
            if request.POST.get("do") == "import":
                done = import_list(listed, request.POST.get("token", ""), request.user)
                messages.success(
                    request,
                    f"{len(done.added)} added, {len(done.changed)} changed, {done.unchanged} as they were.",
                )
                return redirect(PAGES[listed.target], job)
            if request.POST.get("do") == "drop":
                listed.delete()
                messages.success(request, "Nothing was imported.")
                return redirect("weld_list", job)
            _match(request, listed)
            return redirect("weld_import", job, pk)
        except ImportRefused as why:
            refusal = str(why)
            listed.refresh_from_db()
    return _page(request, listed, refusal)


def _match(request: SignedInRequest, listed: WeldImport) -> None:
    keys = {each.key for each in columns_for(listed.target)}
    chosen = [request.POST.get(f"column-{n}", "") for n in range(len(listed.heads))]
    units = request.POST.get("units", "")
    match(
        listed,
        [key if key in keys else "" for key in chosen],
        units if units in UnitSystem.values else listed.units,
    )


def _page(request: SignedInRequest, listed: WeldImport, refusal: str) -> HttpResponse:
    look = Look(listed, timezone.localdate(), request.user)
    show_all = request.GET.get("show") == "all"
    first = [*look.stopped, *look.changed]
    rows = look.rows if show_all else first or look.added
    options = columns_for(listed.target)
    columns: list[dict[str, Any]] = [
        {"number": n, "head": head, "key": key, "label": next((o.label for o in options if o.key == key), "")}
        for n, (head, key) in enumerate(zip(listed.heads, listed.columns, strict=True))
    ]
    return render(
        request,
        "wps/weld_import.html",
        {
            "job": listed.job,
            "listed": listed,
            "look": look,
            "rows": rows[:SHOWN],
            "more": max(0, len(rows) - SHOWN),
            "problem_list": look.problems[:SHOWN],
            "more_problems": max(0, len(look.problems) - SHOWN),
            "show_all": show_all,
            "first": len(first),
            "columns": columns,
            "options": options,
            "unit_choices": UnitSystem.choices,
            "what": TARGETS[listed.target].lower(),
            "refusal": refusal,
        },
        status=422 if refusal else 200,
    )


@author_required
def failed_rows(request: SignedInRequest, job: int, pk: int) -> HttpResponse:
    """The rows that cannot be imported, each with what is wrong with it, as a workbook."""
    listed = get_object_or_404(WeldImport.objects.select_related("job"), pk=pk, job_id=job, by=request.user)
    heads, rows = Look(listed, timezone.localdate(), request.user).failed_rows()
    return file_response(
        workbook("Rows to correct", heads, rows),
        f"rows-to-correct-{listed.pk}.xlsx",
        XLSX,
        as_attachment=True,
    )
