"""The weld log of a job: the list with what was done at a desk, one weld on a phone, and striking a line."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.models import Welder
from qualification.posted import number_in, posted, sought_in
from qualification.roles import author_required, may_author, reader_required
from qualification.server_address import server_address
from qualification.tongues.told import told
from qualification.trials.store import token_from
from wps.documents.attached import panel_of
from wps.documents.codes import qr_svg
from wps.documents.weld_standing import HEADS, WORDS, WeldStatus, marks_in, progress, row_of, standings_of_job
from wps.forms.weld_log import BulkForm, StepForm
from wps.jobs.board import Board
from wps.jobs.weld_log import Entry, LogRefused, Writer, strike_event
from wps.models import Job, Lot, Part, Step, WeldEvent
from wps.reading.spreadsheet import XLSX, workbook
from wps.views.downloads import file_response

A_PAGE, MOST_CODES, MOST_OFFERED = 100, 120, 300
BY_SCRIPT = "text/x-fragment"
"""What the script that keeps entries on a device accepts: no page, only whether it is written."""
SHOWS = {"": "All", "week": "This week", **WORDS}


@reader_required
def weld_log(request: HttpRequest, job: int) -> HttpResponse:
    """The log; posted, what was done to many welds at once."""
    found = get_object_or_404(Job, pk=job)
    author = may_author(request.user)
    form = BulkForm(posted(request) if author else None, prefix="bulk")
    if request.method == "POST" and author and form.is_valid() and _written(request, found, form):
        return redirect("weld_log", job)
    every = standings_of_job(found)
    shown = _shown(request, every)
    page = Paginator(shown, A_PAGE).get_page(request.GET.get("page"))
    show = request.GET.get("show", "")
    return render(
        request,
        "wps/weld_log.html",
        {
            "job": found,
            "form": form,
            "rows": list(page),
            "page": page,
            "show": show,
            "shows": [(key, words, _count(every, key)) for key, words in SHOWS.items()],
            "sought": sought_in(request),
            "progress": progress(every),
            "lots": Lot.objects.filter(events__part__job=found).distinct(),
            "may_author": author,
        },
        status=422 if form.errors else 200,
    )


def _written(request: HttpRequest, job: Job, form: BulkForm) -> bool:
    parts = {part.mark: part for part in job.parts.all()}
    marks, wrong = marks_in(form.cleaned_data["marks"], sorted(parts))
    if wrong or not marks:
        names = ", ".join(f"“{each}”" for each in wrong[:10]) or "Nothing"
        form.add_error("marks", f"Welds: {names} is not a mark of this job. Correct it, or take it out.")
        return False
    for part in parts.values():
        part.job = job
    try:
        made = Writer(job, request.user).write([Entry(parts[mark], **form.entry()) for mark in marks])
    except LogRefused as refused:
        form.add_error(None, str(refused))
        return False
    messages.success(
        request, f"{len(made)} weld{'s are' if len(made) != 1 else ' is'} logged: {_some(marks)}."
    )
    return True


def _some(marks: Sequence[str]) -> str:
    return ", ".join(marks[:12]) + (f" and {len(marks) - 12} more" if len(marks) > 12 else "")


def _is_shown(standing: WeldStatus, show: str) -> bool:
    if show == "week":
        since = timezone.localdate() - timedelta(days=6)
        return any(event.done_on >= since for event in standing.events)
    return show not in WORDS or standing.key == show


def _count(every: Sequence[WeldStatus], show: str) -> int:
    return sum(_is_shown(each, show) for each in every)


def _shown(request: HttpRequest, every: Sequence[WeldStatus]) -> list[WeldStatus]:
    """What the filters of the address leave: how welds stand, a lot, a welder, words."""
    found = [each for each in every if _is_shown(each, request.GET.get("show", ""))]
    if (lot := number_in(request.GET.get("lot", ""))) is not None:
        found = [each for each in found if lot in {held.pk for held in each.lots}]
    if (welder := number_in(request.GET.get("welder", ""))) is not None:
        found = [each for each in found if welder in {event.welder_id for event in each.events}]
    for word in sought_in(request).casefold().split():
        found = [each for each in found if word in _text(each)]
    return found


def _text(standing: WeldStatus) -> str:
    part = standing.part
    said = [part.mark, part.title, part.detail.number if part.detail else ""]
    said += [event.welder.stamp for event in standing.events if event.welder]
    return " ".join([*said, *(lot.number for lot in standing.lots)]).casefold()


@author_required
def weld_log_one(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """One weld on a phone: who may weld it, and one tap for each thing that was done."""
    part = get_object_or_404(Part.objects.select_related("job", "detail", "welder"), pk=pk, job_id=job)
    today = timezone.localdate()
    form = StepForm(posted(request), initial=_usual(part, request))
    by_script = request.headers.get("Accept", "") == BY_SCRIPT
    if request.method == "POST" and form.is_valid():
        token = token_from(request.POST.get("token", ""))
        try:
            Writer(part.job, request.user).write_once(Entry(part, token=token, **form.entry()))
        except LogRefused as refused:
            form.add_error(None, str(refused))
        else:
            request.session["logged"] = _last(form)
            step = Step(form.cleaned_data["step"]).label
            messages.success(request, f"{part.mark} is logged: {step.lower()}.")
            if by_script:
                return HttpResponse(status=204)
            after = _next(part) if request.POST.get("do") == "next" else None
            return redirect("weld_log_one", job, (after or part).pk)
    if by_script and request.method == "POST":
        words = " ".join(told(error) for errors in form.errors.values() for error in errors)
        return HttpResponse(words, status=422, content_type="text/plain; charset=utf-8")
    standing = standings_of_job(part.job, [part])[0]
    page = Board.of(part.job, today).page(part)
    may = [place.file.welder for place in page.ranking.places if place.may]
    chosen = _welder(form, part)
    return render(
        request,
        "wps/weld_log_one.html",
        {
            "part": part,
            "job": part.job,
            "form": form,
            "standing": standing,
            "events": part.events.select_related("welder").prefetch_related("lots"),
            "view": page.view,
            "may": may,
            "welder": chosen,
            "why": Writer(part.job, request.user).why_not(part, chosen, today) if chosen else "",
            "today": today,
            "next": _next(part),
            "rest": _rest(part).order_by("mark")[:MOST_OFFERED],
            "token": uuid4(),
            "may_author": True,
            "photo_token": uuid4(),
            **panel_of(part),
        },
        status=422 if form.errors else 200,
    )


def _usual(part: Part, request: HttpRequest) -> dict[str, Any]:
    """What is most likely: the step that follows, the welder assigned, and what was logged last here."""
    standing = standings_of_job(part.job, [part])[0]
    last = request.session.get("logged", {})
    following = {"open": Step.WELDED, "repair": Step.REPAIR, "visual": Step.VISUAL, "nde": Step.NDE}
    return {
        **last,
        "step": request.GET.get("step", following.get(standing.key, Step.FIT_UP)),
        "welder": number_in(request.GET.get("welder", "")) or part.welder_id or last.get("welder"),
        "method": standing.nde_open[0] if standing.nde_open else "",
    }


def _last(form: StepForm) -> dict[str, Any]:
    data = form.cleaned_data
    return {
        "welder": data["welder"].pk if data["welder"] else None,
        "by_name": data["by_name"],
        "gas": data["gas"],
        "lots": [lot.pk for lot in data.get("lots") or ()],
    }


def _welder(form: StepForm, part: Part) -> Welder | None:
    typed = form["welder"].value()
    pk = typed if isinstance(typed, int) else number_in(str(typed or ""))
    return Welder.objects.filter(pk=pk, active=True).first() if pk else None


def _next(part: Part) -> Part | None:
    """The next weld of the same detail, else of the job, that is not logged as welded."""
    after = _rest(part).filter(mark__gt=part.mark).order_by("mark")
    return (after.filter(detail=part.detail).first() if part.detail_id else None) or after.first()


def _rest(part: Part) -> QuerySet[Part]:
    """The other welds of the job that are not logged as welded."""
    done = WeldEvent.objects.filter(part=OuterRef("pk"), step=Step.WELDED, struck_because="")
    return part.job.parts.exclude(Exists(done)).exclude(pk=part.pk)


@author_required
@require_POST
def log_strike(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Strike a line of the log with a reason."""
    event = get_object_or_404(WeldEvent.objects.select_related("part__job"), pk=pk, part__job_id=job)
    reason = request.POST.get("reason", "").strip()
    try:
        if not reason:
            raise LogRefused("Enter why the line is struck.")
        strike_event(event, reason, request.user)
        messages.success(request, f"The line of {event.part.mark} is struck; it stays readable.")
    except LogRefused as refused:
        messages.error(request, str(refused))
    return redirect("weld_log_one", job, event.part_id)


