"""What the program looks after by itself: asked for by the server's thread, done in the background."""

from __future__ import annotations

from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from wps.background import tasks
from wps.backups import schedule
from wps.corrections import upgrades
from wps.documents.trail import TASK as TRAIL
from wps.find import index
from wps.jobs import kept_standings
from wps.models import BackgroundTask

A_DAY = timedelta(days=1)
WHOLE_SHOP = 1
"""Stands for the shop where a task has no other subject."""


def queue_what_is_due() -> None:
    """Ask for the checks that are due."""
    if _was_not_asked_today(TRAIL):
        tasks.queue(TRAIL, WHOLE_SHOP, "Check the audit trail", reverse("today"), None)
    if schedule.is_wanted() and _was_not_asked_today(schedule.TASK):
        tasks.queue(schedule.TASK, WHOLE_SHOP, "Back up the shop", reverse("backups"), None)
    if kept_standings.is_due():
        tasks.queue(
            kept_standings.TASK, WHOLE_SHOP, "Work out how welders stand today", reverse("today"), None
        )
    if upgrades.is_due():
        tasks.queue(
            upgrades.TASK, WHOLE_SHOP, "Judge approved records by this release", reverse("today"), None
        )


def queue_what_came_in() -> None:
    """Ask for what an import left to read, so that nobody's search waits for it."""
    if index.is_much_due():
        tasks.queue(index.TASK, WHOLE_SHOP, "Read for the search what came in", reverse("find"), None)


def _was_not_asked_today(kind: str) -> bool:
    newest = BackgroundTask.objects.filter(kind=kind).order_by("-asked_at").first()
    return newest is None or newest.asked_at < timezone.now() - A_DAY
