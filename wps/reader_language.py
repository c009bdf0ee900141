"""The language of the screens: what the person chose on this device; for who has not signed in, what the
browser asks for. Papers have their own."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_vary_headers
from django.utils.translation import get_language_from_request

from qualification.tongues.languages import ENGLISH, LANGUAGES, language_named, speaking
from qualification.views.look import LANGUAGE_COOKIE


def language_of(request: HttpRequest) -> str:
    """The language of the page that is asked for."""
    chosen = request.COOKIES.get(LANGUAGE_COOKIE, "")
    if chosen in LANGUAGES:
        return chosen
    if request.user.is_authenticated:
        return ENGLISH
    return language_named(get_language_from_request(request).split("-")[0])


class ReaderLanguage:
    """Middleware: answers in the language of the reader."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with speaking(language_of(request)):
            response = self.get_response(request)
        patch_vary_headers(response, ("Accept-Language", "Cookie"))
        return response
