"""The settings window around a trial."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from qualification.links import window_actions
from qualification.models import Trial
from qualification.roles import may_author, reader_required
from qualification.trial_window import production_of, stated_alike, tests_to_choose, window_of


@reader_required
def trial_window(request: HttpRequest, pk: int) -> HttpResponse:
    """Ranges proposed from accepted trials of one set-up, held within what the chosen test qualifies."""
    trial = get_object_or_404(Trial, pk=pk)
    offered = tests_to_choose()
    chosen = next((test for test in offered if str(test.pk) == request.GET.get("test", "")), None)
    window = window_of(trial, chosen)
    return render(
        request,
        "qualification/trial_window.html",
        {
            "trial": trial,
            "window": window,
            "tests": offered,
            "chosen": chosen,
            "open": stated_alike(window),
            "production": production_of(window),
            "may_author": may_author(request.user),
            "actions": window_actions(trial) if window.windows else [],
        },
    )
