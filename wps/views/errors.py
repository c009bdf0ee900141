"""Error pages in the shop's words. They read nothing from the database, so they work when it does not."""

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string


def _page(template: str, status: int) -> HttpResponse:
    return HttpResponse(render_to_string(template), status=status)


def not_understood(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400: the request could not be read."""
    return _page("400.html", 400)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403: refused by a rule that is not about a role (roles have their own page)."""
    return _page("403.html", 403)


def form_expired(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form's one-time token does not match, usually after a long pause or a sign-out."""
    return _page("form_expired.html", 403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: no such page or record."""
    return _page("404.html", 404)


def went_wrong(request: HttpRequest) -> HttpResponse:
    """500: a fault of the program."""
    return _page("500.html", 500)
