"""Lots of material: the list, and one lot with every weld that holds it."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.db.models import Count, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.records.history import history_about
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import author_required, may_author, reader_required
from qualification.views.lists import Asked, Head
from wps.documents.attached import panel_of
from wps.forms.weld_log import LotForm
from wps.models import Lot, LotKind, WeldEvent

LIST_HEADS = (
    Head("Lot or heat", ("number",)),
    Head("Material", ("material",)),
    Head("Received", ("received_on",)),
    Head("Certificate"),
    Head("Welds"),
)


@reader_required
def lot_list(request: HttpRequest) -> HttpResponse:
    """All lots, those in use first, and in how many welds each is."""
    asked = Asked(request, "lots", ("kind",))
    page = asked.page_of(found_among(asked))
    holding = WeldEvent.objects.filter(lots__in=list(page), struck_because="").order_by()
    counts = dict(holding.values_list("lots").annotate(welds=Count("part", distinct=True)))
    for each in page:
        each.welds = counts.get(each.pk, 0)
    context = {
        **asked.context(page, LIST_HEADS),
        "lots": page,
        "list": "lots",
        "sought": asked.text,
        "kind": asked["kind"],
        "kinds": LotKind.choices,
        "may_author": may_author(request.user),
    }
    return render(request, "wps/lot_list.html", context)


def found_among(asked: Asked) -> QuerySet[Lot]:
    """Lots that the list shows, in its order."""
    lots = Lot.objects.select_related("certificate").order_by("used_up", "kind", "number")
    if asked["kind"] in LotKind.values:
        lots = lots.filter(kind=asked["kind"])
    for word in asked.text.split():
        lots = lots.filter(
            Q(number__icontains=word) | Q(material__icontains=word) | Q(supplier__icontains=word)
        )
    return asked.ordered(lots, LIST_HEADS)


@author_required
def lot_new(request: HttpRequest) -> HttpResponse:
    """Receive a lot."""
    return _edit(request, Lot(recorded_by_name=name_of(request.user)))


@author_required
def lot_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a lot."""
    return _edit(request, get_object_or_404(Lot, pk=pk))


def _edit(request: HttpRequest, found: Lot) -> HttpResponse:
    is_new = found.pk is None
    form = LotForm(posted(request), instance=found)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(found)
            saved = form.save()
            append(
                "create" if is_new else "change",
                Lot.KIND,
                saved.pk,
                str(saved)[:120],
                name_of(request.user),
                {"changes": changes_between(before, values_of(saved))},
            )
        messages.success(request, f"{saved} is saved.")
        return redirect(saved)
    return render(
        request,
        "wps/lot_edit.html",
        {"form": form, "lot": found, "is_new": is_new},
        status=422 if form.errors else 200,
    )


@reader_required
def lot(request: HttpRequest, pk: int) -> HttpResponse:
    """One lot: its certificate, and every weld of every job that holds it."""
    found = get_object_or_404(Lot.objects.select_related("certificate"), pk=pk)
    events = (
        WeldEvent.objects.filter(lots=found, struck_because="")
        .select_related("part__job", "welder")
        .order_by("part__job__number", "part__mark", "done_on")
    )
    return render(
        request,
        "wps/lot.html",
        {
            "lot": found,
            "rows": events,
            "welds": len({event.part_id for event in events}),
            "may_author": may_author(request.user),
            **panel_of(found),
            "events": history_about(Lot.KIND, found.pk),
        },
    )
