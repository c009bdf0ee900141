"""When a sign-in ends by itself, and what comes before anything else after one."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.signals import user_logged_in
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from qualification.kept_entries import OVER_A_PAGE, PASSWORD_DUE, SECOND_STEP_DUE
from qualification.models import Shop
from qualification.models.shop import IDLE_CHOICES

SEEN, BEGAN = "seen", "began"
"""Entries of the session: seconds of the clock at the last thing the person did, and at signing in."""
NOTED_SECONDS = 60
"""How much later than the last note something is noted again: a session is not written at every page."""
FREE = (
    "change_password", "second_step", "second_step_picture", "passkey_asked", "passkey_make", "sign_out",
    "session", "sign_in",
)  # fmt: skip
"""Pages that stay open to somebody who has something to do first."""
CHECK = "/check/"
"""How the addresses end that only look at what is typed."""
FIRST = {PASSWORD_DUE: "change_password", SECOND_STEP_DUE: "second_step"}
"""What comes before anything else, by the entry of the session that says so, and the page that does it."""


@receiver(user_logged_in)
def _signed_in(request: HttpRequest, **kwargs: Any) -> None:
    request.session[SEEN] = request.session[BEGAN] = time.time()


class SignInEnds:
    """Middleware that ends a sign-in after the shop's idle time, and after one long shift in any case; and
    sends somebody whose password was set by another to the page that changes it, and somebody without the
    second step that the shop asks for to the page that sets it up."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            if _is_over(request):
                logout(request)
            elif page := _comes_first(request):
                return redirect(page)
        return self.get_response(request)


def _is_over(request: HttpRequest) -> bool:
    now, session = time.time(), request.session
    seen, began = session.get(SEEN, now), session.get(BEGAN, now)
    if now - began > settings.SESSION_COOKIE_AGE:
        return True
    idle = now - seen
    if idle > min(IDLE_CHOICES) * 60 and idle > Shop.current().idle_minutes * 60:
        return True
    if (SEEN not in session or idle > NOTED_SECONDS) and not _asks_by_itself(request):
        session[SEEN], session[BEGAN] = now, began
    return False


def _asks_by_itself(request: HttpRequest) -> bool:
    """Whether a page that stands open asks, and nobody did anything."""
    return request.method == "GET" and ("HX-Request" in request.headers or request.path == reverse("session"))


def _comes_first(request: HttpRequest) -> str:
    """The page that somebody has to deal with before any other; empty when there is none."""
    due = next((entry for entry in FIRST if entry in request.session), "")
    if not due or request.path in map(reverse, FREE):
        return ""
    if request.session[due] != OVER_A_PAGE or request.method != "POST":
        return FIRST[due]
    # Signed in over a page: what was typed there is saved first, which is one post. Checks store nothing.
    if not request.path.endswith(CHECK):
        request.session[due] = "yes"
    return ""
