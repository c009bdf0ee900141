"""Welders: the list with what each holds today, and a page for each."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification import welders
from qualification.continuity import best_by_process, standings_of
from qualification.forms.welder import UseForm, WelderForm
from qualification.history import history_about
from qualification.models import Welder
from qualification.range_summary import summary_of
from qualification.roles import author_required, may_approve, may_author, reader_required


@reader_required
def welder_list(request: HttpRequest) -> HttpResponse:
    """All welders with the state of each process today; found by name or stamp."""
    wanted, show_all = request.GET.get("q", "").strip(), request.GET.get("all") == "1"
    found = (
        Welder.objects.filter(Q(name__icontains=wanted) | Q(stamp__icontains=wanted))
        if wanted
        else Welder.objects.all()
    )
    if not show_all:
        found = found.filter(active=True)
    today = timezone.localdate()
    rows = [(each, best_by_process(standings_of(each, today))) for each in found]
    context = {
        "rows": rows,
        "q": wanted,
        "show_all": show_all,
        "today": today,
        "may_author": may_author(request.user),
        "any": Welder.objects.exists(),
        "may_confirm": may_approve(request.user)
        and any(each.is_confirmed for _, standings in rows for each in standings),
    }
    return render(request, "qualification/welder_list.html", context)


@reader_required
def welder(request: HttpRequest, pk: int) -> HttpResponse:
    """One welder: standing today, tests with their ranges in short, and the continuity log."""
    shown, today = get_object_or_404(Welder, pk=pk), timezone.localdate()
    standings = standings_of(shown, today)
    records = [*shown.tests.all(), *shown.procedure_tests.all()]
    context = {
        "welder": shown,
        "today": today,
        "best": best_by_process(standings),
        "standings": standings,
        "tests": [summary_of(record) for record in records],
        "uses": shown.uses.all(),
        "use_form": UseForm(),
        "events": history_about(welders.KIND, shown.pk),
        "may_author": may_author(request.user),
    }
    return render(request, "qualification/welder.html", context)


@author_required
def welder_add(request: HttpRequest) -> HttpResponse:
    """Add a welder."""
    return _edit(request, Welder())


@author_required
def welder_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a welder's name, stamp or notes."""
    return _edit(request, get_object_or_404(Welder, pk=pk))


def _edit(request: HttpRequest, shown: Welder) -> HttpResponse:
    is_new = shown.pk is None
    form = WelderForm(request.POST or None, instance=shown)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            saved = form.save()
            welders.note(
                saved, "create" if is_new else "change", request.user, detail=", ".join(form.changed_data)
            )
        messages.success(request, f"{saved} is saved.")
        return redirect("welder", saved.pk)
    return render(
        request, "qualification/welder_form.html", {"form": form, "is_new": is_new, "welder": shown}
    )


@author_required
@require_POST
def welder_active(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a welder as no longer with the shop, or as back."""
    shown = get_object_or_404(Welder, pk=pk)
    active = request.POST.get("active") == "yes"
    if shown.active != active:
        welders.set_active(shown, active, request.user)
    messages.success(
        request, f"{shown} is marked as {'active' if active else 'no longer active'}. Records and log stay."
    )
    return redirect("welder", shown.pk)
