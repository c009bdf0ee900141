"""How welders stand is worked out in the background, before somebody looks."""

from __future__ import annotations

from django.utils import timezone

from qualification.models import Welder
from qualification.welders.in_short import in_short_of_all, missing_today
from wps.background.tasks import Progress

TASK = "standings"
AT_ONCE = 10
"""Welders worked out together: what is done so far is stored."""


def is_due() -> bool:
    """True while nothing stored of some active welder is good for today."""
    return bool(missing_today())


def keep_in_background(subject_id: int, progress: Progress) -> None:
    """What the queue calls for a task of the kind `standings`."""
    missing, today = missing_today(), timezone.localdate()
    for start in range(0, len(missing), AT_ONCE):
        progress(start, len(missing))
        in_short_of_all(Welder.objects.filter(pk__in=missing[start : start + AT_ONCE]), today)
    progress(len(missing), len(missing))
