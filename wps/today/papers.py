"""What needs attention of papers: signatures that wait, copies no longer in force, work that failed."""

from __future__ import annotations

from django.urls import reverse

from qualification.models import State
from qualification.roles import Person, may_administer, may_author, may_read
from wps.documents.kinds import KINDS, WORDS
from wps.documents.taking_signatures import NAMES
from wps.documents.trail import TASK as TRAIL
from wps.documents.transmitted import outdated_copies
from wps.models import BackgroundTask, IssuedDocument, PersonalCertificate, Stage, TaskState
from wps.models.documents import SIGNING_STAGES
from wps.today.matters import Matter, Rank, Section


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
            f"{WORDS[each.kind]} {each.reference}",
            each.get_absolute_url(),
            f"sign as {NAMES[Stage(each.stage)]}",
        )
        for each in waiting[:MOST_LISTED]
    )
    several = Matter(
        f"{len(waiting)} documents wait for my signature",
        reverse("signing_desk"),
        "one passphrase for those you have read",
    )
    return Section(
        "Waiting for my signature",
        "No document waits for my signature.",
        matters,
        several if len(waiting) > 1 else None,
        len(waiting),
        rank=Rank.WAITS,
        button="Sign",
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
        "Copies no longer in force",
        "Everyone who holds a copy holds one in force, or was told.",
        matters,
        rank=Rank.WAITS,
        button="Notify",
    )


def work_failed(person: Person) -> Section | None:
    """Background tasks that came to no end; shown only when there are any."""
    if not may_author(person):
        return None
    failed = [
        task
        for task in BackgroundTask.objects.filter(state=TaskState.FAILED).exclude(kind=TRAIL)
        if not BackgroundTask.objects.filter(
            kind=task.kind, subject_id=task.subject_id, pk__gt=task.pk
        ).exists()
    ]
    matters = tuple(Matter(task.label, task.get_absolute_url(), task.message) for task in failed)
    if not matters:
        return None
    return Section("Background work that failed", "", matters, rank=Rank.STOPPED, button="See the task")


def certificates_to_accept(person: Person) -> Section | None:
    """Certificates from other authorities that sign nothing until an administrator has accepted them; shown
    only while there are any."""
    if not may_administer(person):
        return None
    waiting = [each for each in PersonalCertificate.objects.filter(by_shop=False) if each.waits]
    matters = tuple(
        Matter(f"Certificate of {each.person_name}", reverse("certificate"), "compare its fingerprint")
        for each in waiting
    )
    if not matters:
        return None
    return Section("Certificates to accept", "", matters, rank=Rank.WAITS, button="Compare")


SOURCES = (waiting_for_signature, copies_outdated, certificates_to_accept, work_failed)
