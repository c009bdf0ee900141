"""Holding one row of the code tables against the shop's own copy: confirming it, correcting it, taking that back."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from qualification import table_checks
from qualification.audit import name_of
from qualification.editions_in_force import checks_of_row, find_row, stale_checks, without_check
from qualification.forms.table_check import LedgerRow, TableCheckForm
from qualification.forms.welder import ReasonForm
from qualification.models import TableCheck
from qualification.roles import approver_required
from qualification.rules.schema import TableError
from qualification.rules.table_words import say_path
from wps.rejudging import Change, changes_under


@approver_required
def table_row(request: HttpRequest, edition: str, file: str, place: str) -> HttpResponse:
    """One row with its values. A plain confirmation is saved at once; a correction is first shown with what it changes."""
    row = _row(edition, file, place)
    form = TableCheckForm(row, name_of(request.user), request.POST or None)
    changes: list[Change] | None = None
    if request.method == "POST" and form.is_valid():
        assert form.supposed is not None
        changes = changes_under(form.supposed) if form.alters else []
        if not form.alters or request.POST.get("seen") == form.token:
            made = table_checks.hold(row.edition.id, row.words.clause, form.check, request.user, [c.as_json() for c in changes])
            messages.success(request, _said(made, form.alters, len(changes)))
            return redirect("table_row", edition, file, place)
    context = {
        "row": row.words, "edition": row.edition, "form": form, "changes": changes, "token": form.token if changes is not None else "",
        "made": _made(row), "back_url": f"{reverse('code_tables')}?edition={edition}&table={file}",
    }
    return render(request, "wps/table_row.html", context, status=422 if form.errors else 200)


@approver_required
def take_back_check(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a check back with a reason; shows first what that changes."""
    made = get_object_or_404(TableCheck, pk=pk, taken_back_because="")
    url = _row_url(made)
    changes, problem = _without(made)
    form = ReasonForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and not problem:
        table_checks.take_back(made, form.cleaned_data["reason"], request.user, [c.as_json() for c in changes])
        messages.success(request, f"The check of {made.clause} is taken back.")
        return redirect(url)
    context = {"form": form, "made": made, "corrected": _corrected(made), "changes": changes, "problem": problem, "row_url": url}
    return render(request, "wps/table_check_take_back.html", context, status=422 if form.errors else 200)


def _row(edition: str, file: str, place: str) -> LedgerRow:
    row = LedgerRow.find(edition, file, place)
    if row is None:
        raise Http404
    return row


def _row_url(made: TableCheck) -> str:
    """The row's page; that of all tables where a later release has no such row."""
    if find_row(made.edition, made.file, made.place) is None:
        return f"{reverse('code_tables')}?edition={made.edition}"
    return reverse("table_row", args=[made.edition, made.stem, made.place])


def _without(made: TableCheck) -> tuple[list[Change], str]:
    """What taking a check back changes; or why the tables cannot do without it, another check resting on it."""
    try:
        return changes_under(without_check(made)), ""
    except TableError as error:
        return [], str(error)


def _said(made: TableCheck, alters: bool, records: int) -> str:
    if not alters:
        return f"{made.clause} is confirmed against {made.copy}."
    judged = "No record on file is" if records == 0 else "1 record on file is" if records == 1 else f"{records} records on file are"
    return f"{made.clause} is corrected after {made.copy}. {judged} judged differently."


def _made(row: LedgerRow) -> list[dict[str, Any]]:
    """Every check of the row, newest first, and what became of it."""
    stale = {made.pk for made in stale_checks(row.edition.id)}
    checks = checks_of_row(row.edition.id, row.file, row.path)
    latest = next((made.pk for made in checks if not made.taken_back_because), None)
    return [{"check": made, "corrected": _corrected(made), "state": _state(made, made.pk in stale, made.pk == latest)} for made in checks]


def _state(made: TableCheck, is_stale: bool, is_latest: bool) -> str:
    if made.taken_back_because:
        return f"Taken back: {made.taken_back_because}"
    if is_stale:
        return "Without effect: the row has changed since. Hold it against the copy again."
    return "In force" if is_latest else "Followed by a later check"


def _corrected(made: TableCheck) -> list[tuple[str, str]]:
    return [(say_path(path), text) for path, text in table_checks.corrected_values(made)]
