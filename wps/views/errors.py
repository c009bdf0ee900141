"""Error pages in the shop's words. They read nothing from the database, so they work when it does not."""

import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse

from qualification.kept_entries import KeptPost, is_ours
from wps.conditions import trouble_with
from wps.session_ended import sign_in_again


def _page(template: str, status: int) -> HttpResponse:
    return HttpResponse(render_to_string(template), status=status)


def not_understood(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400: the request could not be read."""
    return _page("400.html", 400)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403: refused by a rule that is not about a role (roles have their own page)."""
    return _page("403.html", 403)


def form_expired(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form's token does not match, usually because somebody signed in anew in another tab. What one
    of the program's own pages sent is handed back, to be sent again by a button."""
    if not is_ours(request) or request.path == reverse("sign_in"):
        return _page("form_expired.html", 403)
    if not request.user.is_authenticated:
        return sign_in_again(request)
    return render(request, "qualification/handed_back.html", {"kept": KeptPost.of(request)}, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: no such page or record."""
    return _page("404.html", 404)


def went_wrong(request: HttpRequest) -> HttpResponse:
    """500: a fault of the program; 503, with what to do, when it lies with the machine."""
    if trouble := trouble_with(sys.exception()):
        return HttpResponse(render_to_string("503.html", {"trouble": trouble}), status=503)
    return _page("500.html", 500)
