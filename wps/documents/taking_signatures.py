"""Taking a signature on an issued document: who may, on what, and what is written down of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.models import Record, Shop, State
from qualification.records.audit import append, name_of
from qualification.records.unchanged import changed_since_approval
from qualification.roles import may_approve, may_author, may_read, roles_of, who_grants
from wps.documents import vault
from wps.documents.issuing import next_stage
from wps.documents.kinds import record_of
from wps.models import IssuedDocument, Packet, PersonalCertificate, SignatureTaken, Stage
from wps.signing.guesses import counted
from wps.signing.people import certificate_to_sign_with
from wps.signing.places import FIELDS, ROLE_OF
from wps.signing.sign import SigningRefused, sign

REASONS = {
    Stage.AUTHOR: "I wrote this document",
    Stage.APPROVER: "I approve this document",
    Stage.WITNESS: "I witnessed what this document records",
}
MAY_SIGN = {Stage.AUTHOR: may_author, Stage.APPROVER: may_approve, Stage.WITNESS: may_read}
NAMES = {Stage.AUTHOR: "author", Stage.APPROVER: "approver", Stage.WITNESS: "witness"}


@dataclass(frozen=True)
class Asked:
    """What somebody signs: the stage, by which certificate, on which bytes."""

    stage: Stage
    certificate: PersonalCertificate
    sha256: str
    record: Record
    pdf: bytes


def sign_document(document: IssuedDocument, person: User, passphrase: str) -> IssuedDocument:
    """Take the signature that is awaited next. Raises SigningRefused, saying why; nothing is changed then.

    Nothing is locked while it is made, since a timestamp server may take its time; so everything is looked at
    once more before it is kept.
    """
    with counted(person):
        asked = _asked(IssuedDocument.objects.get(pk=document.pk), person)
        _refuse_empty(passphrase)
        signed = sign(
            asked.pdf,
            FIELDS[asked.stage],
            bytes(asked.certificate.pkcs12),
            passphrase,
            REASONS[asked.stage],
            certify=asked.stage is Stage.AUTHOR,
            timestamp_url=Shop.current().timestamp_url,
        )
        with transaction.atomic():
            current = IssuedDocument.objects.select_for_update(no_key=True).get(pk=document.pk)
            if _asked(current, person) != asked:
                raise SigningRefused("The document changed while it was signed. Load the page again.")
            _keep(current, asked, signed, person)
    return current


def _asked(document: IssuedDocument, person: User) -> Asked:
    stage, record = _stage(document, person), record_of(document)
    certificate = certificate_to_sign_with(person)
    return Asked(stage, certificate, document.sha256, record, unchanged_bytes(document, record))


def _keep(document: IssuedDocument, asked: Asked, signed: bytes, person: User) -> None:
    document.sha256, document.stage = vault.store(signed), next_stage(document, asked.stage)
    document.save()
    note_signature(
        asked.stage.value,
        person,
        asked.certificate,
        FIELDS[asked.stage],
        asked.sha256,
        document.sha256,
        document=document,
    )
    role = NAMES[asked.stage]
    append(
        "sign",
        asked.record.KIND,
        asked.record.pk,
        str(asked.record),
        name_of(person),
        {
            "role": role,
            "sha256": document.sha256,
            "before": asked.sha256,
            "certificate": asked.certificate.fingerprint,
            "detail": f"as {role}, SHA-256 {document.sha256}",
        },
    )


def roles_awaited(document: IssuedDocument, person: User) -> list[str]:
    """The roles in which the person signs next, one after the other, before it is somebody else's turn."""
    found, stage = [], Stage(document.stage)
    people = {
        Stage.AUTHOR: document.author,
        Stage.APPROVER: document.approver,
        Stage.WITNESS: document.witness,
    }
    while people.get(stage) == person and MAY_SIGN[stage](person):
        found.append(NAMES[stage])
        stage = next_stage(document, stage)
    return found


def sign_in_every_role(document: IssuedDocument, person: User, passphrase: str) -> IssuedDocument:
    """Take the signatures of one person that follow one another: who wrote and approved signs once for both,
    and the document holds a signature for each. Raises SigningRefused; what was signed before stays."""
    current = sign_document(document, person, passphrase)
    for _ in roles_awaited(current, person):
        current = sign_document(current, person, passphrase)
    return current


def note_signature(
    role: str,
    person: User,
    certificate: PersonalCertificate,
    field: str,
    before_sha256: str,
    sha256: str,
    *,
    document: IssuedDocument | None = None,
    packet: Packet | None = None,
    at: datetime | None = None,
) -> SignatureTaken:
    """Write down a signature as taken now: in which field, by whom in which roles, on which bytes, and the
    bytes it made of them."""
    return SignatureTaken.objects.create(
        document=document,
        packet=packet,
        role=role,
        person=person,
        person_name=name_of(person),
        certificate=certificate,
        signed_at=at or timezone.now(),
        field=field,
        roles=sorted(roles_of(person)),
        before_sha256=before_sha256,
        sha256=sha256,
        timestamped=bool(Shop.current().timestamp_url),
    )


def _stage(document: IssuedDocument, person: User) -> Stage:
    stage = Stage(document.stage)
    if stage is Stage.RENDERING:
        raise SigningRefused("The document is still being made. Load the page again in a moment.")
    if stage is Stage.SIGNED:
        raise SigningRefused("All signatures are taken; a change takes a new revision.")
    signer = document.signer
    assert isinstance(signer, User)
    if signer.pk != person.pk:
        raise SigningRefused(
            f"{name_of(signer)} signs next, as {NAMES[stage]}. Nobody signs in the place of another."
        )
    if not MAY_SIGN[stage](person):
        raise SigningRefused(f"Signing as {NAMES[stage]} takes the role {ROLE_OF[stage]}. {who_grants()}")
    return stage


def unchanged_bytes(document: IssuedDocument, record: Record) -> bytes:
    """The stored file, once record and file are known to be what was approved and issued. Raises
    SigningRefused else."""
    if record.state != State.APPROVED:
        raise SigningRefused(
            f"{record} is {record.get_state_display().lower()}; only a revision in force is signed."
        )
    changed = changed_since_approval(record)
    if changed or record.snapshot_hash != document.snapshot_hash:
        raise SigningRefused(
            changed or f"The document of {record} is not of what was approved. Make it again."
        )
    try:
        return vault.read(document.sha256)
    except vault.Damaged as damaged:
        raise SigningRefused(str(damaged)) from damaged


def _refuse_empty(passphrase: str) -> None:
    if not passphrase:
        raise SigningRefused("Enter the passphrase of your certificate.")
