"""Personal data of welders: how long it is kept, what is held about one of them, and its removal."""

from __future__ import annotations

import json

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.forms.meanwhile import Opened
from qualification.forms.personal_data import KeepingForm
from qualification.models import Shop, Welder
from qualification.own_password import asks_password, problem_with_password
from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import administrator_required
from qualification.welders.personal_data import (
    CannotRemove,
    due,
    held_about,
    is_personal,
    pseudonym,
    remove,
)

LONGEST_REASON = 200
WORDS = {
    "part": "welds assigned",
    "processuse": "lines of the continuity log",
    "proceduretest": "procedure tests",
    "weldertest": "welder tests",
    "trial": "trials",
    "weldevent": "lines of weld logs",
    "audit_trail": "entries of the audit trail",
}
"""What is counted on the page, by the names of the tables."""
SHOP = "shop"
"""What the audit trail calls the shop."""


@administrator_required
def personal_data(request: HttpRequest) -> HttpResponse:
    """How long it is kept, and of whom it is due."""
    shop = Shop.current()
    form, opened = KeepingForm(posted(request), instance=shop), Opened(request, SHOP, shop)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(shop, lock=True)
            if not opened.clashes(before, form, lambda stored: KeepingForm(instance=stored)):
                saved = form.save()
                data = {"detail": "personal years", "changes": changes_between(before, values_of(saved))}
                append("change", SHOP, saved.pk, str(saved)[:120], name_of(request.user), data)
                messages.success(request, "The time is saved.")
                return redirect("personal_data")
    context = {"form": form, "opened": opened, "due": due(timezone.localdate()), "years": shop.personal_years}
    return render(request, "qualification/personal_data.html", context, status=opened.status(form))


@administrator_required
def personal_data_of(request: HttpRequest, pk: int) -> HttpResponse:
    """What is held about one welder, and what removing it leaves."""
    return _page(request, get_object_or_404(Welder, pk=pk))


def _page(request: HttpRequest, welder: Welder, refusal: str = "") -> HttpResponse:
    held = held_about(welder)
    counts = [(_words(name), len(rows)) for name, rows in held.items() if isinstance(rows, list)]
    context = {
        "welder": welder,
        "counts": [(words, count) for words, count in counts if count],
        "is_personal": is_personal(welder),
        "pseudonym": pseudonym(welder),
        "refusal": refusal,
        "reason": request.POST.get("reason", ""),
        "longest": LONGEST_REASON,
        "asks_password": asks_password(request),
    }
    return render(request, "qualification/personal_data_of.html", context, status=422 if refusal else 200)


def _words(name: str) -> str:
    return WORDS.get(name.rpartition(".")[2], name.rpartition(".")[2])


@administrator_required
def personal_data_file(request: HttpRequest, pk: int) -> HttpResponse:
    """All of it as JSON, to hand to the person."""
    welder = get_object_or_404(Welder, pk=pk)
    append("personal_file", "welder", welder.pk, str(welder)[:120], name_of(request.user), {})
    text = json.dumps(held_about(welder), indent=1, default=str, ensure_ascii=False)
    answer = HttpResponse(text, content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="welder-{welder.pk}.json"'
    return answer


@administrator_required
@require_POST
def personal_data_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove what says who the welder is."""
    welder = get_object_or_404(Welder, pk=pk)
    if problem := problem_with_password(request):
        return _page(request, welder, problem)
    try:
        remove(welder, request.user, request.POST.get("reason", "").strip()[:LONGEST_REASON])
    except CannotRemove as refused:
        return _page(request, welder, str(refused))
    messages.success(request, "Name and private data are removed. Records, papers and trail stay.")
    return redirect("welder", welder.pk)
