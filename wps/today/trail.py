"""What needs attention of the audit trail: whether it held when it was last checked, and whether somebody
guesses."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from qualification.models.audit import AuditEntry
from qualification.roles import Person, may_approve
from wps.documents.trail import TASK
from wps.models import BackgroundTask, TaskState
from wps.outside.trail_review import last_review
from wps.signing.guesses import VERB as PASSPHRASE_FAILED
from wps.today.matters import Matter, Rank, Section

TOLD_FOR = timedelta(days=7)
"""How long guesses are told of, where nobody reviews the trail."""
GUESSES = {
    "sign_in_failed": "Somebody guesses at the password of",
    PASSPHRASE_FAILED: "Somebody guesses at the passphrase of",
}


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


def guesses_noted(person: Person) -> Section | None:
    """Names at which as many attempts failed as lock one, until the trail is reviewed."""
    if not may_approve(person):
        return None
    review = last_review()
    failed = AuditEntry.objects.filter(
        verb__in=GUESSES, number__gt=review.record_id if review else 0, at__gt=timezone.now() - TOLD_FOR
    )
    counts = Counter(failed.values_list("verb", "record_name"))
    matters = tuple(
        Matter(
            f"{GUESSES[verb]} {name}",
            f"{reverse('trail')}?{urlencode({'verb': verb, 'q': name})}",
            f"{count} attempts failed. Ask {name} whether it was their own; if not, have the password"
            " changed under Shop, People. Reviewing the audit trail ends this notice.",
        )
        for (verb, name), count in sorted(counts.items())
        if count >= settings.AXES_FAILURE_LIMIT
    )
    return Section("Attempts to get in", "", matters, rank=Rank.WAITS, button="See the trail")


SOURCES = (trail_checked, guesses_noted)
