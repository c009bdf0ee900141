"""What needs attention of the backups: none for too long, or none that reached the other disk."""

from __future__ import annotations

from django.urls import reverse

from qualification.roles import Person, may_approve
from wps.backups import schedule
from wps.models import BackgroundTask, TaskState
from wps.today.matters import Matter, Section


def backups_made(person: Person) -> Section | None:
    """Backups, for those who answer for what would be lost; an administrator mends it."""
    if not may_approve(person):
        return None
    url = reverse("backups") if getattr(person, "is_superuser", False) else reverse("shop")
    days, matters = schedule.overdue_days(), []
    if days is not None:
        matters.append(
            Matter(
                f"No backup for {days} days",
                url,
                "The program makes one a day while it runs. A shop administrator looks under Shop, Backups.",
            )
        )
    last = BackgroundTask.objects.filter(kind=schedule.TASK, state__in=[TaskState.DONE, TaskState.FAILED])
    newest = last.order_by("-finished_at").first()
    if newest is not None and newest.state == TaskState.FAILED:
        matters.append(Matter("The last backup failed", url, newest.message))
    return Section("Backups", "", tuple(matters))


SOURCES = (backups_made,)
