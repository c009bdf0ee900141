"""Measuring on a photo of a trial: the scale by two taps, then sizes of the section."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.models import PhotoShows, TrialPhoto
from qualification.roles import author_required
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval
from qualification.rules.trials.photo_measure import NotMeasurable
from qualification.rules.variables.trial import MACRO
from qualification.trials.photo_sizes import measure, scale_stored, set_scale, size_from, taps_from, zoom_from

SCALE = "scale"


@author_required
def trial_photo_measure(request: HttpRequest, pk: int, photo: int) -> HttpResponse:
    """The photo to tap on. A POST sets what it shows, its scale, or one size of the section."""
    found = get_object_or_404(TrialPhoto.objects.select_related("trial"), pk=photo, trial_id=pk)
    problem = ""
    if request.method == "POST":
        try:
            said = _done(request, found)
        except NotMeasurable as refusal:
            problem = str(refusal)
        else:
            messages.success(request, said)
            return redirect("trial_photo_measure", pk, photo)
    return render(
        request,
        "qualification/trial_measure.html",
        {
            "trial": found.trial,
            "photo": found,
            "shows": PhotoShows.choices,
            "sizes": [
                {"key": key, "label": label, "entry": found.trial.line.get(key, ""), **_drawn(found, key)}
                for key, label, _ in MACRO
            ],
            "scale": _scale_words(found),
            "scale_taps": found.scale.get("taps", []),
            "size": found.scale.get("size", [found.width, found.height]),
            "problem": problem,
            "chosen": request.POST.get("what", "") or (MACRO[0][0] if found.scale else SCALE),
            "length": request.POST.get("length", ""),
        },
        status=422 if problem else 200,
    )


def _done(request: HttpRequest, photo: TrialPhoto) -> str:
    if request.POST.get("do") == "shows":
        shows = request.POST.get("shows", "")
        if shows not in PhotoShows.values:
            raise NotMeasurable("Choose what the photo shows.")
        photo.shows = shows
        photo.save()
        return f"Saved: {photo.get_shows_display()}."
    size = size_from(_sent(request, "size"), photo)
    taps, zoom = taps_from(_sent(request, "taps"), size), zoom_from(request.POST.get("zoom"))
    what = request.POST.get("what", "")
    if what == SCALE:
        set_scale(photo, taps, size, request.POST.get("length", ""), zoom, request.user)
        return f"Scale saved: {_scale_words(photo)}."
    measure(photo, what, taps, zoom, request.user)
    photo.trial.refresh_from_db()
    label = {key: label for key, label, _ in MACRO}[what]
    return f"{label}: {photo.trial.line[what]}."


def _sent(request: HttpRequest, name: str) -> Any:
    try:
        return json.loads(request.POST.get(name, ""))
    except ValueError:
        return None


def _drawn(photo: TrialPhoto, key: str) -> dict[str, Any]:
    taps = photo.measures.get(key, {}).get("taps", [])
    return {"points": " ".join(f"{x:g},{y:g}" for x, y in taps), "closed": key == "macro_area"}


def _scale_words(photo: TrialPhoto) -> str:
    scale = scale_stored(photo)
    if scale is None:
        return ""
    length = show_both(Interval.point(Decimal(photo.scale["length"])), "length", photo.trial.units)
    return f"{length} between its taps, ± {100 * scale.relative:.1f}\u202f%"
