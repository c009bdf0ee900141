"""Assigning a procedure and a welder to one weld."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST

from qualification.models import State, Welder
from qualification.posted import number_in
from qualification.roles import author_required
from wps.jobs.assignments import SPEC, WELDER, AssignmentRefused, Judge, assign
from wps.jobs.board import WeldPage
from wps.models import Part, Spec

OF_WHAT = {SPEC: "Procedure", WELDER: "Welder"}


def assigned_to(part: Part, page: WeldPage) -> dict[str, Any]:
    """What the page of a weld says of its assignments: who may weld it stands first among the welders."""
    places = page.ranking.places
    return {
        "assigned_place": next((each for each in places if each.file.welder.pk == part.welder_id), None),
        "may_make": _chosen(page.options["may"], part.welder_id),
        "may_not_make": _chosen(page.options["may not"], part.welder_id),
        "kept": [(OF_WHAT[what], said) for what, said in part.despite.items() if what in OF_WHAT],
        "shelf_specs": _chosen(page.options["specs"], part.spec_number),
    }


def _chosen(options: Mapping[Any, SafeString], value: Any) -> SafeString:
    """The choices one after another, one of them selected."""
    found = {**options, value: options[value].replace(">", " selected>", 1)} if value in options else options
    return mark_safe("".join(found.values()))  # noqa: S308  each is made by format_html


@author_required
@require_POST
def part_assign(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """Assign both; outside coverage only with a reason."""
    found = get_object_or_404(Part.objects.select_related("job", "welder"), pk=pk, job_id=job)
    number, stamp = request.POST.get("spec_number", "")[:40], number_in(request.POST.get("welder", ""))
    welder = Welder.objects.filter(pk=stamp, active=True).first() if stamp is not None else None
    back = f"{found.get_absolute_url()}#assigned"
    if number and not Spec.objects.filter(number=number, state=State.APPROVED).exists():
        messages.error(request, f"{number} has no approved revision. Choose another procedure.")
        return redirect(back)
    if stamp is not None and welder is None:
        messages.error(request, "That welder is not active. Choose another welder.")
        return redirect(back)
    try:
        judge = Judge(found.job, timezone.localdate())
        reason = request.POST.get("reason", "")[:200]
        assign([found], request.user, judge, spec_number=number, welder=welder, reason=reason)
    except AssignmentRefused as refused:
        messages.error(request, str(refused))
        return redirect(back)
    messages.success(
        request,
        f"{found}: WPS {number or 'not chosen'}, welder {welder or 'not chosen'}.",
    )
    return redirect(back)
