"""How the screens look to one person: as the system says or as chosen, kept on the device of the choice."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from qualification.roles import reader_required
from qualification.tongues.languages import LANGUAGES, language_named

COOKIE, YEAR = "look", 365 * 24 * 60 * 60
LOOKS = {
    "": ("As this device says", "Light or dark, as the system is set."),
    "light": ("Light", "Dark words on paper, whatever the system says."),
    "dark": ("Dark", "For a dim hall or the evening."),
    "contrast": ("High contrast", "Black on white, no gray, thick lines."),
    "sun": ("Bright sun", "High contrast with larger, heavier words, for a phone outdoors."),
}
"""Key of each look: its name, and what it is for."""


def look_of(request: HttpRequest) -> str:
    """The look chosen on this device; empty where nobody chose."""
    found = request.COOKIES.get(COOKIE, "")
    return found if found in LOOKS else ""


LANGUAGE_COOKIE = "language"
KEYS_COOKIE = "single_keys"


def uses_single_keys(request: HttpRequest) -> bool:
    """False where somebody turned keys such as `/` off: they get in the way of speech input."""
    return request.COOKIES.get(KEYS_COOKIE, "") != "off"


@reader_required
def look(request: HttpRequest) -> HttpResponse:
    """Choose a look."""
    if request.method == "POST":
        chosen = request.POST.get("look", "")
        answer = redirect("look")
        if chosen in LOOKS:
            keys = "on" if request.POST.get("single_keys") else "off"
            said = language_named(request.POST.get("language", ""))
            for name, value in ((COOKIE, chosen), (KEYS_COOKIE, keys), (LANGUAGE_COOKIE, said)):
                answer.set_cookie(
                    name, value, max_age=YEAR, httponly=True, samesite="Lax", secure=request.is_secure()
                )
            messages.success(request, f"{LOOKS[chosen][0]} is set on this device.")
        return answer
    context = {
        "looks": [(key, *words) for key, words in LOOKS.items()],
        "chosen": look_of(request),
        "languages": LANGUAGES.items(),
    }
    return render(request, "qualification/look.html", context)
