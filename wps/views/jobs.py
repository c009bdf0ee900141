"""Jobs: the list, one job with its welds against procedures and welders, and its head."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

from django.contrib import messages
from django.db import transaction
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.audit import append, name_of
from qualification.editions import available_editions
from qualification.models import Shop
from qualification.numbering import next_number
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.findings import Verdict
from qualification.rules.variables import Use
from qualification.summaries import summary
from qualification.who_may_weld import WelderFile
from wps.fitting import Fit, Shelf
from wps.forms.job import JobForm
from wps.models import Job, Part
from wps.part_desk import PartView, active_files

KIND = "job"


@dataclass(frozen=True)
class MatrixRow:
    """One weld of a job: its procedure, and how many may weld it."""

    part: Part
    line: str
    fit: Fit | None
    chosen_is_gone: bool
    offers: int
    """Procedures that would cover it, where none is chosen."""
    may: int
    cannot_be_told: int


@reader_required
def job_list(request: HttpRequest) -> HttpResponse:
    """All jobs, open ones first."""
    sought = request.GET.get("q", "").strip()
    # Counting groups the rows, and a grouped query leaves the model's own order out.
    jobs = Job.objects.annotate(welds=Count("parts")).order_by("-open", "-number")
    for word in sought.split():
        jobs = jobs.filter(Q(number__icontains=word) | Q(title__icontains=word) | Q(customer__icontains=word))
    return render(
        request, "wps/job_list.html", {"jobs": jobs, "sought": sought, "may_author": may_author(request.user)}
    )


@reader_required
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """One job: each weld with the verdict on its procedure and the welders who may make it today."""
    found = get_object_or_404(Job, pk=pk)
    shelf, parts, today = Shelf.for_job(found), list(found.parts.all()), timezone.localdate()
    files = active_files(today, shelf) if parts else []
    seen: dict[str, MatrixRow] = {}
    rows = []
    for part in parts:
        says = json.dumps([part.joint, part.lines, part.units, part.spec_number])
        if says not in seen:
            seen[says] = _row(part, shelf, files)
        rows.append(replace(seen[says], part=part))
    return render(
        request,
        "wps/job.html",
        {
            "job": found,
            "rows": rows,
            "shelf": shelf,
            "welders": len(files),
            "today": today,
            "may_author": may_author(request.user),
        },
    )


def _row(part: Part, shelf: Shelf, files: list[WelderFile]) -> MatrixRow:
    view = PartView.of(part, shelf)
    counted = view.tally(files)
    return MatrixRow(
        part,
        summary(part.joint, part.lines, part.units, Use.PART),
        view.chosen,
        view.chosen_is_gone,
        0 if view.chosen else sum(fit.verdict <= Verdict.COVERED for fit in view.fits),
        counted.may,
        counted.cannot_be_told,
    )


@author_required
def job_new(request: HttpRequest) -> HttpResponse:
    """Open a job."""
    editions = [key for key, _ in available_editions()]
    chosen = Shop.current().code_edition
    numbers = Job.objects.order_by("id").values_list("number", flat=True)
    return _edit(
        request,
        Job(number=next_number(numbers, "J-001"), edition=chosen if chosen in editions else editions[0]),
    )


@author_required
def job_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a job's head."""
    return _edit(request, get_object_or_404(Job, pk=pk))


def _edit(request: HttpRequest, found: Job) -> HttpResponse:
    is_new = found.pk is None
    form = JobForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            saved = form.save()
            append(
                "create" if is_new else "change",
                KIND,
                saved.pk,
                str(saved),
                name_of(request.user),
                {"detail": ", ".join(form.changed_data)},
            )
        messages.success(request, f"{saved} is saved.")
        return redirect(saved)
    return render(
        request,
        "wps/job_edit.html",
        {"form": form, "job": found, "is_new": is_new},
        status=422 if form.errors else 200,
    )
