"""A welder's qualification that is confirmed and prolonged: stating its way, confirming, prolonging,
striking."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.forms.validity import ActForm, ConditionsForm, ConfirmationForm, ProlongationForm, WayForm
from qualification.forms.welder import ReasonForm
from qualification.models import ActKind, ProcessUse, State, ValidityAct, WelderTest
from qualification.posted import posted
from qualification.records.audit import name_of
from qualification.roles import approver_required
from qualification.rules.welders.validity_tables import ValidityRules
from qualification.welders.continuity import process_lines, rules_of, standings_of
from qualification.welders.validity import acts_of, rows_of, uses_since, way_of
from qualification.welders.validity_acts import (
    BEFORE_APPROVAL,
    ActRefused,
    not_in_force,
    record_act,
    strike_act,
)

FORMS: dict[str, type[ActForm]] = {
    "way": WayForm,
    "confirm": ConfirmationForm,
    "prolong": ProlongationForm,
    "conditions": ConditionsForm,
}
"""Forms by the last part of their address."""
TITLES = {
    "way": "State the way of going on",
    "confirm": "Confirm the qualification",
    "prolong": "Prolong the qualification",
    "conditions": "State the conditions of the way",
}


@approver_required
def act_add(request: HttpRequest, pk: int, what: str) -> HttpResponse:
    """Record one act on a welder's test."""
    record = get_object_or_404(WelderTest.objects.select_related("welder"), pk=pk)
    rules = rules_of(record)
    if (refusal := _not_here(record, rules, what)) or not isinstance(rules, ValidityRules):
        messages.info(request, refusal)
        return redirect(record)
    acts, lines = acts_of(record), process_lines(record)
    way = way_of(acts, rules, record.edition)
    processes = list(dict.fromkeys(process for process, _ in lines))
    uses = (
        uses_since(record, acts, processes, [operation for _, operation in lines])
        if what == "confirm"
        else []
    )
    form = FORMS[what](record, rules, way, processes, posted(request), initial=_initial(request, what, uses))
    if request.method == "POST" and form.is_valid():
        act = form.act()
        try:
            record_act(act, request.user)
        except ActRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _recorded(record, act, rules))
            return redirect(record)
    context = {
        "form": form,
        "record": record,
        "title": TITLES[what],
        "what": what,
        "rules": rules,
        "way": way,
        "uses": uses,
    }
    return render(request, "qualification/validity_form.html", context)


def _not_here(record: WelderTest, rules: object, what: str) -> str:
    """Why this act has no place on the record; empty where it has."""
    if not isinstance(rules, ValidityRules):
        return f"{record} is kept by the continuity log, not by confirmations."
    if record.state != State.APPROVED and not (what == "way" and record.state in BEFORE_APPROVAL):
        return not_in_force(record)
    way = way_of(acts_of(record), rules, record.edition)
    wanted = {"prolong": "welds", "conditions": "records"}.get(what)
    if wanted and way is None:
        return "State the way of going on first; it decides whether the test is prolonged."
    if wanted and way is not None and way.by != wanted:
        return f"The way on record is {way.key}: {way.because}"
    if what == "way" and len(rules.ways) == 1:
        return f"There is but one way: {rules.ways[0].because}"
    return ""


def _initial(request: HttpRequest, what: str, uses: list[ProcessUse]) -> dict[str, str]:
    """Who is signed in, save where an examiner signs, and the last line of the log as evidence."""
    found = {} if what == "prolong" else {"by_name": name_of(request.user)}
    return {**found, "evidence": f"{uses[0].evidence}, {uses[0].used_on}"} if uses else found


def _recorded(record: WelderTest, act: ValidityAct, rules: ValidityRules) -> str:
    """That it is on record, and what it did."""
    row = next(row for row in rows_of(record, acts_of(record), rules) if row.act.pk == act.pk)
    if row.why_not:
        return f"{act} is on record and does not count. {row.why_not}"
    said = "; ".join(
        f"{s.process}: {s.words.lower()}"
        for s in standings_of(record.welder, timezone.localdate())
        if s.record == record
    )
    return f"{act} is on record. {said}." if said else f"{act} is on record."


@approver_required
def act_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike an act with a reason; it stays readable."""
    act = get_object_or_404(ValidityAct.objects.select_related("test__welder"), pk=pk)
    record = act.test.revisions().filter(state=State.APPROVED).first() or act.test
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            strike_act(act, form.cleaned_data["reason"], request.user)
        except ActRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{act} is struck.")
            return redirect(record)
    return render(
        request,
        "qualification/validity_strike.html",
        {"form": form, "act": act, "record": record, "is_way": act.kind == ActKind.WAY},
    )
