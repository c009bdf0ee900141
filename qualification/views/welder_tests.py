"""Welder tests: the list, a new one, questioning, and the pages they share with procedure tests."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from qualification.forms.coupon import WelderStartForm, WelderTestForm
from qualification.forms.welder import QuestionForm, ReasonForm
from qualification.models import CouponRecord, State, WelderTest
from qualification.posted import posted
from qualification.roles import approver_required, author_required, may_approve, reader_required
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.outcome_words import citation_content
from qualification.rules.welders.validity_tables import ValidityRules
from qualification.views import coupon_pages
from qualification.views.coupon_list import list_context
from qualification.welders import changes
from qualification.welders.continuity import rules_of, standings_of
from qualification.welders.validity import acts_of, rows_of, way_of


def _more(request: HttpRequest, record: CouponRecord) -> dict[str, Any]:
    """How the test stands today, and whether this person may question it."""
    assert isinstance(record, WelderTest)
    today = timezone.localdate()
    standings = [s for s in standings_of(record.welder, today) if s.record == record]
    may_question = record.state == State.APPROVED and may_approve(request.user)
    return {
        "standings": standings,
        "today": today,
        "may_question": may_question,
        "validity": _validity(request, record),
    }


def _validity(request: HttpRequest, record: WelderTest) -> dict[str, Any] | None:
    """Way, confirmations and prolongations, and what this person may add; `None` where the log of uses keeps
    it."""
    try:
        rules = rules_of(record)
    except TableError:
        return None
    if not isinstance(rules, ValidityRules):
        return None
    acts = acts_of(record)
    way = way_of(acts, rules, record.edition)
    is_open, may_sign = record.state in (State.DRAFT, State.IN_REVIEW), may_approve(request.user)
    in_force = may_sign and record.state == State.APPROVED
    return {
        "rules": rules,
        "way": way,
        "rows": rows_of(record, acts, rules),
        "citation": citation_content(way.citation if way else rules.start),
        "confirmation": citation_content(rules.confirmation),
        "may_strike": may_sign and record.state != State.SUPERSEDED,
        "may_state_way": may_sign and way is None and (in_force or is_open),
        "may_confirm": in_force,
        "may_prolong": in_force and way is not None and way.by == "welds",
        "may_state_conditions": in_force and way is not None and way.by == "records",
    }


PAGES = coupon_pages.Pages(WelderTest, WelderTestForm, "welder_test", "welder_test_list", _more)


@reader_required
def welder_test_list(request: HttpRequest) -> HttpResponse:
    """All welder tests, the newest revision of each; found by text, state and result."""
    return render(request, "qualification/welder_test_list.html", list_context(request, WelderTest))


@author_required
def welder_test_add(request: HttpRequest) -> HttpResponse:
    """Start a welder's test as a draft; `?welder=` names the welder it is of."""
    form = WelderStartForm(
        posted(request), initial={"welder": request.GET.get("welder"), "like": request.GET.get("like")}
    )
    if request.method == "POST" and form.is_valid():
        record = form.start(request.user)
        messages.success(request, f"{record} is started. Enter what was welded.")
        return redirect("welder_test_edit", record.pk)
    context = {"form": form, "what": "Start a welder test", "back_url": reverse("welder_test_list")}
    return render(request, "qualification/coupon_start.html", context)


@approver_required
def welder_test_question(request: HttpRequest, pk: int) -> HttpResponse:
    """Question the ability an approved test shows, or take back a question raised in error."""
    record = get_object_or_404(WelderTest.objects.select_related("welder"), pk=pk)
    if record.state != State.APPROVED:
        messages.info(request, f"{record} is not approved, so it qualifies nothing that could be questioned.")
        return redirect("welder_test", record.pk)
    is_back = record.questioned_on is not None
    form = (ReasonForm if is_back else QuestionForm)(posted(request))
    if request.method == "POST" and form.is_valid():
        if is_back:
            changes.take_question_back(record, form.cleaned_data["reason"], request.user)
        else:
            changes.question(
                record, form.cleaned_data["questioned_on"], form.cleaned_data["reason"], request.user
            )
        messages.success(request, f"{record} is {'no longer questioned' if is_back else 'questioned'}.")
        return redirect("welder_test", record.pk)
    return render(
        request,
        "qualification/welder_test_question.html",
        {"form": form, "record": record, "is_back": is_back},
    )
