"""Bounds on every request, before any page reads it: how long the address and each entry may be, how much
somebody may send who is not signed in, and no signs that no keyboard writes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from qualification.kept_entries import came_before
from qualification.rules.entries.reading import LONGEST_TEXT

LONGEST_ENTRY = 2 * LONGEST_TEXT
"""Characters of one entry that are read at all. Up to here a field says on its own page that it is too long;
beyond, reading costs more than the answer is worth."""

LONGEST_QUERY = 8_000
"""Characters behind the question mark of an address."""

MOST_BEFORE_SIGN_IN = 64 * 1024
"""Bytes that somebody may send who is not signed in; the sign-in form needs under one thousand. A browser
somebody signed in with may send more: a long form, after the sign-in ended while it was filled in."""

NUL = "\x00"


class RequestLimits:
    """Middleware that refuses what no page takes, in words. It stands behind the one that knows the person,
    and ahead of all that reads what was posted."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if len(request.META.get("QUERY_STRING", "")) > LONGEST_QUERY:
            return _refused(
                f"The address has more than {LONGEST_QUERY:,} characters behind its question mark. Go back"
                " and search for less.",
                414,
            )
        if NUL in request.path or any(_has_nul(values) for values in request.GET.lists()):
            return _refused("The address contains a sign that cannot be written. Type it again.", 400)
        if (
            _bytes_of(request) > MOST_BEFORE_SIGN_IN
            and not request.user.is_authenticated
            and not came_before(request)
        ):
            return _refused("Sign in first. So much can be sent only by somebody who is signed in.", 413)
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Refuse entries longer than the longest field takes. A field with a lower limit says so itself."""
        if request.method != "POST":
            return None
        for name, values in request.POST.lists():
            if _has_nul((name, values)):
                return _refused(
                    "An entry contains a sign that cannot be written. Go back, type the entry again and send"
                    " it.",
                    400,
                )
            longest = max(map(len, [name, *values]))
            if longest > LONGEST_ENTRY:
                return _refused(
                    f"An entry is {longest:,} characters long. Go back and shorten it to"
                    f" {LONGEST_TEXT:,} or fewer; longer texts can be added to a job as a document.",
                    422,
                )
        return None


def _has_nul(item: tuple[str, list[Any]]) -> bool:
    name, values = item
    return NUL in name or any(NUL in value for value in values)


def _bytes_of(request: HttpRequest) -> int:
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


def _refused(sentence: str, status: int) -> HttpResponse:
    return HttpResponse(render_to_string("400.html", {"sentence": sentence}), status=status)
