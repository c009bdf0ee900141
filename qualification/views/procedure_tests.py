"""Procedure tests: the list, a new one, and the pages it shares with welder tests."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from qualification.forms.coupon import ProcedureTestForm, StartForm
from qualification.models import CouponRecord, ProcedureTest
from qualification.posted import posted
from qualification.records.drafts import create_draft
from qualification.roles import author_required, reader_required
from qualification.rules.required.check import missing
from qualification.snapshots.required_items import coupon_items
from qualification.views import coupon_pages
from qualification.views.coupon_list import list_context
from qualification.welders.from_coupon import may_become_welder_test, start_from_coupon, welder_words


def _more(request: HttpRequest, record: CouponRecord) -> dict[str, Any]:
    """A procedure test has a log of its passes beside what both kinds have, and may be its welder's test
    too."""
    assert isinstance(record, ProcedureTest)
    found = {
        "passes_url": reverse("procedure_test_passes", args=[record.pk]),
        "welder_words": welder_words(record),
    }
    if may_become_welder_test(record):
        found["as_welder_test_url"] = reverse("procedure_test_as_welder_test", args=[record.pk])
    return found


PAGES = coupon_pages.Pages(ProcedureTest, ProcedureTestForm, "procedure_test", "procedure_test_list", _more)


@reader_required
def procedure_test_list(request: HttpRequest) -> HttpResponse:
    """All procedure tests, the newest revision of each; found by text, state and result."""
    return render(request, "qualification/procedure_test_list.html", list_context(request, ProcedureTest))


@author_required
def procedure_test_add(request: HttpRequest) -> HttpResponse:
    """Start a procedure test as a draft."""
    form = StartForm(ProcedureTest, posted(request), initial={"like": request.GET.get("like")})
    if request.method == "POST" and form.is_valid():
        record = form.record()
        create_draft(record, request.user)
        messages.success(request, f"{record} is started. Enter what was welded.")
        return redirect("procedure_test_edit", record.pk)
    context = {"form": form, "what": "Start a procedure test", "back_url": reverse("procedure_test_list")}
    return render(request, "qualification/coupon_start.html", context)


@author_required
@require_POST
def procedure_test_as_welder_test(request: HttpRequest, pk: int) -> HttpResponse:
    """Start the welder's own test from the coupon, with its entries and results."""
    test = get_object_or_404(ProcedureTest.objects.select_related("welder"), pk=pk)
    if not may_become_welder_test(test):
        messages.info(
            request,
            f"{test} cannot be a welder's test yet. Name its welder and enter its results; the code has to"
            " have rules for welders.",
        )
        return redirect("procedure_test", pk)
    made = start_from_coupon(test, request.user)
    is_open = bool(missing(coupon_items(made), required_only=True))
    messages.success(
        request,
        f"{made} is started: the coupon of {test} as the test of {made.welder}."
        + (" Enter what its code wants on the certificate besides." if is_open else ""),
    )
    return redirect("welder_test_edit" if is_open else "welder_test", made.pk)
