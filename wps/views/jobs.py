"""Jobs: the list, one job with its welds against procedures and welders, and its head."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.db.models import Count, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.codes.editions import editions_for_procedures
from qualification.forms.meanwhile import Opened
from qualification.models import Shop
from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.records.numbering import next_number
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import author_required, may_author, reader_required
from qualification.views.lists import Asked, Head
from wps.documents.attached import panel_of
from wps.forms.job import JobForm
from wps.jobs.board import Board
from wps.models import Job, Part

KIND = "job"
LIST_HEADS = (
    Head("Job", ("number",)),
    Head("Title", ("title",)),
    Head("Customer", ("customer",)),
    Head("Welds"),
    Head("State", ("-open", "-number")),
)


@reader_required
def job_list(request: HttpRequest) -> HttpResponse:
    """All jobs, open ones first."""
    asked = Asked(request, "jobs", ("state",))
    page = asked.page_of(found_among(asked))
    counts = dict(
        Part.objects.filter(job__in=list(page)).order_by().values_list("job").annotate(welds=Count("pk"))
    )
    for each in page:
        each.welds = counts.get(each.pk, 0)
    context = {
        **asked.context(page, LIST_HEADS),
        "jobs": page,
        "list": "jobs",
        "sought": asked.text,
        "state": asked["state"],
        "may_author": may_author(request.user),
    }
    return render(request, "wps/job_list.html", context)


def found_among(asked: Asked) -> QuerySet[Job]:
    """Jobs that the list shows, in its order."""
    jobs = Job.objects.all()
    if asked["state"] in ("open", "closed"):
        jobs = jobs.filter(open=asked["state"] == "open")
    for word in asked.text.split():
        jobs = jobs.filter(Q(number__icontains=word) | Q(title__icontains=word) | Q(customer__icontains=word))
    return asked.ordered(jobs, LIST_HEADS)


@reader_required
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """One job: each weld with the verdict on its procedure and the welders who may make it today."""
    found, today = get_object_or_404(Job, pk=pk), timezone.localdate()
    board = Board.of(found, today)
    return render(
        request,
        "wps/job.html",
        {
            "job": found,
            "rows": board.rows(list(found.parts.all())),
            **panel_of(found),
            "shelf": board.shelf,
            "welders": len(board.asked),
            "today": today,
            "may_author": may_author(request.user),
        },
    )


@author_required
def job_new(request: HttpRequest) -> HttpResponse:
    """Open a job."""
    editions = [key for key, _ in editions_for_procedures()]
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
    is_new, opened = found.pk is None, Opened(request, KIND, found)
    form = JobForm(posted(request), instance=found)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(found, lock=True)
            if not opened.clashes(before, form, lambda stored: JobForm(instance=stored)):
                saved = form.save()
                changes = changes_between(before, values_of(saved))
                data = {"detail": ", ".join(form.changed_data), "changes": changes}
                append(
                    "create" if is_new else "change", KIND, saved.pk, str(saved), name_of(request.user), data
                )
                messages.success(request, f"{saved} is saved.")
                return redirect(saved)
    context = {"form": form, "job": found, "is_new": is_new, "opened": opened}
    return render(request, "wps/job_edit.html", context, status=opened.status(form))
