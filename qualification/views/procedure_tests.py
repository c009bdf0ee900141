"""Procedure tests: the list, a new one, and the pages it shares with welder tests."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from qualification.drafts import create_draft
from qualification.forms.coupon import ProcedureTestForm, StartForm
from qualification.models import CouponRecord, ProcedureTest
from qualification.roles import author_required, reader_required
from qualification.views import coupon_pages, other_editions
from qualification.views.coupon_list import list_context


def _more(request: HttpRequest, record: CouponRecord) -> dict[str, Any]:
    """A procedure test has a log of its passes beside what both kinds have."""
    return {"passes_url": reverse("procedure_test_passes", args=[record.pk])}


PAGES = coupon_pages.Pages(ProcedureTest, ProcedureTestForm, "procedure_test", "procedure_test_list", _more)


@reader_required
def procedure_test_list(request: HttpRequest) -> HttpResponse:
    """All procedure tests, the newest revision of each; found by text, state and result."""
    return render(request, "qualification/procedure_test_list.html", list_context(request, ProcedureTest))


@author_required
def procedure_test_add(request: HttpRequest) -> HttpResponse:
    """Start a procedure test as a draft."""
    form = StartForm(ProcedureTest, request.POST or None, initial={"like": request.GET.get("like")})
    if request.method == "POST" and form.is_valid():
        record = form.record()
        create_draft(record, request.user)
        messages.success(request, f"{record} is started. Enter what was welded.")
        return redirect("procedure_test_edit", record.pk)
    context = {"form": form, "what": "Start a procedure test", "back_url": reverse("procedure_test_list")}
    return render(request, "qualification/coupon_start.html", context)


@reader_required
def procedure_test(request: HttpRequest, pk: int) -> HttpResponse:
    """One procedure test."""
    return coupon_pages.record_page(request, PAGES, get_object_or_404(ProcedureTest, pk=pk))


@author_required
def procedure_test_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a draft."""
    return coupon_pages.edit(request, PAGES, pk)


@author_required
@require_POST
def procedure_test_check(request: HttpRequest, pk: int) -> HttpResponse:
    """Read what is typed so far, while somebody types."""
    return coupon_pages.check(request, PAGES, pk)


@author_required
def procedure_test_results(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter test results."""
    return coupon_pages.results(request, PAGES, pk)


@reader_required
@require_POST
def procedure_test_step(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a workflow step; the workflow knows who may."""
    return coupon_pages.step(request, PAGES, pk)


@author_required
@require_POST
def procedure_test_revise(request: HttpRequest, pk: int) -> HttpResponse:
    """Start a new revision."""
    return coupon_pages.revise(request, PAGES, pk)


@reader_required
def procedure_test_editions(request: HttpRequest, pk: int) -> HttpResponse:
    """The coupon under every edition the shop uses."""
    return other_editions.other_editions(request, PAGES, pk)


@author_required
@require_POST
def procedure_test_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Judge the record under another edition from now on."""
    return other_editions.move(request, PAGES, pk)
