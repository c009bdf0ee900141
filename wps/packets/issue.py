"""The life of a packet: asked for, assembled, signed and issued, handed over."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.lengths import too_long
from qualification.models import Shop
from qualification.records.audit import append, name_of
from qualification.roles import may_approve, may_author, who_grants
from wps.background import tasks
from wps.documents import vault
from wps.documents.taking_signatures import note_signature
from wps.models import BackgroundTask, Packet, PacketState, PersonalCertificate, TaskState, Transmittal
from wps.packets.assembly import FIELD
from wps.packets.contents import Contents, contents_of
from wps.packets.obstacles import obstacles_to, unsigned_in
from wps.signing.guesses import counted
from wps.signing.people import certificate_to_sign_with
from wps.signing.sign import SigningRefused, sign_file

TASK = "packet"
KIND = "packet"
"""What the audit trail calls a packet."""
ISSUER = "issuer"
LONGEST_STATEMENT = 600
"""Characters of what answers a packet's obstacles; it is printed on the cover."""


class PacketRefused(Exception):
    """The packet is not assembled, issued or handed over; the message says why and what to do."""


def obstacles_today(packet: Packet) -> list[str]:
    """Open items on this day."""
    return obstacles_to(packet, contents_of(packet, timezone.localdate()))


def begin_assembly(packet: Packet, statement: str, person: User) -> BackgroundTask:
    """Have the packet assembled as on this day. Raises PacketRefused while an obstacle stands unanswered, or
    is answered at length."""
    _refuse_without_role(person)
    if refusal := too_long("Reason for exceptions", len(statement.strip()), LONGEST_STATEMENT):
        raise PacketRefused(refusal)
    with transaction.atomic():
        current = Packet.objects.select_for_update(no_key=True).get(pk=packet.pk)
        if current.state == PacketState.ISSUED or is_being_assembled(current):
            raise PacketRefused(
                f"{current} is {current.get_state_display().lower()}; make a new packet for another one."
            )
        contents = contents_of(current, timezone.localdate())
        _refuse_unsigned(contents)
        obstacles = obstacles_to(current, contents)
        if obstacles and not statement.strip():
            raise PacketRefused(
                "State why the packet is issued in spite of what is listed, or put it right first."
            )
        current.obstacles, current.statement = obstacles, statement.strip() if obstacles else ""
        current.day, current.state = timezone.localdate(), PacketState.ASSEMBLING
        current.save()
        return tasks.queue(TASK, current.pk, f"Assemble {current}", current.get_absolute_url(), person)


def _refuse_unsigned(contents: Contents) -> None:
    """A reason does not stand for a signature, unless the shop has said so."""
    unsigned = unsigned_in(contents)
    if unsigned and not Shop.current().unsigned_in_packets:
        raise PacketRefused(
            f"{' '.join(unsigned)} Have them signed first. Whether unsigned documents may go into packets is"
            " set on the Shop page, by an approver."
        )


def is_being_assembled(packet: Packet) -> bool:
    """True while a task for it waits or runs; a task that failed leaves the packet free to be assembled
    again."""
    under_way = BackgroundTask.objects.filter(
        kind=TASK, subject_id=packet.pk, state__in=[TaskState.WAITING, TaskState.RUNNING]
    )
    return packet.state == PacketState.ASSEMBLING and under_way.exists()


def _refuse_without_role(person: User) -> None:
    if not (may_author(person) or may_approve(person)):
        raise PacketRefused(f"Issuing a packet takes an author or an approver. {who_grants()}")


def sign_packet(packet: Packet, person: User, passphrase: str, way: str) -> Transmittal:
    """Sign the assembled packet, issue it, and record that it goes to its recipient.

    Raises PacketRefused when it has to be assembled again, SigningRefused when the signature is refused.
    """
    _refuse_without_role(person)
    with counted(person):
        asked = Packet.objects.get(pk=packet.pk)
        _refuse_outdated(asked)
        certificate = certificate_to_sign_with(person)
        if not passphrase:
            raise SigningRefused("Enter the passphrase of your certificate.")
        with _signed(asked, certificate, passphrase) as made, transaction.atomic():
            current = Packet.objects.select_for_update(no_key=True).get(pk=packet.pk)
            _refuse_outdated(current)
            if certificate_to_sign_with(person) != certificate or _is_other(current, asked):
                raise PacketRefused(f"{current} changed while it was signed. Look at it again.")
            current.sha256, current.state = made.keep(), PacketState.ISSUED
            current.issued_at, current.issued_by_name = timezone.now(), name_of(person)
            current.save()
            note_signature(
                ISSUER, person, certificate, FIELD, current.assembled_sha256, current.sha256, packet=current
            )
            append(
                "issue_packet",
                KIND,
                current.pk,
                str(current),
                name_of(person),
                {
                    "sha256": current.sha256,
                    "recipient": current.recipient,
                    "exceptions": current.obstacles,
                    "reason": current.statement,
                },
            )
            return hand_over(current, current.recipient, timezone.localdate(), way, person)


