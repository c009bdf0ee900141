"""What needs attention of papers: signatures that wait, copies no longer in force, work that failed."""

from __future__ import annotations

from django.urls import reverse

from qualification.models import State
from qualification.roles import Person, may_author, may_read
from wps.attention import Matter, Section
from wps.documents.kinds import KINDS, WORDS
from wps.documents.transmitted import outdated_copies
from wps.models import BackgroundTask, IssuedDocument, TaskState
from wps.models.documents import SIGNING_STAGES
from wps.signing.taking import NAMES


def documents_to_sign(person: Person) -> list[IssuedDocument]:
    """Documents in force that this person signs next, in the order in which they were made."""
    waiting = IssuedDocument.objects.filter(stage__in=SIGNING_STAGES).select_related(
        "author", "approver", "witness"
    )
    return [
        each
        for each in waiting.order_by("pk")
        if each.signer == person
        and KINDS[each.kind].objects.filter(pk=each.record_id, state=State.APPROVED).exists()
    ]


MOST_LISTED = 5
"""As many documents to sign as the home page lists one by one; the page that signs several lists them all."""


def waiting_for_signature(person: Person) -> Section | None:
    """Documents this person signs next."""
    if not may_read(person):
        return None
    waiting = documents_to_sign(person)
    matters = tuple(
        Matter(
            f"{WORDS[each.kind]} {each.reference}", each.get_absolute_url(), f"sign as {NAMES[each.stage]}"
        )
        for each in waiting[:MOST_LISTED]
    )
    several = Matter(
        f"All {len(waiting)} to sign", reverse("signing_desk"), "one passphrase for those you have read"
    )
    return Section(
        "Waiting for my signature",
        "No document waits for my signature.",
        matters,
        several if len(waiting) > 1 else None,
        len(waiting),
    )


def copies_outdated(person: Person) -> Section | None:
    """Recipients who hold a packet with documents no longer in force and were not told yet."""
    if not may_author(person):
        return None
    matters = tuple(
        Matter(
            f"{transmittal.recipient} holds {', '.join(each.reference for each in documents)}",
            reverse("packet_list"),
            f"{transmittal.packet}, {transmittal.sent_on}: no longer in force",
        )
        for transmittal, documents in outdated_copies()
    )
    return Section(
        "Copies no longer in force", "Everyone who holds a copy holds one in force, or was told.", matters
    )


def work_failed(person: Person) -> Section | None:
    """Background tasks that came to no end; shown only when there are any."""
    if not may_author(person):
        return None
    failed = [
        task
        for task in BackgroundTask.objects.filter(state=TaskState.FAILED)
        if not BackgroundTask.objects.filter(
            kind=task.kind, subject_id=task.subject_id, pk__gt=task.pk
        ).exists()
    ]
    matters = tuple(Matter(task.label, task.get_absolute_url(), task.message) for task in failed)
    return Section("Background work that failed", "", matters) if matters else None


SOURCES = (waiting_for_signature, copies_outdated, work_failed)
