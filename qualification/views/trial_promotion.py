"""From a trial to the draft of a procedure test."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from qualification.evidence.trial_reading import TrialRead
from qualification.forms.coupon import FIRST_NUMBERS
from qualification.models import ProcedureTest, Trial
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import author_required
from qualification.rules.core.values import Interval
from qualification.rules.variables.definition import RecordKind
from qualification.trials.entries import entry_of, keep_origins, split, taken_for


@author_required
@require_POST
def trial_to_test(request: HttpRequest, pk: int) -> HttpResponse:
    """Start a procedure test whose actuals are the settings and readings of the trial."""
    trial = get_object_or_404(Trial, pk=pk)
    taken = taken_for(trial, RecordKind.TEST)
    joint, line = split(taken)
    with transaction.atomic():
        numbers = ProcedureTest.objects.order_by("created_at").values_list("number", flat=True)
        test = ProcedureTest(
            number=next_number(numbers, FIRST_NUMBERS[ProcedureTest]),
            title=trial.title[:120],
            edition=trial.edition,
            units=trial.units,
            joint=joint,
            lines=[line],
            welder=trial.welder,
            welded_on=trial.welded_on,
            passes=_passes(trial),
            notes=f"Actuals taken over from trial {trial}.",
        )
        create_draft(test, request.user)
        keep_origins(test, taken)
    messages.success(
        request,
        f"{test} is started with {len(taken)} entries of {trial}. Check each against what was welded.",
    )
    return redirect("procedure_test_edit", test.pk)


def _passes(trial: Trial) -> list[dict[str, str]]:
    """The trial's passes as the pass log of a test; what a pass does not state stays unstated."""
    process = str(trial.line.get("process", ""))
    found = []
    for number, each in enumerate(TrialRead(trial).passes, start=1):
        travel = None if each.plain_travel is None else Interval.point(each.plain_travel)
        readings = {"amps": each.amps, "volts": each.volts, "travel_speed": travel}
        stated = {key: entry_of(span, key, trial.units) for key, span in readings.items() if span is not None}
        found.append({"pass": str(number), **({"process": process} if process else {}), **stated})
    return found
