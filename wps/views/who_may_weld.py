"""Who may weld: a part of a job, or a weld described on the spot, on a chosen day."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from qualification.editions import available_editions
from qualification.forms.record_forms import RecordForms
from qualification.models import Shop, UnitSystem
from qualification.roles import reader_required
from qualification.rules.variables import Use
from wps.fitting import Shelf, weld_of
from wps.models import Part
from wps.part_desk import PartView, active_files
from wps.welding_today import gaps, in_words, limits_in_words


@reader_required
def who_may_weld(request: HttpRequest) -> HttpResponse:
    """Choose a part of an open job and a day."""
    day, problem = _day(request.GET.get("day", ""))
    parts = list(Part.objects.filter(job__open=True).select_related("job").order_by("job__number", "mark"))
    wanted = request.GET.get("part", "")
    found = next((part for part in parts if str(part.pk) == wanted), None)
    if found is None and wanted.isdigit():
        found = Part.objects.select_related("job").filter(pk=int(wanted)).first()
        parts += [found] if found else []
    context: dict[str, Any] = {
        "parts": parts,
        "part": found,
        "day": day,
        "typed_day": request.GET.get("day", ""),
        "day_problem": problem,
        "answers": None,
    }
    if found is not None and problem == "":
        view = PartView.of(found, Shelf.for_job(found.job))
        context |= _answers(view, day)
    return render(request, "wps/who_may_weld.html", context, status=422 if problem else 200)


@reader_required
def who_may_weld_described(request: HttpRequest) -> HttpResponse:
    """Describe a weld and ask; nothing is stored."""
    data = request.POST if request.method == "POST" else None
    units, edition = _units(data), _edition(data)
    day, problem = _day(data.get("day", "") if data else "")
    forms = RecordForms(Use.PART, units, edition, {}, [], data)
    context: dict[str, Any] = {
        "forms": forms,
        "units": units,
        "edition": edition,
        "editions": available_editions(),
        "unit_choices": UnitSystem.choices,
        "day": day,
        "typed_day": data.get("day", "") if data else "",
        "day_problem": problem,
        "live": request.headers.get("HX-Request") == "true",
    }
    if problem == "":
        weld = weld_of(forms.joint_entries, forms.line_entries, units)
        context |= _answers(PartView(weld, units, "", Shelf.of(edition)), day)
    template = "wps/_described_check.html" if context["live"] else "wps/who_may_weld_described.html"
    return render(request, template, context, status=422 if problem and not context["live"] else 200)


def _answers(view: PartView, day: date) -> dict[str, Any]:
    found = view.answers(active_files(day, view.shelf))
    may = sum(answer.may for answer in found)
    words = f"{may} of {len(found)} may weld it." if may else "Nobody may weld it whole."
    return {
        "view": view,
        "may_count": may,
        "may_words": words,
        "answers": in_words(found, view.units),
        "gaps": gaps(view.weld, found, view.shelf.for_welders, view.units, view.house),
        "limits": limits_in_words(view.weld, view.house, view.shelf.edition, view.units),
    }


def _day(typed: str) -> tuple[date, str]:
    """The day asked about, today unless one is typed, and what is wrong with the entry."""
    today = timezone.localdate()
    if not typed.strip():
        return today, ""
    try:
        return date.fromisoformat(typed.strip()), ""
    except ValueError:
        return today, f"Day: “{typed.strip()}” is not a day. Write year, month and day, such as {today}."


def _units(data: Any) -> str:
    typed = data.get("units", "") if data else ""
    return (
        typed if typed in UnitSystem.values else UnitSystem.US if Shop.current().inch_first else UnitSystem.SI
    )


def _edition(data: Any) -> str:
    known = [key for key, _ in available_editions()]
    for wanted in (data.get("edition", "") if data else "", Shop.current().code_edition):
        if wanted in known:
            return wanted
    return known[0]
