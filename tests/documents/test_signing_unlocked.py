"""While a signature is made, a timestamp server may be slow: nobody else waits, and what changed meanwhile is
not signed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.utils import timezone
from pytest_django import Settings

from qualification.models import AuditEntry, ProcedureTest, State
from tests.documents.packet_records import assembled, packet_for
from tests.documents.papers import (
    APPROVER_PASSPHRASE,
    AUTHOR_PASSPHRASE,
    approved_spec,
    approved_test,
    certificates,
    issued,
    signed,
)
from wps.documents import taking_signatures
from wps.documents.taking_signatures import sign_document
from wps.models import IssuedDocument, Packet, PacketState, PersonalCertificate, SignatureTaken
from wps.packets import issue
from wps.packets.issue import PacketRefused, sign_packet
from wps.signing.sign import SigningRefused

pytestmark = pytest.mark.usefixtures("shop", "small_documents")
CHANGED = "changed while it was signed"


def made_for_all(author: User, approver: User) -> IssuedDocument:
    certificates(author, approver)
    return issued(approved_test(author, approver))


@pytest.fixture
def packet(document: IssuedDocument, author: User, approver: User) -> Packet:
    test = ProcedureTest.objects.get(pk=document.record_id)
    spec = approved_spec(author, approver, test)
    signed(test, author, approver)
    signed(spec, author, approver)
    made = packet_for(author, procedures=[spec.pk], welders=[test.welder_id], attachments=[], asked_for=[])
    return assembled(made, author)


def meanwhile(
    monkeypatch: pytest.MonkeyPatch, module: object, name: str, happens: Callable[[], object]
) -> None:
    """Let something happen while a signature is made, as by a colleague while a timestamp server answers."""
    real = getattr(module, name)

    def signing(*given: object, **more: object) -> object:
        happens()
        return real(*given, **more)

    monkeypatch.setattr(module, name, signing)


def test_nothing_is_locked_while_a_signature_is_made(
    packet: Packet, author: User, approver: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    outside, depths = len(connection.atomic_blocks), []
    note = lambda: depths.append(len(connection.atomic_blocks))  # noqa: E731
    meanwhile(monkeypatch, taking_signatures, "sign", note)
    meanwhile(monkeypatch, issue, "sign_file", note)
    sign_packet(packet, approver, APPROVER_PASSPHRASE, "portal")
    sign_document(issued(approved_test(author, approver, "PT-031")), author, AUTHOR_PASSPHRASE)
    assert depths == [outside, outside]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda document: IssuedDocument.objects.update(sha256=document.rendered_sha256[::-1]), "is gone"),
        (lambda document: IssuedDocument.objects.update(stage="signed"), "All signatures are taken"),
        (lambda document: ProcedureTest.objects.update(state=State.WITHDRAWN), "is withdrawn"),
        (lambda document: ProcedureTest.objects.update(title="Another"), "approv"),
        (lambda document: PersonalCertificate.objects.update(revoked_at=timezone.now()), "cannot sign"),
    ],
)
def test_what_changed_while_it_was_signed_is_not_kept(
    change: Callable[[IssuedDocument], object],
    said: str,
    document: IssuedDocument,
    author: User,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    entries, files = AuditEntry.objects.count(), set(Path(settings.ISSUED_DIR).iterdir())
    meanwhile(monkeypatch, taking_signatures, "sign", lambda: change(document))
    with pytest.raises(SigningRefused, match=said):
        sign_document(document, author, AUTHOR_PASSPHRASE)
    assert not SignatureTaken.objects.exists()
    assert AuditEntry.objects.count() == entries
    assert set(Path(settings.ISSUED_DIR).iterdir()) == files


def test_of_two_signatures_at_once_one_is_taken(
    document: IssuedDocument, author: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    sign = taking_signatures.sign

    def first() -> None:
        monkeypatch.setattr(taking_signatures, "sign", sign)
        sign_document(document, author, AUTHOR_PASSPHRASE)

    meanwhile(monkeypatch, taking_signatures, "sign", first)
    with pytest.raises(SigningRefused, match="signs next"):
        sign_document(document, author, AUTHOR_PASSPHRASE)
    assert SignatureTaken.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda: Packet.objects.update(recipient="Somebody Else"), CHANGED),
        (lambda: Packet.objects.update(state=PacketState.ASSEMBLING), "once it is assembled"),
        (lambda: Packet.objects.update(state=PacketState.ISSUED), "once it is assembled"),
        (lambda: Packet.objects.update(assembled_sha256="0" * 64), CHANGED),
        (lambda: PersonalCertificate.objects.update(revoked_at=timezone.now()), "cannot sign"),
    ],
)
def test_a_packet_that_changed_while_it_was_signed_is_not_issued(
    change: Callable[[], object],
    said: str,
    packet: Packet,
    approver: User,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    files = set(Path(settings.ISSUED_DIR).iterdir())
    meanwhile(monkeypatch, issue, "sign_file", change)
    with pytest.raises((PacketRefused, SigningRefused), match=said):
        sign_packet(packet, approver, APPROVER_PASSPHRASE, "portal")
    assert not AuditEntry.objects.filter(verb="issue_packet").exists()
    assert not SignatureTaken.objects.filter(packet=packet).exists()
    assert set(Path(settings.ISSUED_DIR).iterdir()) == files
