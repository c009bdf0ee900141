"""The work sheet of an edition's tables: what is left to confirm, the sheet on paper, entering it back."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from qualification.codes.editions import available_editions
from qualification.posted import number_in, posted
from qualification.roles import APPROVER, SignedInRequest, may_approve, needs_role, reader_required
from qualification.rules.tabular.schema import TableError
from wps.corrections.work_sheet import Line, Part, RowChanged, WorkSheet, confirm
from wps.corrections.work_sheet import work_sheet as sheet_of
from wps.corrections.work_sheet_paper import sheet_paper
from wps.forms.work_sheet import LONGEST_ANSWER, WorkSheetForm, answers_in

ROWS = 20
"""Rows entered at once."""


@reader_required
def work_sheet(request: SignedInRequest, edition: str) -> HttpResponse:
    """The next rows of a sheet, to be confirmed one by one from the keyboard. A number that differs from ours
    is not saved: it leads to the row's own page, which shows what the correction changes."""
    sheet, part, start = _asked_for(request, edition)
    form = WorkSheetForm(edition, posted(request))
    typed: dict[int, str] = {}
    refusal = ""
    if request.method == "POST":
        if not may_approve(request.user):
            return needs_role(request, APPROVER)
        answers = answers_in(request.POST)
        typed = {number: said for number, (said, _) in answers.items()}
        if not answers:
            refusal = "Nothing is entered. Press Enter in a row where the book says the same."
        elif form.is_valid():
            try:
                return _entered(request, sheet, part, answers, form.cleaned_data)
            except RowChanged as changed:
                refusal = str(changed)
    return _page(request, sheet, part, start, form, typed, refusal)


def _page(
    request: SignedInRequest,
    sheet: WorkSheet,
    part: Part,
    start: int,
    form: WorkSheetForm,
    typed: dict[int, str],
    refusal: str,
) -> HttpResponse:
    waiting = [line for line in sheet.of(part) if line.row.number >= start]
    shown = waiting[:ROWS]
    context = {
        "edition": sheet.edition,
        "key": sheet.edition.id,
        "part": part,
        "parts": [(each, each.words, len(sheet.of(each))) for each in Part],
        "rows": [(line, typed.get(line.row.number, "")) for line in shown],
        "start": start,
        "next": waiting[ROWS].row.number if len(waiting) > ROWS else None,
        "left": sheet.left,
        "headings": sheet.by_heading,
        "differing": _differing(request, sheet),
        "form": form,
        "refusal": refusal,
        "may_check": may_approve(request.user),
        "longest": LONGEST_ANSWER,
    }
    status = 409 if refusal else 422 if form.errors else 200
    return render(request, "wps/work_sheet.html", context, status=status)


def _entered(
    request: SignedInRequest,
    sheet: WorkSheet,
    part: Part,
    answers: dict[int, tuple[str, str]],
    head: dict[str, Any],
) -> HttpResponse:
    """Confirm the rows that say the same and go on with the next; those that differ are named there. Raises
    RowChanged."""
    by_number = {line.row.number: line for line in sheet.lines}
    differ = [
        (number, typed)
        for number, (typed, _) in answers.items()
        if number in by_number and not by_number[number].row.says_the_same(typed)
    ]
    same = {number: shown for number, (_, shown) in answers.items() if number not in dict(differ)}
    made = confirm(sheet, same, head["checked_on"], head["copy"], request.user)
    if made:
        count = f"{len(made)} row{'' if len(made) == 1 else 's'} {'is' if len(made) == 1 else 'are'}"
        messages.success(request, f"{count} confirmed against {head['copy']}.")
    query = [("part", part), ("from", max(answers) + 1), *(("book", f"{n}:{typed}") for n, typed in differ)]
    return redirect(f"{reverse('work_sheet', args=[sheet.edition.id])}?{urlencode(query)}")


def _differing(request: SignedInRequest, sheet: WorkSheet) -> list[tuple[Line, str, str]]:
    """Rows of which the book says something else, what it says, and where the correction is shown."""
    by_number = {line.row.number: line for line in sheet.lines}
    found = []
    for each in request.GET.getlist("book")[:ROWS]:
        number, _, typed = each.partition(":")
        line = by_number.get(number_in(number) or 0)
        if line is not None and typed:
            words = line.row.words
            url = reverse("table_row", args=[sheet.edition.id, words.file, words.address])
            found.append(
                (line, typed[:LONGEST_ANSWER], f"{url}?{urlencode({'book': typed[:LONGEST_ANSWER]})}")
            )
    return found


@reader_required
def work_sheet_paper(request: SignedInRequest, edition: str) -> HttpResponse:
    """The sheet as PDF, from the row asked for on."""
    sheet, part, start = _asked_for(request, edition)
    answer = HttpResponse(sheet_paper(sheet, part, start), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="work-sheet-{edition}-{part}-{start}.pdf"'
    return answer


def _asked_for(request: SignedInRequest, edition: str) -> tuple[WorkSheet, Part, int]:
    if edition not in dict(available_editions()):
        raise Http404
    try:
        sheet = sheet_of(edition)
    except TableError as error:
        raise Http404 from error
    wanted = request.GET.get("part", "")
    part = Part(wanted) if wanted in list(Part) else Part.USED if sheet.left.used_left else Part.REST
    return sheet, part, number_in(request.GET.get("from", "")) or 1
