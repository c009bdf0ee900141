"""The trial log: the list, a new one, a copy, one trial to read, and the page one writes on at the
machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Q
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.evidence.trial_reading import TrialRead
from qualification.forms.pressed_advice import with_advice
from qualification.forms.trial import TrialForms, sent_passes
from qualification.links import trial_actions, trial_links
from qualification.models import Trial, TrialVerdict
from qualification.posted import sought_in
from qualification.records.advice_taken import advice_in, take
from qualification.records.history import history_about
from qualification.records.summaries import summary
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.trials.practice import next_changes
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from qualification.trials.content import before, changed_against, say_changed
from qualification.trials.derived_figures import heat_of, reckoned_of
from qualification.trials.store import (
    ChangedMeanwhile,
    copy_trial,
    save_trial,
    start_trial,
    token_from,
    version_of,
)

PER_PAGE = 40
PAGE, VERSION = "page", "version"
"""Hidden inputs: the open page's own token, and the version of the trial it was drawn with."""
"""How the value of a button begins that takes advice into the trial."""
OVERWRITE = "overwrite"
"""Button of somebody who was told that another page saved meanwhile."""
MARKS = {TrialVerdict.ACCEPTED: "covered", TrialVerdict.REJECTED: "not_covered", TrialVerdict.OPEN: "unknown"}
"""Shape beside the words of a verdict."""


@dataclass(frozen=True)
class ListedTrial:
    """A trial in the list."""

    trial: Trial
    line: str
    mark: str
    earlier: Trial | None
    changed: str
    results: list[tuple[str, str]]
    copy_token: UUID
    """Of the copy the button beside it makes."""


@reader_required
def trial_list(request: HttpRequest) -> HttpResponse:
    """All trials, newest first, each with what changed against the one before."""
    sought, verdict = sought_in(request), request.GET.get("verdict", "")
    archived = request.GET.get("archived") == "1"
    begun = Trial.objects.filter(begun=True)
    trials = begun.filter(archived_at__isnull=not archived).select_related("copied_from", "welder")
    if verdict in TrialVerdict.values:
        trials = trials.filter(verdict=verdict)
    for word in sought.split():
        trials = trials.filter(
            Q(number__icontains=word)
            | Q(title__icontains=word)
            | Q(note__icontains=word)
            | Q(welder__name__icontains=word)
        )
    page = Paginator(trials, PER_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "qualification/trial_list.html",
        {
            "rows": [listed(trial) for trial in page],
            "page": page,
            "sought": sought,
            "verdict": verdict,
            "verdicts": TrialVerdict.choices,
            "last": begun.filter(archived_at=None).order_by("-pk").first(),
            "archived": archived,
            "archived_count": begun.exclude(archived_at=None).count(),
            "token": uuid4(),
            "may_author": may_author(request.user),
            "processes": [(choice.key, choice.label) for choice in registry()["process"].choices],
            "is_filtered": bool(sought or verdict or archived),
        },
    )


def listed(trial: Trial) -> ListedTrial:
    earlier = before(trial)
    changed = say_changed(earlier, trial) if earlier else ""
    return ListedTrial(
        trial,
        summary(trial.joint, trial.lines, trial.units, RecordKind.TRIAL),
        MARKS[TrialVerdict(trial.verdict)],
        earlier,
        changed,
        TrialRead(trial).results,
        uuid4(),
    )


@author_required
@require_POST
def trial_start(request: HttpRequest) -> HttpResponse:
    """Start a trial of the process on the button."""
    try:
        made = start_trial(
            request.POST.get("process", ""), token_from(request.POST.get("token", "")), request.user
        )
    except ValueError:
        return HttpResponseBadRequest("Choose one of the processes on the page of trials.")
    return redirect("trial_edit", made.pk)


