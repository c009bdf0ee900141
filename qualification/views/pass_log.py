"""Entering the pass log of a procedure test."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.forms.passes import helper, pass_forms
from qualification.models import ProcedureTest
from qualification.records.drafts import SavedMeanwhile, save_draft, version_of
from qualification.roles import author_required
from qualification.views.desk import not_a_draft


@author_required
def procedure_test_passes(request: HttpRequest, pk: int) -> HttpResponse:
    """The passes of a draft: what is stored, and rows for more. Saving drops rows with nothing in them."""
    record = get_object_or_404(ProcedureTest, pk=pk)
    if not record.is_editable:
        return not_a_draft(request, record)
    forms = pass_forms(record, request.POST if request.method == "POST" else None)
    context = {"record": record, "forms": forms, "helper": helper(), "version": version_of(record)}
    if request.method != "POST":
        return render(request, "qualification/passes.html", context)
    context["version"] = request.POST.get("version", "")
    if not forms.is_valid():
        return render(request, "qualification/passes.html", context, status=422)
    record.passes = [row for form in forms if (row := form.row)]
    try:
        save_draft(record, request.user, context["version"], ["passes"])
    except SavedMeanwhile as conflict:
        context |= {"conflict": conflict, "version": version_of(conflict.stored)}
        return render(request, "qualification/passes.html", context, status=409)
    messages.success(request, f"The passes of {record} are saved.")
    return redirect("procedure_test_passes" if request.POST.get("do") == "more" else "procedure_test", pk)
