"""Writing a procedure: the editor, and the check that runs while one types."""

from __future__ import annotations

from copy import copy
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.codes.editions import editions_for_procedures
from qualification.forms.pressed_advice import with_advice
from qualification.models import Shop, UnitSystem
from qualification.posted import number_in, posted
from qualification.records.advice_taken import advice_in, confirm
from qualification.roles import author_required
from qualification.views.desk import live_check, not_a_draft, write
from wps.documents.attached import scans_of
from wps.jobs.next_coupon import procedure_coupons
from wps.models import Spec
from wps.procedures.drafting import next_procedure_number
from wps.procedures.procedure_desk import ProcedureDesk


@author_required
def procedure_new(request: HttpRequest) -> HttpResponse:
    """Write a new procedure."""
    return _edit(request, _blank())


@author_required
def procedure_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on writing a draft."""
    spec = get_object_or_404(Spec, pk=pk)
    if not spec.is_editable:
        return not_a_draft(request, spec)
    return _edit(request, spec)


def _blank() -> Spec:
    shop = Shop.current()
    editions = [key for key, _ in editions_for_procedures()]
    return Spec(
        number=next_procedure_number(),
        edition=shop.code_edition if shop.code_edition in editions else editions[0],
        units=UnitSystem.US if shop.inch_first else UnitSystem.SI,
    )


def _edit(request: HttpRequest, spec: Spec) -> HttpResponse:
    data, taken = posted(request), None
    if data is not None:
        data, taken = with_advice(data, lambda: ProcedureDesk(copy(spec), request.POST).advice)
    editor = ProcedureDesk(spec, data, taken)
    return write(request, editor, "wps/procedure_edit.html", lambda: _about(editor.shown))


def _about(spec: Spec) -> dict[str, Any]:
    return {"spec": spec, "scans": scans_of(spec) if spec.pk else []}


@author_required
@require_POST
def procedure_advice(request: HttpRequest, pk: int) -> HttpResponse:
    """Confirm an entry of a draft that was taken from advice."""
    spec, number = get_object_or_404(Spec, pk=pk), number_in(request.POST.get("origin", ""))
    found = next((each for each in advice_in(spec) if each.origin.pk == number), None)
    if found is None or not spec.is_editable:
        messages.error(request, "This entry is no longer as advised, or the procedure is no draft any more.")
    elif not found.confirmed:
        confirm(spec, found, request.user)
        messages.success(request, f"{found.label} is confirmed.")
    return redirect(spec)


@author_required
@require_POST
def procedure_check(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """The verdict on what is typed so far, as a fragment of the page; nothing is stored."""
    spec = _blank() if pk is None else get_object_or_404(Spec, pk=pk)
    return live_check(request, ProcedureDesk(spec, request.POST))


@author_required
@require_POST
def procedure_coupons_for(request: HttpRequest) -> HttpResponse:
    """Coupons that would carry what is typed so far, as a fragment of the page; nothing is stored."""
    editor = ProcedureDesk(_blank(), request.POST)
    gaps = procedure_coupons(editor.judgement, editor.forms.system)
    return render(request, "wps/_gaps.html", {"gaps": gaps, "title": "Which test coupon would qualify it?"})
