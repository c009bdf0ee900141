"""A procedure under another edition: what that changes, shown before anything is saved, and moving it
there."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.codes.editions import available_editions
from qualification.evidence.coverage import edition_of
from qualification.models import State
from qualification.records import workflow
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.tabular.schema import TableError
from wps.corrections.rejudging import RejudgedRecord, under_edition
from wps.models import Spec


@reader_required
def procedure_edition(request: HttpRequest, pk: int) -> HttpResponse:
    """What judging it under `?edition=` changes. Nothing is saved."""
    spec = get_object_or_404(Spec, pk=pk)
    others = _others(spec)
    chosen = request.GET.get("edition", "")
    return _page(request, spec, chosen if chosen in dict(others) else "")


@author_required
def procedure_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a draft under the other edition, or start a new revision under it."""
    spec = get_object_or_404(Spec, pk=pk)
    chosen, note = request.POST.get("edition", ""), request.POST.get("change_note", "")
    if request.method != "POST" or chosen not in dict(_others(spec)):
        return redirect("procedure_edition", spec.pk)
    try:
        made = workflow.move_to_edition(spec, request.user, chosen, note)
    except workflow.StepRefused as refused:
        return _page(request, spec, chosen, list(refused.reasons), note)
    messages.success(request, f"{made} is a draft under {edition_of(chosen).name} now.")
    return redirect("procedure_edit", made.pk)


def _others(spec: Spec) -> list[tuple[str, str]]:
    return [each for each in available_editions() if each[0] != spec.edition]


def _page(
    request: HttpRequest, spec: Spec, chosen: str, refusal: list[str] | None = None, typed: str | None = None
) -> HttpResponse:
    change, problem = _change(spec, chosen)
    newest = spec.revisions()[0]
    context: dict[str, Any] = {
        "spec": spec,
        "others": _others(spec),
        "chosen": chosen,
        "change": change,
        "problem": problem,
        "refusal": refusal,
        "own_name": dict(available_editions()).get(spec.edition, spec.edition),
        "name": dict(available_editions()).get(chosen, ""),
        "tests": [test for test in spec.tests.all() if test.edition != chosen],
        "is_draft": spec.state == State.DRAFT,
        "may_move": may_author(request.user) and newest.pk == spec.pk,
        "note": typed if typed is not None else f"Judged under {dict(available_editions()).get(chosen, '')}.",
    }
    return render(request, "wps/procedure_edition.html", context, status=409 if refusal else 200)


def _change(spec: Spec, chosen: str) -> tuple[RejudgedRecord | None, str]:
    """What the other edition changes; or why it cannot be told."""
    if not chosen:
        return None, ""
    try:
        return under_edition(spec, chosen), ""
    except TableError as error:
        return None, str(error)
