"""Who may weld: a part of a job, or a weld described on the spot, on a chosen day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from qualification.codes.editions import available_editions
from qualification.evidence.kept import AnswerCache
from qualification.forms.record_forms import RecordForms
from qualification.models import Shop, UnitSystem
from qualification.posted import number_in
from qualification.roles import may_author, reader_required
from qualification.rules.variables.definition import RecordKind
from wps.jobs.board import Board, WeldToday
from wps.jobs.described_weld import OnFile
from wps.jobs.part_view import PartView, active_roster
from wps.models import Part
from wps.procedures.procedure_match import ApprovedProcedures, weld_of

GAPS = "What would close the gap"


@reader_required
def who_may_weld(request: HttpRequest) -> HttpResponse:
    """Choose a part of an open job and a day."""
    day, problem = _day(request.GET.get("day", ""))
    pk = number_in(request.GET.get("part", ""))
    found = None if pk is None else Part.objects.select_related("job").filter(pk=pk).first()
    context: dict[str, Any] = {
        "welds": _options(found),
        "part": found,
        "day": day,
        "typed_day": request.GET.get("day", ""),
        "day_problem": problem,
        "answers": None,
        "gaps_at": gaps_at(pk, day),
        "all_welders": f"?{urlencode({'part': pk or '', 'day': day.isoformat(), 'welders': 'all'})}",
    }
    if found is not None and problem == "":
        context |= _answers(Board.of(found.job, day).page(found, every_welder=_every(request.GET)))
    return render(request, "wps/who_may_weld.html", context, status=422 if problem else 200)


@reader_required
def weld_coupons(request: HttpRequest) -> HttpResponse:
    """Coupons that would let those weld who may not: a piece of the pages that say who may, for which they do
    not wait, or a page of its own."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=number_in(request.GET.get("part", "")))
    day, _ = _day(request.GET.get("day", ""))
    context = {"part": part, "gaps": Board.of(part.job, day).page(part).gaps, "title": GAPS}
    is_piece = request.headers.get("HX-Request") == "true"
    return render(request, "wps/_gaps.html" if is_piece else "wps/weld_coupons.html", context)


_offered: AnswerCache[dict[int, SafeString]] = AnswerCache(1, frozenset({"wps_job", "wps_part"}))


def _options(chosen: Part | None) -> SafeString:
    """A choice for each weld of an open job, and for the chosen one."""
    offered = _offered.of("", _of_open_jobs)
    if chosen is not None:
        offered = {**offered, chosen.pk: _option(chosen.pk, f"{chosen} {chosen.title}", " selected")}
    return mark_safe("".join(offered.values()))  # noqa: S308  of each the words are escaped


def _of_open_jobs() -> dict[int, SafeString]:
    """Of plain values: there may be thousands."""
    parts = Part.objects.filter(job__open=True).order_by("job__number", "mark")
    said = parts.values_list("pk", "job__number", "mark", "title")
    return {pk: _option(pk, f"{number} / {mark} {title}") for pk, number, mark, title in said}


def _option(pk: int, words: str, chosen: str = "") -> SafeString:
    return mark_safe(f'<option value="{pk}"{chosen}>{escape(words)}</option>')  # noqa: S308


@reader_required
def who_may_weld_described(request: HttpRequest) -> HttpResponse:
    """Describe a weld and ask; nothing is stored."""
    data = request.POST if request.method == "POST" else None
    units, edition = _units(data), _edition(data)
    day, problem = _day(data.get("day", "") if data else "")
    forms = RecordForms(RecordKind.PART, units, edition, {}, [], data)
    context: dict[str, Any] = {
        "check_url": request.path,
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
        view = PartView(weld, units, "", ApprovedProcedures.of(edition))
        page = WeldToday(view, active_roster(day, view.shelf), _every(data or {}))
        context |= {**_answers(page), "on_file": OnFile(view, page.welders)}
        context["may_author"] = may_author(request.user)
    template = "wps/_described_check.html" if context["live"] else "wps/who_may_weld_described.html"
    return render(request, template, context, status=422 if problem and not context["live"] else 200)


def _answers(page: WeldToday) -> dict[str, Any]:
    may, asked = page.may, page.welders
    words = f"{may} of {asked} may weld it." if may else "No welder is qualified for the whole weld."
    return {"view": page.view, "page": page, "may_count": may, "may_words": words, "answers": page.answers}


def gaps_at(part: int | None, day: date) -> str:
    """Where the coupons for a stored weld are asked for."""
    return f"{reverse('weld_coupons')}?{urlencode({'part': part or '', 'day': day.isoformat()})}"


def _every(asked: Mapping[str, Any]) -> bool:
    """True where the whole list of welders is asked for."""
    return asked.get("welders") == "all"


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
