"""Processor time of one page, for the commands that print ratios."""

from __future__ import annotations

import time

from django.contrib.auth.models import User
from django.contrib.sessions.backends.db import SessionStore
from django.test import RequestFactory
from django.urls import resolve


def page_seconds(path: str) -> float:
    """Seconds that the page takes whoever may see everything."""
    request = RequestFactory().get(path)
    request.user, request.session = User(pk=0, username="nobody", is_superuser=True), SessionStore()
    found = resolve(request.path)
    start = time.process_time()
    answer = found.func(request, *found.args, **found.kwargs)
    spent = time.process_time() - start
    assert answer.status_code == 200, answer.status_code
    return spent
