"""What ends within 30, 60 or 90 days, what work it stops, and the calendar of it."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.roles import may_approve, may_author, reader_required
from qualification.server_address import server_address
from wps.jobs.lapse_calendar import calendar_of, feed_of, new_address
from wps.jobs.lapses import HORIZONS, lapses
from wps.models import CalendarFeed


@reader_required
def lapse_list(request: HttpRequest) -> HttpResponse:
    """Every qualification that ends within the days chosen, the next one first."""
    return _page(request)


@reader_required
@require_POST
def calendar_address(request: HttpRequest) -> HttpResponse:
    """Make a private address for the person's calendar; an earlier one is read no more."""
    path = reverse("lapse_calendar", args=[new_address(request.user)])
    base = server_address()
    return _page(request, f"{base}{path}" if base else request.build_absolute_uri(path))


def lapse_calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar, for whoever has the address; no sign-in, as calendars cannot."""
    if feed_of(secret) is None:
        raise Http404
    answer = HttpResponse(
        calendar_of(timezone.localdate(), timezone.now()), content_type="text/calendar; charset=utf-8"
    )
    answer["Cache-Control"] = "private, max-age=3600"
    return answer


def _page(request: HttpRequest, address: str = "") -> HttpResponse:
    typed, today = request.GET.get("days", ""), timezone.localdate()
    within = next((days for days in HORIZONS if str(days) == typed), HORIZONS[0])
    context = {
        "found": lapses(today, within),
        "within": within,
        "horizons": HORIZONS,
        "today": today,
        "may_act": may_author(request.user) or may_approve(request.user),
        "address": address,
        "has_address": CalendarFeed.objects.filter(person_id=request.user.pk).exists(),
    }
    return render(request, "wps/lapses.html", context)
