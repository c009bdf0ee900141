"""Trials side by side, and a chart of any two of their quantities."""

from __future__ import annotations

from csp.decorators import csp_update
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.models import Trial
from qualification.posted import number_in
from qualification.roles import reader_required
from qualification.trials.bead_pairs import bead_rows
from qualification.trials.chart import chart_svg, say_points
from qualification.trials.chart import named as named_with_unit
from qualification.trials.compare import TrialComparison

MOST = 12


def chosen(request: HttpRequest) -> list[Trial]:
    """The trials an address names, oldest first, so that the way of dialling in is read from left to
    right."""
    ids = [pk for text in request.GET.getlist("t") if (pk := number_in(text)) is not None][:MOST]
    return list(
        Trial.objects.filter(pk__in=ids)
        .prefetch_related("passes", "photos", "logs__weld_pass")
        .order_by("pk")
    )


@reader_required
def trial_compare(request: HttpRequest) -> HttpResponse:
    """Compare the ticked trials."""
    trials = chosen(request)
    if len(trials) < 2:
        return render(request, "qualification/trial_compare.html", {"trials": trials})
    comparison = TrialComparison(trials)
    quantities = comparison.quantities
    x, y = _axes(request, comparison)
    return render(
        request,
        "qualification/trial_compare.html",
        {
            "trials": trials,
            "comparison": comparison,
            "beads": bead_rows(trials),
            "quantities": quantities,
            "x": x,
            "y": y,
            **_chart(comparison, x, y),
        },
    )


PREFERRED = ("wire_feed", "low_level", "energy", "read:heat_input", "read:travel_speed", "read:amps")


def _axes(request: HttpRequest, comparison: TrialComparison) -> tuple[str, str]:
    """The two quantities asked for; where none is, two that differ among the trials, if there are such."""
    keys = [quantity.key for quantity in comparison.quantities]
    x, y = request.GET.get("x", ""), request.GET.get("y", "")
    order = [key for key in PREFERRED if key in keys]
    order += [key for key in keys if key not in order]
    order.sort(key=lambda key: not comparison.differs(key))
    x = x if x in keys else next(iter(order), "")
    return x, y if y in keys else next((key for key in order if key != x), "")


def _chart(comparison: TrialComparison, x: str, y: str) -> dict[str, object]:
    """What the page says of the chart: its sentence, and the numbers of each point."""
    named = {quantity.key: quantity for quantity in comparison.quantities}
    if x not in named or y not in named or x == y:
        return {"points": []}
    points = comparison.points(x, y)
    rows = [(point.name, _ends(point.x), _ends(point.y)) for point in points]
    return {
        "points": rows,
        "says": say_points(points, named[x], named[y]),
        "x_named": named_with_unit(named[x]),
        "y_named": named_with_unit(named[y]),
    }


def _ends(ends: tuple[float, float]) -> str:
    low, high = (f"{end:.4g}".replace("-", "−") for end in ends)
    return low if low == high else f"{low} to {high}"


@reader_required
@csp_update({"style-src": ["'unsafe-inline'"]})  # the drawing's own strokes, in a document of its own
def trial_chart(request: HttpRequest) -> HttpResponse:
    """The chart itself."""
    comparison = TrialComparison(chosen(request))
    named = {quantity.key: quantity for quantity in comparison.quantities} if comparison.trials else {}
    x, y = request.GET.get("x", ""), request.GET.get("y", "")
    points = comparison.points(x, y) if x in named and y in named else []
    if not points:
        raise Http404
    return HttpResponse(chart_svg(points, named[x], named[y]), content_type="image/svg+xml")
