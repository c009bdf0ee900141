"""The demo shop's packet: chosen with the records, then signed and issued in the background, once the papers
it brings are made, so that the first start does not wait for them."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from qualification.records.audit import append, name_of
from wps.background import tasks
from wps.background.tasks import Progress
from wps.demo.people import PASSWORD
from wps.documents.codes import new_code
from wps.documents.issuing import render_issued
from wps.documents.kinds import document_for
from wps.documents.taking_signatures import roles_awaited, sign_in_every_role
from wps.models import IssuedDocument, Job, Packet, PacketState, Stage
from wps.packets.assembly import assemble
from wps.packets.contents import contents_of, proposed_for
from wps.packets.issue import KIND, PacketRefused, begin_assembly, sign_packet
from wps.signing.people import make_certificate, newest_certificate
from wps.signing.sign import SigningRefused

TASK = "demo_packet"


def load_packet(item: dict[str, Any], author: User) -> Packet:
    """The packet with what its job proposes, and the task that issues it. The task stands after those that
    make the papers it brings."""
    job = Job.objects.get(number=item["job"])
    packet = Packet.objects.create(
        number=item["number"],
        title=job.title,
        recipient=job.customer,
        job=job,
        choice={**proposed_for(job, timezone.localdate()), **item["choice"]},
        code=new_code(),
        made_by=author,
        made_by_name=name_of(author),
    )
    append("create", KIND, packet.pk, str(packet), name_of(author), {})
    tasks.queue(TASK, packet.pk, f"Issue {packet}", packet.get_absolute_url(), author)
    return packet


def issue_in_background(packet_id: int, progress: Progress) -> None:
    """Sign what the packet brings, in the names of the demo people, then issue and send it. What was done
    before the program stopped is not done again; a packet that somebody issued meanwhile is left alone. So is
    one of people who have made the shop theirs, by a passphrase of their own: its page says what it lacks."""
    with suppress(SigningRefused, PacketRefused):
        _issue(packet_id, progress)


def _issue(packet_id: int, progress: Progress) -> None:
    packet = Packet.objects.select_related("made_by", "job").get(pk=packet_id)
    if packet.state == PacketState.ISSUED:
        return
    author = packet.made_by
    contents = contents_of(packet, timezone.localdate())
    documents = [document_for(record) for _, _, records in contents.sections for record in records]
    for place, document in enumerate(documents):
        progress(place, len(documents) + 1)
        if document is not None:
            _sign(document)
    if packet.state == PacketState.DRAFT:
        begin_assembly(packet, "", author)
        packet.refresh_from_db()
    if packet.state != PacketState.READY:
        assemble(packet.pk, progress)
        packet.refresh_from_db()
    _with_certificate(author)
    sign_packet(packet, author, PASSWORD, "E-mail")


def _sign(document: IssuedDocument) -> None:
    """Every signature that is awaited, each by whom it is for."""
    if not document.is_stored:
        render_issued(document.pk, lambda done, total: None)
        document.refresh_from_db()
    while document.stage != Stage.SIGNED:
        signer = document.signer
        assert isinstance(signer, User)
        assert roles_awaited(document, signer)
        _with_certificate(signer)
        document = sign_in_every_role(document, signer, PASSWORD)


def _with_certificate(person: User) -> None:
    if newest_certificate(person) is None:
        make_certificate(person, PASSWORD)
