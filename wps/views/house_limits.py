"""Limits the shop, a customer or a job lays over the code: listed, added, and ended with a reason."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.codes.house_limits import add_rule, end_rule, limitable, say_rule
from qualification.forms.house_rule import HouseRuleForm, LimitedForm
from qualification.forms.suggestions import suggested_by, suggestions
from qualification.forms.welder import ReasonForm
from qualification.models import HouseRule, OwnerKind, State
from qualification.posted import posted
from qualification.records.history import history_about
from qualification.roles import approver_required, may_approve, reader_required
from qualification.rules.variables.registry import registry
from wps.models import Job, Spec
from wps.procedures.limits_since import limits_since


@dataclass(frozen=True)
class ListedLimit:
    """One limit in words."""

    rule: HouseRule
    label: str
    allowed: str
    speaks_of: str


@reader_required
def house_limits(request: HttpRequest) -> HttpResponse:
    """The limits in force, and those that have ended."""
    listed = [
        ListedLimit(rule, registry()[rule.variable].label, say_rule(rule), _speaks_of(rule))
        for rule in HouseRule.objects.all()
    ]
    events = [event for each in listed for event in history_about(HouseRule.KIND, each.rule.pk)]
    context = {
        "in_force": [each for each in listed if not each.rule.ended_because],
        "ended": [each for each in listed if each.rule.ended_because],
        "events": sorted(events, key=lambda event: event.at, reverse=True),
        "may_add": may_approve(request.user),
        "form": LimitedForm(),
    }
    return render(request, "wps/house_limits.html", context)


@approver_required
def house_limit_add(request: HttpRequest) -> HttpResponse:
    """Add a limit on the property named by `?variable=`; without one, ask which."""
    variable = next((v for v in limitable() if v.key == request.GET.get("variable")), None)
    if variable is None:
        chosen = LimitedForm(request.GET if "variable" in request.GET else None)
        return render(
            request, "wps/house_limit_start.html", {"form": chosen}, status=422 if chosen.errors else 200
        )
    form = HouseRuleForm(variable, posted(request))
    if request.method == "POST" and form.is_valid():
        rule = form.save(commit=False)
        add_rule(rule, request.user)
        messages.success(request, f"{rule} is in force. {_speaks_of(rule)}")
        if outside := _outside(rule):
            messages.warning(
                request,
                f"Approved and outside it now: {', '.join(outside)}. Revise or withdraw them; until then they"
                " stand on the Today page.",
            )
        return redirect("house_limits")
    context = {
        "form": form,
        "variable": variable,
        "owners": _owners(),
        "suggestions": [each for each in suggestions() if each.key == suggested_by(variable)],
    }
    return render(request, "wps/house_limit_add.html", context, status=422 if form.errors else 200)


@approver_required
def house_limit_end(request: HttpRequest, pk: int) -> HttpResponse:
    """End a limit with a reason."""
    rule = get_object_or_404(HouseRule, pk=pk)
    if rule.ended_because:
        raise Http404
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        end_rule(rule, form.cleaned_data["reason"], request.user)
        messages.success(request, f"{rule} has ended.")
        return redirect("house_limits")
    context = {
        "form": form,
        "rule": rule,
        "label": registry()[rule.variable].label,
        "allowed": say_rule(rule),
    }
    return render(request, "wps/house_limit_end.html", context, status=422 if form.errors else 200)


def _specs(rule: HouseRule) -> QuerySet[Spec]:
    found = Spec.objects.exclude(state__in=[State.WITHDRAWN, State.SUPERSEDED])
    return found.filter(customer__iexact=rule.owner_name) if rule.owner_kind == OwnerKind.CUSTOMER else found


def _jobs(rule: HouseRule) -> QuerySet[Job]:
    if rule.owner_kind == OwnerKind.CUSTOMER:
        return Job.objects.filter(customer__iexact=rule.owner_name)
    return (
        Job.objects.filter(number__iexact=rule.owner_name)
        if rule.owner_kind == OwnerKind.JOB
        else Job.objects.all()
    )


def _speaks_of(rule: HouseRule) -> str:
    """How much on file a limit speaks of: a name misspelt speaks of nothing, and has to be seen."""
    jobs = _jobs(rule).count()
    found = f"{jobs} job{'' if jobs == 1 else 's'}"
    if rule.owner_kind != OwnerKind.JOB:
        specs = _specs(rule).count()
        found = f"{specs} procedure{'' if specs == 1 else 's'} and {found}"
    return f"It speaks of {found} on file."


def _outside(rule: HouseRule) -> list[str]:
    """Approved procedures the limit no longer lets be used as they stand."""
    if rule.owner_kind == OwnerKind.JOB:
        return []
    return [
        spec.reference
        for spec in _specs(rule).filter(state=State.APPROVED).order_by("number")
        if limits_since(spec, [rule])
    ]


def _owners() -> list[str]:
    """Customers and job numbers on file, to pick from."""
    names = [
        *Job.objects.values_list("customer", flat=True),
        *Spec.objects.values_list("customer", flat=True),
    ]
    return [
        *sorted({name for name in names if name}),
        *Job.objects.order_by("number").values_list("number", flat=True),
    ]
