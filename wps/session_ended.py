"""A form sent after the sign-in ended is not lost, and a browser learns which of its posts arrived."""

from __future__ import annotations

import re
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from qualification.forms.sign_in import SignInForm
from qualification.kept_entries import KeptPost
from qualification.tongues.told import told

TOKEN = "kept_token"
"""Hidden field that `keep.js` puts into each form it sends."""
ARRIVED = "arrived"
"""Cookie that names the last few of them that were answered; the script reads it."""
A_TOKEN = re.compile(r"[a-z0-9]{8,40}")
MOST_TOKENS = 5
MINUTES_TEN = 600

ENDED = (
    "Your sign-in has ended, so this was not saved. Nothing is lost: sign in, and go on with what you typed."
)


class SessionEnded:
    """Middleware that answers in the place of a bare way to the sign-in page: a script is told 401, and a
    form that was sent is kept on the sign-in page and handed back."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if not _leads_to_sign_in(request, answer):
            _note_arrival(request, answer)
            return answer
        if _is_by_script(request):
            return JsonResponse(
                {"refused": told("Your sign-in has ended. Sign in, then do it again.")}, status=401
            )
        return sign_in_again(request) if request.method == "POST" else answer


def sign_in_again(request: HttpRequest) -> HttpResponse:
    """The sign-in page, with what was sent on it."""
    kept = KeptPost.of(request)
    context = {"form": SignInForm(request), "kept": kept, "refusal": ENDED, "next": ""}
    return render(request, "qualification/sign_in.html", context, status=401)


def _is_by_script(request: HttpRequest) -> bool:
    accepted = request.headers.get("Accept", "*/*")
    if request.content_type == "application/json":
        return True
    return "HX-Request" in request.headers or not ("text/html" in accepted or "*/*" in accepted)


def _leads_to_sign_in(request: HttpRequest, answer: HttpResponse) -> bool:
    if answer.status_code != 302 or request.user.is_authenticated:
        return False
    return answer.headers["Location"] == redirect_to_login(request.get_full_path()).headers["Location"]


def _note_arrival(request: HttpRequest, answer: HttpResponse) -> None:
    if request.method != "POST" or answer.status_code in (401, 403) or answer.status_code >= 500:
        return
    token = request.POST.get(TOKEN, "")
    if not A_TOKEN.fullmatch(token):
        return
    earlier = [each for each in request.COOKIES.get(ARRIVED, "").split(".") if A_TOKEN.fullmatch(each)]
    answer.set_cookie(
        ARRIVED,
        ".".join([*earlier[-MOST_TOKENS + 1 :], token]),
        max_age=MINUTES_TEN,
        secure=settings.HTTPS,
        samesite="Lax",
    )
