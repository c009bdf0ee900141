"""The welds of a job: one to read, its editor, and the choice of its procedure."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.codes.edition_told import told_of
from qualification.codes.quiet_checks import with_quiet
from qualification.models import Shop, State, UnitSystem
from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.records.history import history_about
from qualification.records.numbering import next_number
from qualification.roles import author_required, may_approve, may_author, reader_required
from qualification.views.desk import live_check, write
from wps.jobs.assignments import AssignmentRefused, Judge, assign, settle_choice
from wps.jobs.board import Board
from wps.jobs.part_desk import PartDesk
from wps.jobs.part_view import KIND
from wps.models import Job, Part, Spec
from wps.procedures.in_brief import facts_of
from wps.views.around_weld import AroundWeld
from wps.views.assignments import assigned_to
from wps.views.details import own_on_the_list
from wps.views.weld_band import band_of, fitting
from wps.views.who_may_weld import gaps_at


def _part(job: int, pk: int) -> Part:
    return get_object_or_404(Part.objects.select_related("job", "detail", "welder"), pk=pk, job_id=job)


@reader_required
def part(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """One weld: what is drawn, which procedures cover it, and who may weld it today."""
    found, today = _part(job, pk), timezone.localdate()
    page = Board.of(found.job, today).page(
        found, request.GET.get("procedures") == "all", request.GET.get("welders") == "all"
    )
    assigned = assigned_to(found, page)
    groups, around = page.groups_told, AroundWeld.of(found)
    return render(
        request,
        "wps/part.html",
        {
            **around.panel,
            "part": found,
            "page": page,
            "view": page.view,
            "answers": page.answers,
            "band": band_of(found, page, assigned["assigned_place"]),
            "groups": groups,
            "facts": facts_of({"entered": groups}),
            "today": today,
            "gaps_at": gaps_at(found.pk, today),
            **fitting(page),
            "money": around.money,
            "figures": page.figures(around.money),
            "checks": [each.as_json() for each in with_quiet(page.checks, around.left_aside)],
            "told_of_editions": [told_of(made) for made in page.view.shelf.editions],
            "may_author": may_author(request.user),
            "may_decide": may_approve(request.user),
            "events": history_about(KIND, found.pk),
            "own": own_on_the_list(found),
            "details": around.details,
            "map_marks": around.map_marks,
            **assigned,
        },
    )


@author_required
def part_new(request: HttpRequest, job: int) -> HttpResponse:
    """Add a weld to a job."""
    owner = get_object_or_404(Job, pk=job)
    units = UnitSystem.US if Shop.current().inch_first else UnitSystem.SI
    marks = owner.parts.order_by("id").values_list("mark", flat=True)
    return _edit(request, Part(job=owner, mark=next_number(marks, "1"), units=units))


@author_required
def part_edit(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Change a weld."""
    return _edit(request, _part(job, pk))


def _edit(request: HttpRequest, found: Part) -> HttpResponse:
    desk = PartDesk(found, posted(request))
    if desk.wants_saving:
        settle_choice(desk, Judge(found.job, timezone.localdate()), name_of(request.user))
    return write(request, desk, "wps/part_edit.html", lambda: {"part": desk.shown, "job": found.job})


@author_required
@require_POST
def part_check(request: HttpRequest, job: int, pk: int | None = None) -> HttpResponse:
    """What procedures make of the weld as typed so far; nothing is stored."""
    found = Part(job=get_object_or_404(Job, pk=job)) if pk is None else _part(job, pk)
    return live_check(request, PartDesk(found, request.POST))


@author_required
@require_POST
def part_choose(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Choose the procedure a weld is made by."""
    found, number = _part(job, pk), request.POST.get("spec_number", "")
    if number and not Spec.objects.filter(number=number, state=State.APPROVED).exists():
        messages.error(request, f"{number} has no approved revision. Choose another procedure.")
        return redirect(found)
    try:
        judge = Judge(found.job, timezone.localdate())
        assign([found], request.user, judge, spec_number=number, reason=request.POST.get("reason", ""))
    except AssignmentRefused as refused:
        messages.error(request, str(refused))
        return redirect(f"{found.get_absolute_url()}#assigned")
    messages.success(
        request,
        f"{found} is welded by {number}." if number else f"No procedure is chosen for {found} any more.",
    )
    return redirect(found)


@author_required
@require_POST
def part_remove(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Take a weld off a job; the audit trail keeps what it said."""
    found = _part(job, pk)
    if found.events.exists():
        messages.error(request, f"{found} has a log. It stays on the job; close the job when it is done.")
        return redirect(found)
    with transaction.atomic():
        content = {
            "joint": found.joint,
            "lines": found.lines,
            "units": found.units,
            "spec_number": found.spec_number,
            "title": found.title,
        }
        append("remove", KIND, found.pk, str(found), name_of(request.user), content)
        found.delete()
    messages.success(request, f"Weld {found.mark} is taken off the job.")
    return redirect("job", job)
