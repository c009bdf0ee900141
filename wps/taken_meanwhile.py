"""Two people who save under one number in the same moment: the later one is asked again, not failed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db import IntegrityError, connection
from django.http import HttpRequest, HttpResponse

MOST_TRIES = 30
"""More than threads that serve pages; each failure means that another one was saved."""


class TakenMeanwhile:
    """Middleware that does a post again when the database refused it because a unique number or name was
    taken between check and save. Nothing of the first time is stored then. The second time the form sees the
    number taken and says so, or the program counts on to the next free one. It stands last, next to the
    page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Answer a post in the page's place, again where a number was taken meanwhile."""
        if request.method != "POST":
            return None
        for _ in range(MOST_TRIES - 1):
            try:
                return view(request, *args, **kwargs)
            except IntegrityError as error:
                if not _says_taken(error) or connection.in_atomic_block and connection.needs_rollback:
                    raise
                for name in request.FILES:
                    for file in request.FILES.getlist(name):
                        file.seek(0)
        return view(request, *args, **kwargs)


def _says_taken(error: IntegrityError) -> bool:
    return "unique" in str(error).lower()  # both databases say it: “UNIQUE constraint”, “unique constraint”
