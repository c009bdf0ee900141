"""Welders: the list with what each holds today, and a page for each."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST

from qualification.evidence.range_summary import summary_of
from qualification.forms.meanwhile import Opened
from qualification.forms.welder import WelderForm
from qualification.links import WELDER_PAGES
from qualification.models import Welder
from qualification.posted import posted
from qualification.records.cache import Remembered
from qualification.records.history import history_about
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import author_required, may_approve, may_author, reader_required
from qualification.rules.core.facts import Side
from qualification.rules.core.words import within_sentence
from qualification.rules.welders.continuity import Validity as Holding
from qualification.views.lists import Asked, Head
from qualification.welders import changes
from qualification.welders.continuity import (
    QualificationStatus,
    best_by_process,
    some_are_confirmed,
    standings_of,
)
from qualification.welders.in_short import in_short_of_all
from qualification.welders.wide_tests import widest

SHOWN = 4
"""Lines of a list on a welder's page before the rest is folded."""
KEPT_ROWS = 2000
HEADS = (Head("Welder", ("name",)), Head("Stamp", ("stamp",)), Head("Standing today"))


@reader_required
def welder_list(request: HttpRequest) -> HttpResponse:
    """All welders with the state of each process today; found by name or stamp."""
    asked, today = Asked(request, "welders", ("all",)), timezone.localdate()
    page = asked.page_of(found_among(asked))
    found = in_short_of_all(page, today)
    context = {
        **asked.context(page, HEADS),
        "rows": [(each, short.best, _said(each, short.best)) for each, short in found],
        "rows_kept": _rows,
        "more": [page() for page in WELDER_PAGES],
        "q": asked.text,
        "show_all": asked["all"] == "1",
        "today": today,
        "list": "welders",
        "may_author": may_author(request.user),
        "any": Welder.objects.exists(),
        "may_confirm": may_approve(request.user) and some_are_confirmed(),
    }
    return render(request, "qualification/welder_list.html", context)


class _Rows:
    """Rows that were drawn before, by everything they say."""

    def __init__(self) -> None:
        self.drawn: Remembered[SafeString] = Remembered(KEPT_ROWS)


_rows = _Rows()


def _said(who: Welder, standings: Iterable[QualificationStatus]) -> tuple[object, ...]:
    """Everything that the row of a welder says."""
    told = (
        (each.process, each.operation_words, each.verdict, each.words, each.due_words) for each in standings
    )
    return (who.pk, who.name, who.stamp, who.active, *told)


def found_among(asked: Asked) -> QuerySet[Welder]:
    """Welders that the list shows, in its order."""
    found = Welder.objects.all() if asked["all"] == "1" else Welder.objects.filter(active=True)
    if asked.text:
        found = found.filter(Q(name__icontains=asked.text) | Q(stamp__icontains=asked.text))
    return asked.ordered(found, HEADS)


@reader_required
def welder(request: HttpRequest, pk: int) -> HttpResponse:
    """One welder: standing today, tests with their ranges in short, and the continuity log."""
    shown, today = get_object_or_404(Welder, pk=pk), timezone.localdate()
    standings = standings_of(shown, today)
    tests = [summary_of(each, Side.WELDER) for each in (*shown.tests.all(), *shown.procedure_tests.all())]
    best = best_by_process(standings)
    held = widest(tests, standings)
    uses = list(shown.uses.all())
    context = {
        "welder": shown,
        "today": today,
        "band": _band(shown, best),
        "held": held,
        "inside_count": sum(len(each.inside) for each in held),
        "best": best,
        "standings": standings,
        "other_standings": [each for each in standings if each not in best],
        "tests": tests,
        "tests_say": "; ".join(each.record.number for each in tests[:SHOWN]),
        "uses": uses[:SHOWN],
        "uses_count": len(uses),
        "other_uses": uses[SHOWN:],
        "events": history_about(changes.KIND, shown.pk),
        "may_author": may_author(request.user),
    }
    return render(request, "qualification/welder.html", context)


def _band(shown: Welder, best: list[QualificationStatus]) -> dict[str, Any]:
    """What the welder holds today, and what ends first."""
    holding = [each for each in best if each.answer.state is Holding.HOLDS]
    lost = [f"{each.process}: {within_sentence(each.words)}." for each in best if each not in holding]
    if not holding:
        verdict, words = ("unknown", "No passed and approved test") if not best else ("not_covered", "")
        return {"verdict": verdict, "words": words or "No process is held today", "notes": lost}
    processes = " and ".join(dict.fromkeys(each.process for each in holding))
    ends = [each.answer.holds_until for each in holding if each.answer.holds_until is not None]
    first = f"; the first ends {min(ends)}" if ends else ""
    notes = [] if shown.active else ["No longer active: not offered for any weld."]
    return {"verdict": "covered", "words": f"Holds {processes} today{first}", "notes": [*notes, *lost]}


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
    opened = Opened(request, changes.KIND, shown)
    form = WelderForm(posted(request), instance=shown)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(shown, lock=True)
            if not opened.clashes(before, form, lambda stored: WelderForm(instance=stored)):
                saved = form.save()
                changes.note(
                    saved,
                    "create" if is_new else "change",
                    request.user,
                    detail=", ".join(form.changed_data),
                    changes=changes_between(before, values_of(saved)),
                )
                messages.success(request, f"{saved} is saved.")
                return redirect("welder", saved.pk)
    context = {"form": form, "is_new": is_new, "welder": shown, "opened": opened}
    return render(request, "qualification/welder_form.html", context, status=409 if opened.meanwhile else 200)


@author_required
@require_POST
def welder_active(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a welder as no longer with the shop, or as back."""
    shown = get_object_or_404(Welder, pk=pk)
    active = request.POST.get("active") == "yes"
    if shown.active != active:
        changes.set_active(shown, active, request.user)
    messages.success(
        request, f"{shown} is marked as {'active' if active else 'no longer active'}. Records and log stay."
    )
    return redirect("welder", shown.pk)
