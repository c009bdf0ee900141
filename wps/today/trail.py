"""What needs attention of the audit trail: whether it held when it was last checked."""

from __future__ import annotations

from django.utils import timezone

from qualification.roles import Person, may_approve
from wps.documents.trail import TASK
from wps.models import BackgroundTask, TaskState
from wps.today.matters import Matter, Rank, Section


def trail_checked(person: Person) -> Section | None:
    """The last check of the trail, once there was one; for those who answer for what it says."""
    if not may_approve(person):
        return None
    ended = BackgroundTask.objects.filter(kind=TASK, state__in=[TaskState.DONE, TaskState.FAILED])
    last = ended.order_by("-finished_at").first()
    if last is None or last.finished_at is None:
        return None
    when = f"{timezone.localtime(last.finished_at):%Y-%m-%d %H:%M}"
    matters = (
        ()
        if last.state == TaskState.DONE
        else (Matter("The audit trail does not hold", last.get_absolute_url(), f"{when}: {last.message}"),)
    )
    return Section(
        "Audit trail",
        f"The audit trail held when it was last checked, {when}.",
        matters,
        rank=Rank.STOPPED,
        button="See the check",
    )


SOURCES = (trail_checked,)
