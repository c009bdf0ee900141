"""Packets of the invented shop for the tests: put together and signed."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from tests.documents.papers import (
    APPROVER_PASSPHRASE,
)
from wps.background import tasks
from wps.documents import vault
from wps.documents.codes import new_code
from wps.models import Packet
from wps.packets.issue import begin_assembly, sign_packet


def packet_for(author: User, **choice: Any) -> Packet:
    return Packet.objects.create(
        number="P-001",
        title="Harbour gangway",
        recipient="Port Ellery",
        choice=choice,
        code=new_code(),
        made_by=author,
        made_by_name="Maren Oosting",
    )


def assembled(packet: Packet, author: User, statement: str = "") -> Packet:
    begin_assembly(packet, statement, author)
    tasks.run_all()
    packet.refresh_from_db()
    return packet


def issue(packet: Packet, author: User, approver: User, statement: str = "") -> bytes:
    sign_packet(assembled(packet, author, statement), approver, APPROVER_PASSPHRASE, "portal")
    packet.refresh_from_db()
    return vault.read(packet.sha256)
