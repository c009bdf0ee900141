"""The welds of a job: one to read, its editor, and the choice of its procedure."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.audit import append, name_of
from qualification.history import history_about
from qualification.models import Shop, State, UnitSystem
from qualification.numbering import next_number
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.entered import entered_groups
from qualification.rules.findings import Verdict
from qualification.rules.variables import Use
from wps.documents.sketch import sketch_of
from wps.fitting import Shelf
from wps.models import Job, Part, Spec
from wps.next_coupon import tests_that_carry
from wps.part_desk import KIND, PartDesk, PartView, active_files
from wps.welding_today import gaps, in_words, limits_in_words


def _part(job: int, pk: int) -> Part:
    return get_object_or_404(Part.objects.select_related("job"), pk=pk, job_id=job)


@reader_required
def part(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """One weld: what is drawn, which procedures cover it, and who may weld it today."""
    found = _part(job, pk)
    view, today = PartView.of(found, Shelf.for_job(found.job)), timezone.localdate()
    answers = view.answers(active_files(today, view.shelf))
    is_carried = any(fit.verdict <= Verdict.COVERED for fit in view.fits)
    groups = [g for g in entered_groups(found.joint, found.lines, Use.PART, found.units) if g.rows]
    return render(
        request,
        "wps/part.html",
        {
            "part": found,
            "view": view,
            "today": today,
            "answers": in_words(answers, found.units),
            "gaps": gaps(view.weld, answers, view.shelf.for_welders, found.units, view.house),
            "limits": limits_in_words(view.weld, view.house, view.shelf.edition, found.units),
            "groups": groups,
            "sketch": sketch_of(found.joint, found.units, found.lines, Use.PART),
            "may_author": may_author(request.user),
            "is_carried": is_carried,
            "carriers": [] if is_carried else tests_that_carry(view.drawn, view.shelf.edition),
            "events": history_about(KIND, found.pk),
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
    is_new = found.pk is None
    desk = PartDesk(found, request.POST if request.method == "POST" else None)
    if request.method == "POST" and not desk.forms.arranged and desk.save(request.user):
        messages.success(request, f"{desk.part} is saved.")
        return (
            redirect("part_edit", desk.part.job_id, desk.part.pk)
            if request.POST.get("do") == "save"
            else redirect(desk.part)
        )
    status = 409 if desk.conflict else 422 if desk.head.errors else 200
    return render(
        request,
        "wps/part_edit.html",
        {"desk": desk, "part": found, "job": found.job, "is_new": is_new},
        status=status,
    )


@author_required
@require_POST
def part_check(request: HttpRequest, job: int, pk: int | None = None) -> HttpResponse:
    """What procedures make of the weld as typed so far; nothing is stored."""
    found = Part(job=get_object_or_404(Job, pk=job)) if pk is None else _part(job, pk)
    return render(request, "wps/_part_check.html", {"desk": PartDesk(found, request.POST), "live": True})


@author_required
@require_POST
def part_choose(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Choose the procedure a weld is made by."""
    found, number = _part(job, pk), request.POST.get("spec_number", "")
    if number and not Spec.objects.filter(number=number, state=State.APPROVED).exists():
        messages.error(request, f"{number} has no approved revision. Choose another procedure.")
        return redirect(found)
    with transaction.atomic():
        before, found.spec_number = found.spec_number, number
        found.save(update_fields=["spec_number"])
        append(
            "change",
            KIND,
            found.pk,
            str(found),
            name_of(request.user),
            {"detail": f"chosen WPS: {before or 'none'} to {number or 'none'}"},
        )
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
