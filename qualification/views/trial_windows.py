"""The settings window around a trial."""

from __future__ import annotations

from csp.decorators import csp_update
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from qualification.links import window_actions
from qualification.models import Trial
from qualification.roles import may_author, reader_required
from qualification.trials.window import production_of, stated_alike, tests_to_choose, window_of
from qualification.trials.window_chart import caption, chart_of, choices, row_of, window_svg


@reader_required
def trial_window(request: HttpRequest, pk: int) -> HttpResponse:
    """Ranges proposed from accepted trials of one set-up, held within what the chosen test qualifies."""
    trial = get_object_or_404(Trial, pk=pk)
    offered = tests_to_choose()
    chosen = next((test for test in offered if str(test.pk) == request.GET.get("test", "")), None)
    window = window_of(trial, chosen)
    offered_axes = choices(window)
    x, y = _axes(request, offered_axes)
    chart = chart_of(window, x, y) if x else None
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
            "axes": offered_axes,
            "x": x,
            "y": y,
            "chart": chart,
            "caption": caption(chart) if chart else "",
            "points": [row_of(mark) for mark in chart.marks] if chart else [],
            "actions": window_actions(trial) if window.windows else [],
        },
    )


@reader_required
@csp_update({"style-src": ["'unsafe-inline'"]})  # type: ignore[arg-type]  # the drawing's own strokes, in a document of its own
def trial_window_chart(request: HttpRequest, pk: int) -> HttpResponse:
    """The chart of one setting by verdict, or of two as a map."""
    trial = get_object_or_404(Trial, pk=pk)
    chosen = next((t for t in tests_to_choose() if str(t.pk) == request.GET.get("test", "")), None)
    window = window_of(trial, chosen)
    x, y = _axes(request, choices(window))
    chart = chart_of(window, x, y) if x else None
    if chart is None:
        raise Http404
    return HttpResponse(window_svg(chart, narrow="narrow" in request.GET), content_type="image/svg+xml")


def _axes(request: HttpRequest, offered: list[tuple[str, str]]) -> tuple[str, str]:
    """The settings asked for, or the first that differs between welds; empty where there is none."""
    keys = [key for key, _ in offered]
    x, y = request.GET.get("x", ""), request.GET.get("y", "")
    x = x if x in keys else keys[0] if keys else ""
    return x, y if y in keys and y != x else ""
