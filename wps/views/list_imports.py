"""Importing welders, uses, tests and procedures: choose a list, match its columns, then import it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import ngettext

from qualification.codes.editions import available_editions
from qualification.models import Shop, UnitSystem
from qualification.posted import number_in
from qualification.roles import SignedInRequest, author_required
from wps.forms.list_import import RecordImportForm
from wps.jobs.list_look import ImportRefused
from wps.models import ListImport
from wps.outside.import_columns import RECORDS, TARGETS, columns_for
from wps.outside.list_import import Look, import_list, keep_list, match
from wps.outside.list_scans import ScansRefused, drop_lists, keep_scans, let_go, look_at_scans
from wps.outside.list_templates import template_of
from wps.reading.spreadsheet import XLSX, NotAList, read_sheet, read_text, workbook
from wps.views.downloads import file_response
from wps.views.weld_list import units_of_shop

PAGES = {
    "welders": "welder_list",
    "uses": "welder_list",
    "welder_tests": "welder_test_list",
    "tests": "procedure_test_list",
    "procedures": "procedure_list",
}
SHOWN = 300
"""Rows shown of a long list; those with problems come first."""


@author_required
def import_records(request: SignedInRequest) -> HttpResponse:
    """Choose a file, or paste a block from a spreadsheet."""
    target = request.GET.get("target", "")
    form = RecordImportForm(
        *((request.POST, request.FILES) if request.method == "POST" else ()),
        targets=TARGETS,
        initial={
            "units": units_of_shop(),
            "edition": Shop.current().code_edition,
            "target": target if target in TARGETS else "welders",
        },
    )
    refused: Sequence[tuple[str, str]] = ()
    if request.method == "POST" and form.is_valid():
        data, file, scans = form.cleaned_data, form.cleaned_data["file"], request.FILES.getlist("scans")
        try:
            sheet = read_sheet(file.read(), file.name) if file else read_text(data["pasted"])
            name = file.name if file else "Pasted rows"
            looked = look_at_scans(data["target"], scans)
            with transaction.atomic():
                kept = keep_list(data["target"], sheet, name, data["units"], data["edition"], request.user)
                keep_scans(kept, scans, looked)
        except NotAList as problem:
            form.add_error("file" if file else "pasted", str(problem))
        except ScansRefused as problem:
            refused = problem.reasons
        else:
            return redirect(kept)
    context = {"form": form, "targets": TARGETS.items(), "refused_scans": refused}
    status = 422 if form.errors or refused else 200
    return render(request, "wps/list_import_start.html", context, status=status)


@author_required
def list_template(request: SignedInRequest, target: str) -> HttpResponse:
    """An empty list to fill in."""
    if target not in TARGETS:
        raise Http404
    return file_response(
        workbook(TARGETS[target], *template_of(target)), f"{target}.xlsx", XLSX, as_attachment=True
    )


@author_required
def list_import(request: SignedInRequest, pk: int) -> HttpResponse:
    """The list as it would be imported; posted, its columns are matched anew, or it is imported."""
    listed = get_object_or_404(ListImport, pk=pk, by=request.user)
    refusal = ""
    refused: Sequence[tuple[str, str]] = ()
    if request.method == "POST":
        try:
            if (left := _done(request, listed)) is not None:
                return left
            if request.POST.get("do") == "scans":
                scans = request.FILES.getlist("scans")
                keep_scans(listed, scans, look_at_scans(listed.target, scans))
            elif "leave_out" in request.POST:
                let_go(listed.scans.filter(pk=number_in(request.POST.get("leave_out", "")) or 0))
            else:
                _match(request, listed)
            return redirect(listed)
        except ScansRefused as why:
            refused = why.reasons
        except ImportRefused as why:
            refusal = str(why)
            listed.refresh_from_db()
    return _page(request, listed, refusal, refused)


def _done(request: SignedInRequest, listed: ListImport) -> HttpResponse | None:
    """Import the list, or drop it, where that was asked for."""
    if request.POST.get("do") == "import":
        submit = bool(request.POST.get("submit"))
        done = import_list(listed, request.POST.get("token", ""), request.user, submit=submit)
        messages.success(request, f"{len(done.added)} added, {done.unchanged} as they were.")
        if attached := len(done.scans_new):
            words = ngettext("%(n)s scan attached.", "%(n)s scans attached.", attached)
            messages.success(request, words % {"n": attached})
    elif request.POST.get("do") == "drop":
        drop_lists(ListImport.objects.filter(pk=listed.pk))
        messages.success(request, "Nothing was imported.")
    else:
        return None
    return redirect(PAGES[listed.target])


def _match(request: SignedInRequest, listed: ListImport) -> None:
    keys = {each.key for each in columns_for(listed.target)}
    chosen = [request.POST.get(f"column-{n}", "") for n in range(len(listed.heads))]
    units, edition = request.POST.get("units", ""), request.POST.get("edition", "")
    match(
        listed,
        [key if key in keys else "" for key in chosen],
        units if units in UnitSystem.values else listed.units,
        edition if edition in dict(available_editions()) else listed.edition,
    )


def _page(
    request: SignedInRequest, listed: ListImport, refusal: str, refused: Sequence[tuple[str, str]]
) -> HttpResponse:
    look = Look(listed, timezone.localdate())
    show_all = request.GET.get("show") == "all"
    rows = look.rows if show_all else look.stopped or look.added
    options = columns_for(listed.target)
    columns: list[dict[str, Any]] = [
        {"number": n, "head": head, "key": key}
        for n, (head, key) in enumerate(zip(listed.heads, listed.columns, strict=True))
    ]
    context = {
        "listed": listed,
        "look": look,
        "rows": rows[:SHOWN],
        "more": max(0, len(rows) - SHOWN),
        "problem_list": look.problems[:SHOWN],
        "more_problems": max(0, len(look.problems) - SHOWN),
        "show_all": show_all,
        "columns": columns,
        "options": options,
        "unit_choices": UnitSystem.choices,
        "editions": available_editions(),
        "what": TARGETS[listed.target],
        "are_records": listed.target in RECORDS,
        "refusal": refusal,
        "refused_scans": refused,
    }
    status = 422 if refusal or refused else 200
    return render(request, "wps/list_import.html", context, status=status)


@author_required
def list_import_failed(request: SignedInRequest, pk: int) -> HttpResponse:
    """The rows that cannot be imported, each with what is wrong with it, as a workbook."""
    listed = get_object_or_404(ListImport, pk=pk, by=request.user)
    heads, rows = Look(listed, timezone.localdate()).failed_rows()
    name = f"rows-to-correct-{listed.pk}.xlsx"
    return file_response(workbook("Rows to correct", heads, rows), name, XLSX, as_attachment=True)
