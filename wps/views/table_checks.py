"""Holding one row of the code tables against the shop's own copy: confirming it, correcting it, taking that
back."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from qualification.codes import table_checks
from qualification.codes.editions_in_force import (
    checks_of_row,
    edition_in_force,
    find_row,
    stale_checks,
    without_check,
)
from qualification.forms.table_check import LedgerRow, TableCheckForm
from qualification.forms.welder import ReasonForm
from qualification.models import TableCheck
from qualification.posted import posted
from qualification.records.audit import name_of
from qualification.roles import SignedInRequest, approver_required, may_approve, reader_required
from qualification.rules.editions.table_words import say_path
from qualification.rules.tabular.schema import TableError
from wps.corrections import table_change, upgrades
from wps.corrections.rejudging import RejudgedRecord, TakesLonger, changes_of, changes_under
from wps.forms.work_sheet import LONGEST_ANSWER
from wps.models import Rejudging


@approver_required
def table_row(request: SignedInRequest, edition: str, file: str, place: str) -> HttpResponse:
    """One row with its values. A plain confirmation is saved at once; a correction is first shown with what
    it changes."""
    row = _row(edition, file, place)
    book = request.GET.get("book", "").strip()[:LONGEST_ANSWER]
    form = TableCheckForm(row, name_of(request.user), posted(request), book=book)
    changes: list[RejudgedRecord] | None = None
    if request.method == "POST" and form.is_valid():
        assert form.supposed is not None
        try:
            changes = changes_under(form.supposed, seconds=table_change.IN_A_REQUEST) if form.alters else []
        except TakesLonger:
            return redirect(
                table_change.begin(
                    table_change.propose_correction(
                        row.edition.id, row.words.clause, form.check, form.token, request.user
                    )
                )
            )
        if not form.alters or request.POST.get("seen") == form.token:
            made = table_change.hold(row.edition.id, row.words.clause, form.check, request.user, changes)
            messages.success(request, _said(made, form.alters, len(changes)))
            return redirect("table_row", edition, file, place)
    context = {
        "row": row.words,
        "edition": row.edition,
        "form": form,
        "book": book,
        "changes": changes,
        "token": form.token if changes is not None else "",
        "made": _made(row),
        "back_url": f"{reverse('code_tables')}?edition={edition}&table={file}",
    }
    return render(request, "wps/table_row.html", context, status=422 if form.errors else 200)


@approver_required
def take_back_check(request: SignedInRequest, pk: int) -> HttpResponse:
    """Take a check back with a reason; shows first what that changes."""
    made = get_object_or_404(TableCheck, pk=pk, taken_back_because="")
    url = _row_url(made)
    changes, problem, many = _without(made)
    if many and request.method == "POST":
        return redirect(table_change.begin(table_change.propose_taking_back(made, request.user)))
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid() and not problem:
        table_change.take_back(made, form.cleaned_data["reason"], request.user, changes)
        messages.success(request, f"The check of {made.clause} is taken back.")
        return redirect(url)
    context = {
        "form": form,
        "made": made,
        "corrected": _corrected(made),
        "changes": changes,
        "problem": problem,
        "row_url": url,
        "many": many,
    }
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


@reader_required
def rejudging(request: SignedInRequest, pk: int) -> HttpResponse:
    """What a change of the tables, or an upgrade of the program, changes for the records on file."""
    report = get_object_or_404(Rejudging.objects.select_related("check_made", "asked_by"), pk=pk)
    if report.cause == Rejudging.Cause.UPGRADE:
        return _upgrade(request, report)
    return _change_of_tables(request, report)


def _upgrade(request: SignedInRequest, report: Rejudging) -> HttpResponse:
    """What an upgrade changed, which an approver marks as seen."""
    may_see_off = may_approve(request.user) and report.seen_at is None
    if request.method == "POST" and may_see_off:
        upgrades.mark_seen(report, request.user)
        messages.success(request, "Marked as seen.")
        return redirect(report)
    context = {"report": report, "changes": changes_of(report), "may_see_off": may_see_off}
    return render(request, "wps/upgrade_report.html", context)


@approver_required
def _change_of_tables(request: SignedInRequest, report: Rejudging) -> HttpResponse:
    """What was worked out in the background, and the step it was worked out for: only who asked takes it."""
    may_save = report.asked_by == request.user and report.saved_at is None and report.judged_at is not None
    taking_back = report.cause == Rejudging.Cause.TAKE_BACK
    form = ReasonForm(posted(request)) if taking_back else None
    refusal = ""
    if request.method == "POST" and may_save and (form is None or form.is_valid()):
        try:
            return _take(request, report, form.cleaned_data["reason"] if form is not None else "")
        except table_change.ProposalStale as stale:
            refusal = str(stale)
    context = {
        "report": report,
        "title": str(report),
        "changes": changes_of(report),
        "may_save": may_save,
        "form": form,
        "taking_back": taking_back,
        "refusal": refusal,
        "row_url": _report_row_url(report),
        "corrected": _proposed(report),
        "edition": edition_in_force(report.edition),
    }
    return render(
        request,
        "wps/rejudging.html",
        context,
        status=409 if refusal else 422 if form is not None and form.errors else 200,
    )


def _take(request: SignedInRequest, report: Rejudging, reason: str) -> HttpResponse:
    """Save the correction, or take the check back. Raises ProposalStale."""
    if report.cause == Rejudging.Cause.TAKE_BACK:
        assert report.check_made is not None
        table_change.take_back(report.check_made, reason, request.user, changes_of(report), report)
        messages.success(request, f"The check of {report.check_made.clause} is taken back.")
        return redirect(_row_url(report.check_made))
    made = table_change.save_correction(report, request.user)
    messages.success(request, _said(made, True, len(report.changes)))
    return redirect(_row_url(made))


def _report_row_url(report: Rejudging) -> str:
    if report.check_made is not None:
        return _row_url(report.check_made)
    place = "/".join(map(str, report.proposal["path"]))
    return reverse("table_row", args=[report.edition, report.proposal["file"].removesuffix(".toml"), place])


def _proposed(report: Rejudging) -> list[tuple[str, str]]:
    """What is corrected, and to what."""
    if report.check_made is not None:
        return _corrected(report.check_made)
    return [(say_path(tuple(path)), text) for path, text in report.proposal["changes"]]


def _without(made: TableCheck) -> tuple[list[RejudgedRecord], str, int]:
    """What taking a check back changes; or why the tables cannot do without it, another check resting on it;
    or how many records there are, where judging them all takes longer than a page may."""
    try:
        return changes_under(without_check(made), seconds=table_change.IN_A_REQUEST), "", 0
    except TableError as error:
        return [], str(error), 0
    except TakesLonger as longer:
        return [], "", longer.records


def _said(made: TableCheck, alters: bool, records: int) -> str:
    if not alters:
        return f"{made.clause} is confirmed against {made.copy}."
    judged = (
        "No record on file is"
        if records == 0
        else "1 record on file is"
        if records == 1
        else f"{records} records on file are"
    )
    return f"{made.clause} is corrected after {made.copy}. {judged} judged differently."


def _made(row: LedgerRow) -> list[dict[str, Any]]:
    """Every check of the row, newest first, and what became of it."""
    stale = {made.pk for made in stale_checks(row.edition.id)}
    checks = checks_of_row(row.edition.id, row.file, row.path)
    reports: dict[int, list[Rejudging]] = {}
    for report in Rejudging.objects.filter(check_made__in=checks, saved_at__isnull=False):
        reports.setdefault(report.check_made_id, []).append(report)  # type: ignore[arg-type]
    latest = next((made.pk for made in checks if not made.taken_back_because), None)
    return [
        {
            "check": made,
            "corrected": _corrected(made),
            "state": _state(made, made.pk in stale, made.pk == latest),
            "reports": reports.get(made.pk, []),
        }
        for made in checks
    ]


def _state(made: TableCheck, is_stale: bool, is_latest: bool) -> str:
    if made.taken_back_because:
        return f"Taken back: {made.taken_back_because}"
    if is_stale:
        return "Without effect: the row has changed since. Check it against your copy again."
    return "In force" if is_latest else "Followed by a later check"


def _corrected(made: TableCheck) -> list[tuple[str, str]]:
    return [(say_path(path), text) for path, text in table_checks.corrected_values(made)]