@reader_required
def weld_log_file(request: HttpRequest, job: int) -> HttpResponse:
    """The log as a workbook."""
    found = get_object_or_404(Job, pk=job)
    rows = [row_of(each) for each in standings_of_job(found)]
    name = f"weld-log-{found.number}.xlsx"
    return file_response(workbook(f"Weld log {found.number}", HEADS, rows), name, XLSX, as_attachment=True)


@reader_required
def weld_codes(request: HttpRequest, job: int) -> HttpResponse:
    """A code for each weld, to print and put beside it: scanned, it opens the weld's log on a phone."""
    found = get_object_or_404(Job, pk=job)
    known = list(found.parts.order_by("mark").values_list("mark", flat=True))
    typed = request.GET.get("marks", "")[:400]
    marks, wrong = marks_in(typed, known) if typed.strip() else (known[:MOST_CODES], [])
    address = server_address()
    parts = found.parts.filter(mark__in=marks[:MOST_CODES]).select_related("detail").order_by("mark")
    codes = [(part, qr_svg(f"{address}{reverse('weld_log_one', args=[job, part.pk])}")) for part in parts]
    return render(
        request,
        "wps/weld_codes.html",
        {
            "job": found,
            "codes": codes if address else [],
            "address": address,
            "typed": typed,
            "wrong": wrong,
            "more": max(0, len(marks) - MOST_CODES) if typed.strip() else max(0, len(known) - MOST_CODES),
        },
    )
