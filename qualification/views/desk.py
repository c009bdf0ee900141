"""The answers that every editor of a record with entries gives: its page, its save, its live check."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from qualification.forms.desk import Desk
from qualification.models.record import Record


def write(
    request: HttpRequest, desk: Desk, template: str, about: Callable[[], dict[str, Any]] = dict
) -> HttpResponse:
    """Save what was sent and go on; else the page, with what was typed and what is in its way. `about` gives
    what else the page shows."""
    if desk.wants_saving and desk.save(request.user):
        for sentence in desk.said:
            messages.success(request, sentence)
        return redirect(desk.after(request.POST.get("do", "")))
    return render(request, template, {**on_desk(desk), **about()}, status=desk.status)


def live_check(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What the desk makes of what is typed so far, as a fragment of its page; nothing is stored."""
    return render(request, "entries/_desk_check.html", {**on_desk(desk), "live": True})


def on_desk(desk: Desk) -> dict[str, Any]:
    """What every page of an editor shows."""
    desk.draw()
    return {
        "desk": desk,
        "head": desk.head,
        "forms": desk.forms,
        "check_url": desk.check_url,
        "unsaved": desk.data is not None,
    }


def not_a_draft(request: HttpRequest, record: Record) -> HttpResponse:
    """A revision that is no draft is shown, with a word on how to change it."""
    messages.info(
        request,
        f"{record} is {record.get_state_display().lower()} and cannot be edited. Start a new revision to"
        " change it.",
    )
    return redirect(record)
