"""From trials to the draft of a procedure: a preliminary WPS from one trial, or a WPS from a settings
window."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from qualification.models import ProcedureTest, State, Trial
from qualification.posted import number_in
from qualification.roles import Person, author_required
from qualification.rules.variables.definition import RecordKind
from qualification.trials.entries import Taken, keep_origins, split, taken_for
from qualification.trials.window import taken_from, window_of
from wps.models import Spec
from wps.procedures.drafting import store


@author_required
@require_POST
def procedure_from_trial(request: HttpRequest, pk: int) -> HttpResponse:
    """A preliminary procedure with the settings and readings of one trial, to weld the qualification coupon
    by."""
    trial = get_object_or_404(Trial, pk=pk)
    notes = f"Preliminary: settings and readings of trial {trial}, for welding the qualification coupon."
    spec = _draft(
        trial, f"Preliminary: {trial.title}", notes, taken_for(trial, RecordKind.SPEC), (), request.user
    )
    messages.success(
        request, f"{spec} is started as a preliminary WPS from {trial}. State what the trial does not."
    )
    return redirect("procedure_edit", spec.pk)


@author_required
@require_POST
def procedure_from_window(request: HttpRequest, pk: int) -> HttpResponse:
    """A procedure draft whose settings are the ranges of the window around a trial."""
    trial = get_object_or_404(Trial, pk=pk)
    test = ProcedureTest.objects.filter(
        pk=number_in(request.POST.get("test", "")) or 0, state=State.APPROVED
    ).first()
    window = window_of(trial, test)
    if not window.windows:
        messages.info(
            request,
            "The window is empty: no accepted trial has this set-up. Accept the trials that came out well.",
        )
        return redirect("trial_window", pk)
    names = ", ".join(str(each) for each in window.used)
    notes = f"Settings from the accepted trials {names}." + (
        f" Held within what {test} qualifies." if test else ""
    )
    spec = _draft(trial, trial.title, notes, taken_from(window), (test,) if test else (), request.user)
    messages.success(
        request,
        f"{spec} is started from the settings window around {trial}. "
        "Check every range before it is handed in.",
    )
    return redirect("procedure_edit", spec.pk)


def _draft(
    trial: Trial, title: str, notes: str, taken: list[Taken], tests: Sequence[ProcedureTest], person: Person
) -> Spec:
    joint, line = split(taken)
    spec = Spec(
        title=title[:120],
        edition=trial.edition,
        units=trial.units,
        joint=joint,
        lines=[line],
        notes=notes,
    )
    with transaction.atomic():
        store(spec, person, tests)
        keep_origins(spec, taken)
    return spec
