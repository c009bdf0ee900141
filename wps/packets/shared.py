"""What somebody outside the shop is shown of a job: its weld list with results, and the papers issued for it.
Nobody is named but on the papers themselves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from secrets import token_urlsafe

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from qualification.models import State
from qualification.records.audit import append, name_of
from qualification.roles import Person
from wps.documents.standing import DocumentStatus, packet_standing, standing_of
from wps.documents.weld_standing import WeldStatus, standings_of_job
from wps.models import IssuedDocument, Job, JobLink, Packet, PacketState, Spec, Stage


def make_link(job: Job, recipient: str, ends_on: date, person: Person) -> str:
    """A link for that recipient; the secret of its address, which is kept nowhere."""
    secret = token_urlsafe(32)
    with transaction.atomic():
        link = JobLink.objects.create(
            job=job,
            recipient=recipient,
            ends_on=ends_on,
            digest=_digest(secret),
            made_by_name=name_of(person),
        )
        append("create", JobLink.KIND, link.pk, str(link), name_of(person), {"detail": f"until {ends_on}"})
    return secret


def take_back(link: JobLink, person: Person) -> None:
    """It opens no more. Does nothing twice."""
    with transaction.atomic():
        current = JobLink.objects.select_for_update(no_key=True).get(pk=link.pk)
        if current.taken_back_at is None:
            current.taken_back_at, current.taken_back_by_name = timezone.now(), name_of(person)
            current.save()
            append("take_back_link", JobLink.KIND, current.pk, str(current), name_of(person), {})


def link_of(secret: str) -> JobLink | None:
    """The link with that secret, whether it still opens or not."""
    return JobLink.objects.select_related("job").filter(digest=_digest(secret)).first()


def note_opened(link: JobLink, today: date) -> None:
    """Put into the trail that it was opened, once a day."""
    with transaction.atomic():
        if JobLink.objects.filter(pk=link.pk).exclude(opened_on=today).update(opened_on=today):
            append("open_link", JobLink.KIND, link.pk, str(link), holder(link), {})


def holder(link: JobLink) -> str:
    """Who uses it, as the trail names them."""
    return f"{link.recipient} (by link)"[:160]


@dataclass(frozen=True)
class SharedPaper:
    """One issued document, and how it stands today."""

    document: IssuedDocument
    standing: DocumentStatus


@dataclass(frozen=True)
class SharedPacket:
    """One issued packet, and how it stands today."""

    packet: Packet
    standing: DocumentStatus


@dataclass(frozen=True)
class SharedWeld:
    """One weld of the list."""

    status: WeldStatus
    procedure: str

    @property
    def stamp(self) -> str:
        """The stamp of who welded it; the name is on the papers."""
        welded = self.status.welded
        return welded.welder.stamp if welded is not None and welded.welder is not None else ""


def packets_of(job: Job) -> list[Packet]:
    """The job's packets that were issued."""
    return list(job.packets.filter(state=PacketState.ISSUED))


def papers_of(job: Job) -> list[IssuedDocument]:
    """Signed documents of the procedures its welds are made by, and every document in its issued packets."""
    numbers = set(job.parts.exclude(spec_number="").values_list("spec_number", flat=True))
    chosen = Spec.objects.filter(number__in=numbers, state=State.APPROVED).values_list("pk", flat=True)
    of_welds = Q(kind="procedure", record_id__in=list(chosen), stage=Stage.SIGNED)
    in_packets = Q(packet_items__packet__job=job, packet_items__packet__state=PacketState.ISSUED)
    return list(IssuedDocument.objects.filter(of_welds | in_packets).exclude(sha256="").distinct())


def welds_of(job: Job) -> list[SharedWeld]:
    """Its weld list, by mark."""
    return [
        SharedWeld(each, each.welded.spec_reference if each.welded is not None else each.part.spec_number)
        for each in standings_of_job(job)
    ]


def shared_of(job: Job) -> dict[str, object]:
    """All of it, for the page."""
    return {
        "job": job,
        "welds": welds_of(job),
        "papers": [SharedPaper(each, standing_of(each)) for each in papers_of(job)],
        "packets": [SharedPacket(each, packet_standing(each)) for each in packets_of(job)],
    }


def _digest(secret: str) -> str:
    return sha256(secret.encode()).hexdigest()
