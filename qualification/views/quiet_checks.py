"""The checks by common sense: listed, left aside by the shop with a reason, and taken back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.codes.quiet_checks import in_force, leave_aside, take_back
from qualification.forms.welder import ReasonForm
from qualification.models import QuietCheck
from qualification.roles import approver_required, may_approve, reader_required
from qualification.rules.trials.practice import practice


@dataclass(frozen=True)
class ListedCheck:
    """One check as the page shows it."""

    key: str
    text: str
    basis: str
    quiet: QuietCheck | None


def _rows() -> dict[str, ListedCheck]:
    aside, combinations = in_force(), practice().combinations
    rows: list[Any] = [*combinations.rows, *combinations.of_records.values()]
    return {row.key: ListedCheck(row.key, row.text, row.basis, aside.get(row.key)) for row in rows}


@reader_required
def quiet_checks(request: HttpRequest) -> HttpResponse:
    """Every check, those left aside first, and those that were taken back."""
    rows = sorted(_rows().values(), key=lambda row: row.quiet is None)
    context = {
        "aside": [row for row in rows if row.quiet],
        "pointed_out": [row for row in rows if not row.quiet],
        "taken_back": QuietCheck.objects.exclude(withdrawn_because="").order_by("-id"),
        "may_change": may_approve(request.user),
    }
    return render(request, "qualification/quiet_checks.html", context)


@approver_required
def quiet_check_add(request: HttpRequest, key: str) -> HttpResponse:
    """Leave one check aside, with a reason."""
    row = _rows().get(key)
    if row is None or row.quiet:
        raise Http404
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        leave_aside(key, row.text, form.cleaned_data["reason"], request.user)
        messages.success(request, "The check is left aside. Records still name it, with your reason.")
        return redirect("quiet_checks")
    context = {"row": row, "form": form, "title": "Leave a check aside", "button": "Leave it aside"}
    return render(request, "qualification/quiet_check.html", context, status=422 if form.errors else 200)


@approver_required
def quiet_check_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Point a check out again, with a reason."""
    stored = get_object_or_404(QuietCheck, pk=pk, withdrawn_because="")
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        take_back(stored, form.cleaned_data["reason"], request.user)
        messages.success(request, "The check is pointed out again.")
        return redirect("quiet_checks")
    context = {
        "row": stored,
        "form": form,
        "title": "Point a check out again",
        "button": "Point it out again",
    }
    return render(request, "qualification/quiet_check.html", context, status=422 if form.errors else 200)
