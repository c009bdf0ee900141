"""The library of details of a job: the list, one detail with its entries, and details made of the welds."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.posted import number_in, posted
from qualification.records.audit import append, name_of
from qualification.records.history import history_about
from qualification.records.numbering import next_number
from qualification.records.value_changes import changes_between, values_of
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.variables.registry import registry
from qualification.views.desk import write
from wps.jobs.detail_desk import DetailDesk
from wps.jobs.details import (
    LINES,
    make_details,
    own_of,
    remove_detail,
    shown_facts,
    take_from,
)
from wps.jobs.part_view import KIND as WELD
from wps.models import Detail, Job, Part
from wps.views.weld_list import units_of_shop


def own_on_the_list(part: Part) -> list[str]:
    """Labels of what differs from the detail that a weld follows."""
    own = own_of(part, part.detail).keys if part.detail else frozenset()
    if not own:
        return []
    labels = [registry()[key].label for key in registry() if key in own]
    return [*labels, *(["process lines"] if LINES in own else [])]


@author_required
@require_POST
def part_detail(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Let a weld take its facts from a detail, or from none any more."""
    found = get_object_or_404(Part.objects.select_related("job", "detail"), pk=pk, job_id=job)
    before, number = values_of(found), number_in(request.POST.get("detail", ""))
    detail = get_object_or_404(Detail, pk=number, job_id=job) if number is not None else None
    own = own_of(found, found.detail)
    if detail is None:
        found.detail = None
    elif own.keys and found.units != detail.units:
        messages.error(
            request,
            f"{detail.number} is kept in other units than the weld's own entries. Change those first.",
        )
        return redirect(found)
    else:
        take_from(found, detail, own)
    with transaction.atomic():
        found.save()
        told = {
            "detail": f"detail {detail.number if detail else 'none'}",
            "changes": changes_between(before, values_of(found)),
        }
        append("change", WELD, found.pk, str(found), name_of(request.user), told)
    messages.success(
        request, f"{found} follows detail {detail.number}." if detail else f"{found} follows no detail."
    )
    return redirect(found)


@reader_required
def detail_list(request: HttpRequest, job: int) -> HttpResponse:
    """All details of a job, each with its welds."""
    found = get_object_or_404(Job, pk=job)
    details = list(found.details.annotate(count=Count("welds")).order_by("number"))
    facts = shown_facts(details)
    return render(
        request,
        "wps/detail_list.html",
        {
            "job": found,
            "rows": [(each, facts[each.pk]) for each in details],
            "loose": found.parts.filter(detail=None).count(),
            "may_author": may_author(request.user),
        },
    )


@author_required
def detail_new(request: HttpRequest, job: int) -> HttpResponse:
    """Add a detail."""
    found = get_object_or_404(Job, pk=job)
    numbers = found.details.order_by("id").values_list("number", flat=True)
    units = found.details.values_list("units", flat=True).first() or units_of_shop()
    return _edit(request, Detail(job=found, number=next_number(numbers, "D-01"), units=units))


@author_required
def detail(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """One detail: its entries, and the welds that follow it."""
    return _edit(request, get_object_or_404(Detail.objects.select_related("job"), pk=pk, job_id=job))


def _edit(request: HttpRequest, found: Detail) -> HttpResponse:
    desk = DetailDesk(found, posted(request))
    return write(request, desk, "wps/detail.html", lambda: _about(desk.shown))


def _about(found: Detail) -> dict[str, Any]:
    return {
        "detail": found,
        "job": found.job,
        "welds": _welds(found) if found.pk else [],
        "events": history_about(Detail.KIND, found.pk) if found.pk else [],
    }


def _welds(found: Detail) -> list[tuple[object, int]]:
    """Welds that follow the detail, and how many entries of each are its own."""
    stored = Detail.objects.get(pk=found.pk)
    return [
        (weld, len(own_of(weld, stored).keys)) for weld in stored.welds.select_related("job").order_by("mark")
    ]


@author_required
@require_POST
def details_make(request: HttpRequest, job: int) -> HttpResponse:
    """Make a detail of each kind of weld that has none."""
    made = make_details(get_object_or_404(Job, pk=job), request.user)
    messages.success(
        request, f"{len(made)} detail{'s were' if len(made) != 1 else ' was'} made of the welds without one."
    )
    return redirect("detail_list", job)


@author_required
@require_POST
def detail_remove(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Remove a detail; its welds keep what they say."""
    found = get_object_or_404(Detail.objects.select_related("job"), pk=pk, job_id=job)
    number = found.number
    remove_detail(found, request.user)
    messages.success(request, f"Detail {number} is removed. Its welds keep what they say.")
    return redirect("detail_list", job)