@author_required
@require_POST
def trial_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Start a trial with the settings of another."""
    made = copy_trial(
        get_object_or_404(Trial, pk=pk), token_from(request.POST.get("token", "")), request.user
    )
    return redirect("trial_edit", made.pk)


@reader_required
def trial(request: HttpRequest, pk: int) -> HttpResponse:
    """One trial: what was set, what was read, what came of it, and what it can become."""
    shown = get_object_or_404(Trial.objects.select_related("copied_from", "welder"), pk=pk)
    read, earlier = TrialRead(shown), before(shown)
    groups = [group.as_json() for group in read.groups]
    return render(
        request,
        "qualification/trial.html",
        {
            "trial": shown,
            "read": read,
            "checks": [each.as_json() for each in read.checks],
            "mark": MARKS[TrialVerdict(shown.verdict)],
            "earlier": earlier,
            "changes": changed_against(earlier, shown) if earlier else (),
            "joint_groups": [g for g in groups if g["line"] is None],
            "line_groups": [g for g in groups if g["line"] is not None and g["heading"] != "Result"],
            "reckoned": reckoned_of(read),
            "heat": heat_of(read),
            "next": next_changes(read.read.weld),
            "taken": advice_in(shown),
            "cells": _cells(shown),
            "may_author": may_author(request.user),
            "token": uuid4(),
            "events": history_about(Trial.KIND, shown.pk),
            "actions": trial_actions(shown),
            "links": trial_links(shown),
        },
    )


def _cells(shown: Trial) -> list[tuple[str, str]]:
    return [
        ("Day", f"{shown.welded_on}"),
        ("Welder", str(shown.welder or "")),
        ("Welded as", shown.get_purpose_display()),
        ("Units", shown.get_units_display()),
        ("Written by", shown.author_name),
    ]


@author_required
def trial_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The page at the machine. It saves by itself while one types; the button does the same without
    script."""
    stored = get_object_or_404(Trial, pk=pk)
    if request.method != "POST":
        return _desk(request, stored, TrialForms(stored), version_of(stored), str(uuid4()))
    sent, taken = with_advice(request.POST, lambda: TrialForms(stored, request.POST).starts)
    trial_forms = TrialForms(stored, sent)
    page = request.POST.get(PAGE, "")
    version = version_of(stored) if request.POST.get("do") == OVERWRITE else request.POST.get(VERSION, "")
    left_out = [
        error for errors in trial_forms.head.errors.values() for error in errors
    ]  # validates; right fields are on the trial by now
    left_out += trial_forms.take_on()
    try:
        save_trial(stored, sent_passes(request.POST), version, page, request.user)
    except ChangedMeanwhile:
        return _conflict(request, stored, trial_forms, page)
    if request.headers.get("HX-Request") == "true":
        return render(
            request,
            "qualification/_trial_live.html",
            {
                "forms": trial_forms.record,
                "trial_forms": trial_forms,
                "version": version_of(stored),
                "left_out": left_out,
                "saved_at": timezone.localtime(),
                "looks": len(trial_forms.problem_links),
            },
        )
    if left_out:
        return _desk(request, stored, trial_forms, version_of(stored), page, status=422)
    if not stored.begun and request.POST.get("do") == "close":
        stored.delete()
        messages.info(request, "Nothing was entered, so no trial was kept.")
        return redirect("trial_list")
    if taken is not None:
        take(stored, taken, request.user)
        messages.success(request, f"{taken.label}: {taken.entry}, taken from advice.")
        return redirect("trial_edit", stored.pk)
    messages.success(request, f"{stored} is saved.")
    return redirect("trial" if request.POST.get("do") == "close" else "trial_edit", stored.pk)


def _desk(
    request: HttpRequest,
    stored: Trial,
    trial_forms: TrialForms,
    version: str,
    page: str,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    earlier = before(stored)
    lengths = [each.entries.get("pass_length", "") for each in earlier.passes.all()] if earlier else []
    return render(
        request,
        "qualification/trial_edit.html",
        {
            "trial": stored,
            "trial_forms": trial_forms,
            "forms": trial_forms.record,
            "version": version,
            "page_token": page,
            "earlier": earlier,
            "length": next((text for text in lengths if text), ""),
            "photo_token": uuid4(),
            "may_author": True,
            **more,
        },
        status=status,
    )


def _conflict(request: HttpRequest, mine: Trial, trial_forms: TrialForms, page: str) -> HttpResponse:
    """Somebody saved meanwhile: say so, and keep what was typed; a button of its own puts it in the other's
    place."""
    if request.headers.get("HX-Request") == "true":
        return render(request, "qualification/_trial_conflict.html", {"trial": mine}, status=409)
    return _desk(request, mine, trial_forms, request.POST.get(VERSION, ""), page, status=409, conflict=True)
