"""What if a weld were another one, and which welds of a job a welder or a procedure could take."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from qualification.posted import number_in
from qualification.roles import reader_required
from qualification.rules.variables.registry import registry
from wps.jobs.board import Board
from wps.jobs.what_if import MOVED, WhatIf, welds_for_procedure, welds_for_welder
from wps.models import Job, Part

LONGEST = 120


@reader_required
def what_if(request: HttpRequest, job: int, pk: int) -> HttpResponse:
    """A weld with other entries beside itself; nothing is stored."""
    found = get_object_or_404(Part.objects.select_related("job"), pk=pk, job_id=job)
    board = Board.of(found.job, timezone.localdate())
    typed = {key: request.GET.get(key, "").strip()[:LONGEST] for key in MOVED}
    welder = number_in(request.GET.get("welder", ""))
    asked = WhatIf(found, board, typed, welder) if any(typed.values()) or welder is not None else None
    context = {
        "part": found,
        "typed": typed,
        "welder": welder,
        "welders": [file.welder for file in board.asked.files],
        "positions": registry()["position"].choices,
        "asked": asked,
    }
    return render(request, "wps/what_if.html", context)


@reader_required
def could_take(request: HttpRequest, job: int) -> HttpResponse:
    """Which welds of the job one welder, or one procedure, could take."""
    found, today = get_object_or_404(Job, pk=job), timezone.localdate()
    board, parts = Board.of(found, today), list(found.parts.select_related("welder"))
    welder = number_in(request.GET.get("welder", ""))
    who = next((file.welder for file in board.asked.files if file.welder.pk == welder), None)
    spec = board.shelf.chosen(request.GET.get("wps", ""))
    context: dict[str, Any] = {
        "job": found,
        "today": today,
        "welders": [file.welder for file in board.asked.files],
        "specs": board.shelf.specs,
        "who": who,
        "spec": spec,
        "takes": None,
    }
    if who is not None:
        context |= {"takes": welds_for_welder(parts, board, who), "taker": str(who)}
    elif spec is not None:
        context |= {"takes": welds_for_procedure(parts, board, spec), "taker": spec.reference}
    return render(request, "wps/could_take.html", context)
