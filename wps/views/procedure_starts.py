"""Starting a procedure from what is on file: a procedure test, another procedure, a weld of a job."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from qualification.models import ProcedureTest
from qualification.posted import number_in
from qualification.records.approving import obstacles_to_approval
from qualification.roles import author_required
from qualification.rules.core.words import within_sentence
from wps.models import Part, Spec
from wps.procedures.drafting import start_for_part, start_from_test, start_like


@author_required
@require_POST
def procedure_from_test(request: HttpRequest, pk: int) -> HttpResponse:
    """A draft that rests on a test; with `part`, for that weld of a job. Its page where nothing stands in the
    way of approval, the editor while something does."""
    test = get_object_or_404(ProcedureTest, pk=pk)
    wanted = number_in(request.POST.get("part", ""))
    part = None if wanted is None else get_object_or_404(Part.objects.select_related("job"), pk=wanted)
    spec, draft = start_from_test(test, request.user, part)
    is_whole = not obstacles_to_approval(spec)
    wider = "; ".join(within_sentence(label) for label in draft.widened)
    claims = f" It claims the test's range of {wider}. All else stands" if wider else " Everything stands"
    messages.success(
        request,
        f"{spec} is started from {test}.{claims} as welded{' or drawn' if part else ''}, until you"
        " change it.",
    )
    return redirect("procedure" if is_whole else "procedure_edit", spec.pk)


@author_required
@require_POST
def procedure_like(request: HttpRequest, pk: int) -> HttpResponse:
    """A draft with the entries and tests of another procedure."""
    pattern = get_object_or_404(Spec, pk=pk)
    spec = start_like(pattern, request.user)
    messages.success(
        request, f"{spec} is started with the entries and tests of {pattern}. Change what is different."
    )
    return redirect("procedure_edit", spec.pk)


@author_required
@require_POST
def procedure_for_part(request: HttpRequest, pk: int) -> HttpResponse:
    """A draft that says what the drawing of a weld says."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk)
    spec = start_for_part(part, request.user)
    messages.success(
        request,
        f"{spec} is started for {part}. State what the drawing leaves open; the check says which tests"
        " carry it.",
    )
    return redirect("procedure_edit", spec.pk)
