"""The continuity log: recording and striking uses of a process, one at a time or for a whole month."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.forms.month import MonthSheet, RowForm, SheetForm
from qualification.forms.welder import ReasonForm, UseForm
from qualification.models import ProcessUse, Welder
from qualification.posted import posted
from qualification.roles import author_required
from qualification.welders import changes
from qualification.welders.in_short import in_short_of_all


@author_required
def use_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that a welder used a process on a day."""
    shown = get_object_or_404(Welder, pk=pk)
    form = UseForm(posted(request))
    if request.method == "POST" and form.is_valid():
        use = changes.NewUse(
            shown, **{key: form.cleaned_data[key] for key in ("process", "operation", "used_on", "evidence")}
        )
        try:
            changes.record_uses([use], request.user)
        except changes.LogRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{use.words} is in the log.")
            return redirect("welder", shown.pk)
    return render(
        request,
        "qualification/use_form.html",
        {"form": form, "welder": shown, "intro": f"By {shown}. Only what can be shown counts."},
    )


@author_required
def use_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a line of the log with a reason; it stays readable."""
    line = get_object_or_404(ProcessUse.objects.select_related("welder"), pk=pk)
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            changes.strike(line, form.cleaned_data["reason"], request.user)
        except changes.LogRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{line.process} on {line.used_on} is struck from the log.")
            return redirect("welder", line.welder_id)
    return render(request, "qualification/use_strike.html", {"form": form, "line": line})


@author_required
def month(request: HttpRequest) -> HttpResponse:
    """Who used what: tick boxes for all active welders on one sheet."""
    sheet = _sheet(request)
    if request.method == "POST" and sheet.is_valid():
        uses = sheet.uses()
        try:
            changes.record_uses(uses, request.user)
        except changes.LogRefused as refused:
            sheet.sheet.add_error(None, str(refused))
        else:
            messages.success(request, f"{len(uses)} {'use is' if len(uses) == 1 else 'uses are'} in the log.")
            return redirect("welder_list")
    has_errors = request.method == "POST" and bool(
        sheet.sheet.errors or any(row.errors for row in sheet.rows)
    )
    return render(
        request,
        "qualification/month.html",
        {"sheet": sheet, "has_errors": has_errors, "today": timezone.localdate()},
    )


def _sheet(request: HttpRequest) -> MonthSheet:
    data, today = posted(request), timezone.localdate()
    rows = []
    for each, short in in_short_of_all(Welder.objects.filter(active=True), today):
        kept = [(s.process, s.operation) for s in short.best if s.operation]
        if kept:
            row = RowForm(each, kept, data)
            row.last_used = each.uses.filter(struck_because="").first()
            rows.append(row)
    return MonthSheet(SheetForm(data), rows)
