"""Waveform files of a trial: choose one, see what was recognised, confirm or correct it, read what
follows."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

from csp.decorators import csp_update
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.forms.waveform import ColumnsForm, ReplaceForm, WaveformForm
from qualification.models import LogState, Trial, TrialLog
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.waveform.envelope import Envelope
from qualification.rules.waveform.problems import LogError
from qualification.trials.store import begin
from qualification.waveforms.logs import (
    AT_ONCE_BYTES,
    closer_look,
    headings,
    keep_upload,
    proposal,
    remove,
    replace_upload,
    whole_log,
    work_through,
)
from qualification.waveforms.plots import plot_sentence, waveform_svg
from qualification.waveforms.task_queue import have_worked_through
from qualification.waveforms.words import words_of


@author_required
def trial_log_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Upload a waveform file; it is streamed to disk, and looked at on the next page."""
    trial = get_object_or_404(Trial, pk=pk)
    form = WaveformForm(trial, *((request.POST, request.FILES) if request.method == "POST" else ()))
    if request.method == "POST" and form.is_valid():
        begin(trial, request.user)
        return redirect(
            keep_upload(trial, form.cleaned_data["file"], form.cleaned_data["weld_pass"], request.user)
        )
    return render(
        request,
        "qualification/trial_log_add.html",
        {"trial": trial, "form": form},
        status=422 if form.errors else 200,
    )


@reader_required
def trial_log(request: HttpRequest, pk: int, log: int) -> HttpResponse:
    """One waveform file: what was recognised, or what follows from it."""
    found = get_object_or_404(TrialLog.objects.select_related("trial", "weld_pass"), pk=log, trial_id=pk)
    if request.headers.get("HX-Request") == "true" and found.state in (LogState.WAITING, LogState.RUNNING):
        return render(request, "qualification/_trial_log_wait.html", {"log": found})
    if request.headers.get("HX-Request") == "true":
        return HttpResponse(headers={"HX-Refresh": "true"})
    return _page(request, found)


def _page(
    request: HttpRequest,
    log: TrialLog,
    form: ColumnsForm | None = None,
    refused: str = "",
    replacing: ReplaceForm | None = None,
) -> HttpResponse:
    context: dict[str, Any] = {
        "trial": log.trial,
        "log": log,
        "may_author": may_author(request.user),
        "refused": refused or log.message,
        "replacing": replacing or ReplaceForm(),
    }
    try:
        layout = proposal(log)
    except LogError as error:
        context["refused"] = str(error)
    else:
        context |= {"layout": layout, "form": form or ColumnsForm(layout, log, headings(layout))}
    if log.state == LogState.DONE:
        zoom = _zoom(request, log)
        context |= {
            "words": words_of(log),
            "zoom": zoom,
            "closer": (log.analysis or {})["closer"],
            "plot_says": plot_sentence(zoom.part or whole_log(log)),
            "typed_from": request.GET.get("from", ""),
            "typed_to": request.GET.get("to", ""),
        }
    status = 422 if form is not None or replacing is not None else 200
    return render(request, "qualification/trial_log.html", context, status=status)


@author_required
@require_POST
def trial_log_confirm(request: HttpRequest, pk: int, log: int) -> HttpResponse:
    """Settle columns, units and rate, and have the file worked through."""
    found = get_object_or_404(TrialLog.objects.select_related("trial", "weld_pass"), pk=log, trial_id=pk)
    try:
        layout = proposal(found)
        form = ColumnsForm(layout, found, headings(layout), request.POST)
        if not form.is_valid():
            return _page(request, found, form)
        found.settings = form.settled()
        blocking = proposal(found).blocking
    except LogError as error:
        return _page(request, found, None, str(error))
    if blocking:
        return _page(request, found, form, " ".join(doubt.sentence for doubt in blocking))
    found.state, found.message, found.analysis, found.alive_at = LogState.WAITING, "", None, timezone.now()
    found.save()
    if found.size <= AT_ONCE_BYTES:
        work_through(found.pk)
    elif not have_worked_through(
        found.pk, f"Waveform {found} of trial {found.trial}", found.get_absolute_url(), request.user
    ):
        messages.info(
            request,
            f"{found} is large; it is analyzed in the background. This page says when it is done.",
        )
    return redirect(found)


@author_required
@require_POST
def trial_log_replace(request: HttpRequest, pk: int, log: int) -> HttpResponse:
    """Another file in the place of this one."""
    found = get_object_or_404(TrialLog.objects.select_related("trial", "weld_pass"), pk=log, trial_id=pk)
    form = ReplaceForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, found, replacing=form)
    made = replace_upload(found, form.cleaned_data["file"], request.user)
    messages.success(request, f"{made} is the file now. Check its columns below.")
    return redirect(made)


@author_required
@require_POST
def trial_log_remove(request: HttpRequest, pk: int, log: int) -> HttpResponse:
    """Take the file off the trial."""
    found = get_object_or_404(TrialLog.objects.select_related("trial"), pk=log, trial_id=pk)
    remove(found, request.user)
    messages.success(request, f"{found} was removed.")
    return redirect(found.trial)


@reader_required
@csp_update({"style-src": ["'unsafe-inline'"]})  # type: ignore[arg-type]  # the drawing's own strokes, in a document of its own
def trial_log_plot(request: HttpRequest, pk: int, log: int) -> HttpResponse:
    """The plot of the log, or of the part between `from` and `to`."""
    found = get_object_or_404(
        TrialLog.objects.select_related("trial"), pk=log, trial_id=pk, state=LogState.DONE
    )
    zoom = _zoom(request, found)
    drawn = zoom.part or whole_log(found)
    return HttpResponse(
        waveform_svg(drawn, f"{found} of {found.trial}", plot_sentence(drawn)), content_type="image/svg+xml"
    )


@dataclass(frozen=True)
class Zoom:
    """The part of a log asked for."""

    ends: tuple[float, float] | None
    part: Envelope | None
    refused: str
    """Why the part cannot be shown; empty when it can, or none was asked for."""


def _zoom(request: HttpRequest, log: TrialLog) -> Zoom:
    typed = [request.GET.get(name, "").strip().replace(",", ".") for name in ("from", "to")]
    if not any(typed):
        return Zoom(None, None, "")
    try:
        first, last = float(typed[0]), float(typed[1])
        if not (isfinite(first) and isfinite(last)):
            raise ValueError
    except ValueError:
        return Zoom(
            None,
            None,
            f"From “{typed[0]}” to “{typed[1]}” are not two numbers. Enter seconds, such as 1.2 and 1.4.",
        )
    if not first < last:
        return Zoom(
            None, None, f"From {typed[0]} to {typed[1]} runs backwards. Enter the earlier time first."
        )
    try:
        return Zoom((first, last), closer_look(log, first, last), "")
    except ValueError:
        span = whole_log(log).seconds
        return Zoom(
            None,
            None,
            f"The log holds nothing from {typed[0]} to {typed[1]} seconds. "
            f"It runs from {span[0]:.4g} to {span[-1]:.4g}.",
        )
    except FileNotFoundError:
        return Zoom(None, None, "The readings of this log are not kept beside it any more. Analyze it again.")
