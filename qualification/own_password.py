"""The own password, asked again before an act that binds: the screen may have been left open since then.

After 21 CFR 11.200(a)(1): the first signature of a sitting takes all parts of the sign-in, the next ones
fewer. Here a sitting is a quarter of an hour from the last time the password was entered.
"""

from __future__ import annotations

import time

from django.contrib.auth.signals import user_logged_in, user_login_failed
from django.dispatch import receiver
from django.http import HttpRequest

FIELD = "own_password"
"""Name of the entry that forms send it in; what is kept of a post leaves it out, as any password."""
ENTERED = "password_entered"
"""Entry of the session: seconds of the clock when it was entered last."""
SITTING_SECONDS = 15 * 60


@receiver(user_logged_in)
def _signed_in(request: HttpRequest, **kwargs: object) -> None:
    request.session[ENTERED] = time.time()


def asks_password(request: HttpRequest) -> bool:
    """Whether an act that binds needs the password now."""
    return time.time() - request.session.get(ENTERED, 0) > SITTING_SECONDS


def problem_with_password(request: HttpRequest) -> str:
    """Why the act has to wait for the password; empty once it was entered, or not long ago. A wrong one is a
    sign-in that failed."""
    if not asks_password(request):
        return ""
    typed = request.POST.get(FIELD, "")
    if not typed:
        return "You signed in a while ago. Enter your password once more, so that nobody acts in your name."
    if not request.user.check_password(typed):
        name = {"username": request.user.get_username()}
        user_login_failed.send(sender=__name__, credentials=name, request=request)
        return "The password does not match. Enter the one you sign in with."
    request.session[ENTERED] = time.time()
    return ""
