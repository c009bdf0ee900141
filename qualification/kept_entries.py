"""What was typed in a form that was sent after the sign-in had ended: carried through the sign-in page by the
browser itself, sealed, and handed back. The server stores nothing for somebody it does not know."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve
from django.utils.http import url_has_allowed_host_and_scheme

SALT = "entries kept over a sign-in"
FIELD = "kept"
"""Name of the hidden fields of the sign-in page."""
PIECE = 4_000
"""Characters in one of them: no entry of a post may be longer than the program reads."""
A_DAY = 24 * 60 * 60
NEVER_KEPT = re.compile("csrf|password|passphrase", re.IGNORECASE)
UNSEEN = ("version", "kept_token")
"""Entries that pages write by themselves."""

PASSWORD_DUE, SECOND_STEP_DUE, OVER_A_PAGE = "password_due", "second_step_due", "over a page"
"""Entries of the session of somebody whose password another one set, and of somebody who has to set up a
second step; their value after a sign-in over a page."""

CAME_BEFORE = "came_before"
"""Cookie of a browser somebody has signed in with: it may send as much as one who is signed in."""
CAME_BEFORE_SECONDS = 30 * A_DAY


@dataclass(frozen=True)
class KeptPost:
    """A post: where it went, and what was in it. Secrets are left out, and files cannot be kept."""

    path: str
    entries: list[tuple[str, str]]
    files: list[str]

    @classmethod
    def of(cls, request: HttpRequest) -> KeptPost:
        return cls(
            request.get_full_path(),
            [
                (name, value)
                for name, values in request.POST.lists()
                if not NEVER_KEPT.search(name)
                for value in values
            ],
            [file.name or "" for _, files in request.FILES.lists() for file in files],
        )

    @classmethod
    def read(cls, request: HttpRequest) -> KeptPost | None:
        """What the sign-in page carried; `None` when that is nothing, or was changed, or is a day old."""
        try:
            path, entries, files = signing.loads(
                "".join(request.POST.getlist(FIELD)), salt=SALT, max_age=A_DAY
            )
            resolve(path.partition("?")[0])
        except (signing.BadSignature, Resolver404, ValueError):
            return None
        if not url_has_allowed_host_and_scheme(path, allowed_hosts=None):
            return None
        return cls(path, [(name, value) for name, value in entries], files)

    @property
    def pieces(self) -> list[str]:
        """For hidden fields of the sign-in page."""
        sealed = signing.dumps([self.path, self.entries, self.files], salt=SALT, compress=True)
        return [sealed[start : start + PIECE] for start in range(0, len(sealed), PIECE)]

    @property
    def shown(self) -> list[tuple[str, str]]:
        """What a person typed or chose, for reading and copying."""
        return [(name, value) for name, value in self.entries if value.strip() and name not in UNSEEN]


def is_ours(request: HttpRequest) -> bool:
    """Whether one of the program's own pages sent the post, by the browser's word, which pages cannot
    change."""
    return request.META.get("HTTP_ORIGIN") == f"{request.scheme}://{request.get_host()}"


def remember(answer: HttpResponse, person: User, secure: bool) -> None:
    """Mark the browser as one somebody signed in with."""
    answer.set_cookie(
        CAME_BEFORE,
        signing.dumps(person.pk, salt=CAME_BEFORE),
        max_age=CAME_BEFORE_SECONDS,
        secure=secure,
        httponly=True,
        samesite="Lax",
    )


def came_before(request: HttpRequest) -> bool:
    """Whether somebody who may still sign in has signed in with this browser."""
    try:
        pk = signing.loads(
            request.COOKIES.get(CAME_BEFORE, ""), salt=CAME_BEFORE, max_age=CAME_BEFORE_SECONDS
        )
    except signing.BadSignature:
        return False
    return User.objects.filter(pk=pk, is_active=True).exists()
