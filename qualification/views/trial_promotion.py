"""From a trial to the draft of a procedure test."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from qualification.drafts import create_draft
from qualification.forms.coupon import FIRST_NUMBERS
from qualification.models import ProcedureTest, Trial
from qualification.numbering import next_number
from qualification.roles import author_required
from qualification.rules.variables import Use
from qualification.trial_entries import keep_origins, split, taken_for


@author_required
@require_POST
def trial_to_test(request: HttpRequest, pk: int) -> HttpResponse:
    """Start a procedure test whose actuals are the settings and readings of the trial."""
    trial = get_object_or_404(Trial, pk=pk)
    taken = taken_for(trial, Use.TEST)
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
            notes=f"Actuals taken over from trial {trial}.",
        )
        create_draft(test, request.user)
        keep_origins(test, taken)
    messages.success(
        request,
        f"{test} is started with {len(taken)} entries of {trial}. Check each against what was welded.",
    )
    return redirect("procedure_test_edit", test.pk)
