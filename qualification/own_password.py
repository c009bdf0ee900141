"""The own password, asked again before an act that binds: the screen may have been left open since then.

After 21 CFR 11.200(a)(1): the first signature of a sitting takes all parts of the sign-in, the next ones
fewer. Here a sitting is a quarter of an hour from the last time the password was entered.
"""

from __future__ import annotations

import time

from axes.handlers.proxy import AxesProxyHandler
from django.conf import settings
from django.contrib.auth.signals import user_logged_in, user_login_failed
from django.dispatch import receiver
from django.http import HttpRequest

from qualification.kept_entries import PASSWORD_DUE, SECOND_STEP_DUE

FIELD = "own_password"
"""Name of the entry that forms send it in; what is kept of a post leaves it out, as any password."""
ENTERED = "password_entered"
"""Entry of the session: seconds of the clock when it was entered last."""
SITTING_SECONDS = 15 * 60
NO_MATCH = "The password does not match. Enter the one you signed in with."
DUE_FIRST = {
    PASSWORD_DUE: "Change your password first, under Password: somebody else set the one you have.",
    SECOND_STEP_DUE: "Set up your second step of signing in first, under Password: this shop asks it of you.",
}
"""What keeps somebody from an act that binds, by the entry of the session that says so."""


@receiver(user_logged_in)
def _signed_in(request: HttpRequest, **kwargs: object) -> None:
    request.session[ENTERED] = time.time()


def asks_password(request: HttpRequest) -> bool:
    """Whether an act that binds needs the password now."""
    return time.time() - request.session.get(ENTERED, 0) > SITTING_SECONDS


def problem_with_password(request: HttpRequest) -> str:
    """Why the act has to wait for the password; empty once it was entered, or not long ago. A wrong one is a
    sign-in that failed."""
    if due := next((words for entry, words in DUE_FIRST.items() if entry in request.session), ""):
        return due
    if not asks_password(request):
        return ""
    typed = request.POST.get(FIELD, "")
    if not typed:
        return "You signed in a while ago. Enter your password once more, so that nobody acts in your name."
    if problem := problem_with_guess(request, typed):
        return problem
    request.session[ENTERED] = time.time()
    return ""


def problem_with_guess(request: HttpRequest, typed: str) -> str:
    """Why what was typed does not pass as the own password: whoever sits at somebody else's open screen
    cannot try them all. A wrong one is a sign-in that failed, and once that is locked on this device the
    right one has to wait as well."""
    name = {"username": request.user.get_username()}
    if not AxesProxyHandler.is_allowed(request, name):
        minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
        return f"Too many wrong passwords. Wait {minutes} minutes, then try again."
    if not request.user.check_password(typed):
        user_login_failed.send(sender=__name__, credentials=name, request=request)
        return NO_MATCH
    return ""
