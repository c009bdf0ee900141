"""How the machine that the program runs on stands."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache

from qualification.roles import administrator_required
from wps.conditions import conditions as looked_at


@never_cache
@administrator_required
def conditions(request: HttpRequest) -> HttpResponse:
    """Room, database, fonts, background work, clock and backups, looked at now."""
    return render(request, "wps/conditions.html", {"conditions": looked_at()})