def _is_other(packet: Packet, asked: Packet) -> bool:
    """Whether its file, or whom it goes to, is not what was signed."""
    return (packet.assembled_sha256, packet.recipient) != (asked.assembled_sha256, asked.recipient)


def _refuse_outdated(packet: Packet) -> None:
    if packet.state != PacketState.READY:
        raise PacketRefused(
            f"{packet} is {packet.get_state_display().lower()}; it is signed once it is assembled."
        )
    if packet.day != timezone.localdate():
        raise PacketRefused(
            f"{packet} was assembled on {packet.day}; welders and revisions are stated as on the day of"
            " issue. Assemble it again."
        )
    new = [each for each in obstacles_today(packet) if each not in packet.obstacles]
    if new:
        raise PacketRefused(f"Since it was assembled this came up: {' '.join(new)} Assemble it again.")
    if any(
        item.document is not None and item.document.sha256 != item.sha256
        for item in packet.items.filter(document__isnull=False).select_related("document")
    ):
        raise PacketRefused(
            "A document in it was signed since it was assembled. Assemble it again, so that it brings the"
            " newest file."
        )


@contextmanager
def _signed(packet: Packet, certificate: PersonalCertificate, passphrase: str) -> Iterator[vault.Incoming]:
    """The assembled file, signed, beside the vault until it is kept. Signing takes a fraction of a second
    even for hundreds of pages, since the passphrase cannot wait for a task in the background: it is kept
    nowhere. A timestamp server may take longer, and nothing is locked meanwhile."""
    try:
        with vault.opened(packet.assembled_sha256) as assembled, vault.incoming() as made:
            sign_file(
                assembled,
                made.stream,
                FIELD,
                bytes(certificate.pkcs12),
                passphrase,
                f"I issue this packet to {packet.recipient}",
                certify=True,
                timestamp_url=Shop.current().timestamp_url,
            )
            yield made
    except vault.Damaged as damaged:
        raise PacketRefused(f"{damaged} Or assemble the packet again.") from damaged


def hand_over(packet: Packet, recipient: str, day: date, way: str, person: User) -> Transmittal:
    """Record a handing over. Raises PacketRefused for a packet that is not issued, or without recipient and
    way."""
    if packet.state != PacketState.ISSUED:
        raise PacketRefused(f"{packet} is not issued yet, so it cannot be handed over.")
    if not recipient.strip() or not way.strip():
        raise PacketRefused("Say to whom the packet goes and by what way.")
    if day > timezone.localdate():
        raise PacketRefused(f"The day {day} lies in the future. Record a handing over once it has happened.")
    with transaction.atomic():
        made = Transmittal.objects.create(
            packet=packet,
            recipient=recipient.strip(),
            sent_on=day,
            way=way.strip(),
            sha256=packet.sha256,
            revisions=[item.reference for item in packet.items.exclude(reference="")],
            recorded_by_name=name_of(person),
        )
        append(
            "hand_over",
            KIND,
            packet.pk,
            str(packet),
            name_of(person),
            {
                "recipient": made.recipient,
                "sha256": made.sha256,
                "revisions": made.revisions,
                "detail": f"to {made.recipient}, {made.way}",
            },
        )
    return made


def note_recall(transmittal: Transmittal, person: User) -> None:
    """Record that the recipient was told of documents no longer in force."""
    with transaction.atomic():
        Transmittal.objects.filter(pk=transmittal.pk).update(recalled_on=timezone.localdate())
        append(
            "recall",
            KIND,
            transmittal.packet_id,
            str(transmittal.packet),
            name_of(person),
            {"recipient": transmittal.recipient},
        )
