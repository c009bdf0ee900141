"""The coupon plan of a job: what to weld for what is uncovered, its drafts, and the rates it reckons with."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.posted import number_in, posted
from qualification.records.audit import append, name_of
from qualification.roles import author_required, may_author, reader_required
from wps.forms.coupon_plan import CouponCostsForm, DraftsForm
from wps.jobs.coupon_plan import Drafts, PlanInWords, by_number, make_drafts
from wps.jobs.coupon_schedule import schedule
from wps.jobs.plan_work import Work, plan_or_work
from wps.jobs.uncovered import uncovered_today
from wps.models import CouponCosts, Job


@reader_required
def coupon_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """The cheapest coupons for a job; posted, a draft of a test record for each."""
    job, today = get_object_or_404(Job, pk=pk), timezone.localdate()
    found = uncovered_today(job, today)
    plan = plan_or_work(found)
    if isinstance(plan, Work):
        return render(request, "wps/coupon_plan_wait.html", {"job": job, "found": found, "work": plan})
    words = PlanInWords(found, plan)
    slots = schedule(words.coupons, CouponCosts.current().as_rates(), today)
    author = may_author(request.user)
    form = DraftsForm(request.POST if request.method == "POST" else None, coupons=words.coupons)
    if request.method == "POST" and author and form.is_valid():
        welders = by_number(form.cleaned_data, words.coupons)
        days = {slot.coupon.number: slot.begin for slot in slots}
        made = make_drafts(job, plan, found.codes, welders, request.user, days)
        messages.success(request, _said(made))
        return redirect(made.tests[0]) if len(made.tests) == 1 else redirect("coupon_plan", job.pk)
    return render(
        request,
        "wps/coupon_plan.html",
        {"job": job, "found": found, "plan": words, "form": form, "may_author": author, "today": today}
        | {"schedule": slots},
        status=422 if form.errors else 200,
    )


def _said(made: Drafts) -> str:
    names = ", ".join(record.number for record in made.tests)
    count = len(made.tests)
    said = f"{count} draft{'s' if count != 1 else ''} of test records made: {names}."
    if made.procedures:
        said += f" Preliminary WPS: {', '.join(spec.number for spec in made.procedures)}."
    return said


@author_required
def coupon_costs(request: HttpRequest) -> HttpResponse:
    """What coupons cost the shop."""
    stored = CouponCosts.current()
    form = CouponCostsForm(posted(request), costs=stored)
    back = number_in(request.GET.get("job", ""))
    if request.method == "POST" and form.is_valid():
        changed = [form.fields[name].label for name in form.changed_data]
        with transaction.atomic():
            stored.rates = dict(form.cleaned_data)
            stored.changed_by_name = name_of(request.user)
            stored.save()
            append(
                "change",
                stored.KIND,
                stored.pk,
                str(stored),
                name_of(request.user),
                {"detail": "; ".join(map(str, changed))},
            )
        messages.success(request, "Coupon costs are saved.")
        return redirect("coupon_costs") if back is None else redirect("coupon_plan", back)
    return render(
        request,
        "wps/coupon_costs.html",
        {"form": form, "back": Job.objects.filter(pk=back or 0).first()},
        status=422 if form.errors else 200,
    )
