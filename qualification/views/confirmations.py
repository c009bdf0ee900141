"""Confirming several welders' tests at once: every one that holds, the first one due on top."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from qualification.forms.confirmations import RowForm, Sheet, SheetForm
from qualification.models import Welder, WelderTest
from qualification.posted import posted
from qualification.records.audit import name_of
from qualification.roles import approver_required
from qualification.rules.welders.continuity import Validity as Holding
from qualification.rules.welders.validity_tables import ValidityRules
from qualification.welders.continuity import QualificationStatus, process_lines, rules_of, standings_of
from qualification.welders.validity import acts_of, uses_since
from qualification.welders.validity_acts import ActRefused, record_acts


@approver_required
def confirmations(request: HttpRequest) -> HttpResponse:
    """A sheet of all tests of active welders that are confirmed and have not ended."""
    sheet = _sheet(request)
    if request.method == "POST" and sheet.is_valid():
        acts = sheet.acts()
        try:
            record_acts(acts, request.user)
        except ActRefused as refused:
            sheet.sheet.add_error(None, str(refused))
        else:
            messages.success(
                request,
                f"{len(acts)} {'confirmation is' if len(acts) == 1 else 'confirmations are'} on record.",
            )
            return redirect("welder_list")
    has_errors = request.method == "POST" and bool(
        sheet.sheet.errors or any(row.errors for row in sheet.rows)
    )
    return render(request, "qualification/confirmations.html", {"sheet": sheet, "has_errors": has_errors})


def _sheet(request: HttpRequest) -> Sheet:
    data, found = posted(request), _open_tests(timezone.localdate())
    rules = {record.pk: _rules(record) for record, _ in found}
    rows = []
    for record, standings in found:
        lines = process_lines(record)
        processes = list(dict.fromkeys(process for process, _ in lines))
        uses = uses_since(record, acts_of(record), processes, [operation for _, operation in lines])
        initial = {"evidence": f"{uses[0].evidence}, {uses[0].used_on}"} if uses else {}
        row = RowForm(record, rules[record.pk], processes, data, initial=initial)
        row.standings = standings
        rows.append(row)
    roles = [role for each in rules.values() for role in each.may_sign("confirmation")]
    return Sheet(SheetForm(roles, data, initial={"by_name": name_of(request.user)}), rows)


def _open_tests(today: date) -> list[tuple[WelderTest, list[QualificationStatus]]]:
    """Tests that are confirmed and have not ended, with their standings; the first one due on top."""
    found: dict[int, tuple[WelderTest, list[QualificationStatus]]] = {}
    for welder in Welder.objects.filter(active=True):
        for standing in standings_of(welder, today):
            record = standing.record
            if (
                isinstance(record, WelderTest)
                and standing.is_confirmed
                and standing.answer.state in (Holding.HOLDS, Holding.UNKNOWN)
            ):
                found.setdefault(record.pk, (record, []))[1].append(standing)
    return sorted(
        found.values(),
        key=lambda pair: (min(each.answer.holds_until or date.max for each in pair[1]), pair[0].number),
    )


def _rules(record: WelderTest) -> ValidityRules:
    rules = rules_of(record)
    assert isinstance(rules, ValidityRules)
    return rules
