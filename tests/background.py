"""Background work of a server that runs, seen from outside."""

from __future__ import annotations

import time

from wps.models import BackgroundTask, TaskState

Standing = list[tuple[object, ...]]


def open_tasks() -> Standing:
    """The tasks that are not at their end, and how far they are."""
    found = BackgroundTask.objects.filter(state__in=[TaskState.WAITING, TaskState.RUNNING])
    return list(found.order_by("pk").values_list("pk", "state", "attempts", "done"))


def wait_for_the_end(most_seconds: float) -> bool:
    """Wait until all came to their end; False once nothing has moved for so long."""
    stood, since = open_tasks(), time.monotonic()
    while stood and time.monotonic() - since < most_seconds:
        time.sleep(0.5)
        if (now := open_tasks()) != stood:
            stood, since = now, time.monotonic()
    return not stood
