"""Taking a signature on an issued document: who may, on what, and what is written down of it."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.audit import append, name_of
from qualification.models import Record, Shop, State
from qualification.models.record import content_hash
from wps.documents import vault
from wps.documents.issuing import FIELDS, next_stage
from wps.documents.kinds import record_of
from wps.models import IssuedDocument, PersonalCertificate, SignatureTaken, Stage
from wps.signing.people import certificate_to_sign_with
from wps.signing.sign import SigningRefused, sign

REASONS = {
    Stage.AUTHOR: "I wrote this document",
    Stage.APPROVER: "I approve this document",
    Stage.WITNESS: "I witnessed what this document records",
}
NAMES = {Stage.AUTHOR: "author", Stage.APPROVER: "approver", Stage.WITNESS: "witness"}


def sign_document(document: IssuedDocument, person: User, passphrase: str) -> IssuedDocument:
    """Take the signature that is awaited next. Raises SigningRefused, saying why; nothing is changed then."""
    with transaction.atomic():
        current = IssuedDocument.objects.select_for_update(no_key=True).get(pk=document.pk)
        stage = _stage(current, person)
        record = record_of(current)
        certificate = certificate_to_sign_with(person)
        pdf = unchanged_bytes(current, record)
        _refuse_empty(passphrase)
        signed = sign(
            pdf,
            FIELDS[stage],
            bytes(certificate.pkcs12),
            passphrase,
            REASONS[stage],
            certify=stage is Stage.AUTHOR,
            timestamp_url=Shop.current().timestamp_url,
        )
        current.sha256, current.stage = vault.store(signed), next_stage(current, stage)
        current.save()
        note_signature(stage.value, person, certificate, current.sha256, document=current)
        append(
            "sign",
            record.KIND,
            record.pk,
            str(record),
            name_of(person),
            {
                "role": NAMES[stage],
                "sha256": current.sha256,
                "certificate": certificate.fingerprint,
                "detail": f"as {NAMES[stage]}, SHA-256 {current.sha256}",
            },
        )
    return current


def note_signature(
    role: str,
    person: User,
    certificate: PersonalCertificate,
    sha256: str,
    *,
    document: IssuedDocument | None = None,
    packet: object | None = None,
    at: datetime | None = None,
) -> SignatureTaken:
    """Write down a signature as taken now."""
    return SignatureTaken.objects.create(
        document=document,
        packet=packet,
        role=role,
        person=person,
        person_name=name_of(person),
        certificate=certificate,
        signed_at=at or timezone.now(),
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
    return stage


def unchanged_bytes(document: IssuedDocument, record: Record) -> bytes:
    """The stored file, once record and file are known to be what was approved and issued. Raises
    SigningRefused else."""
    if record.state != State.APPROVED:
        raise SigningRefused(
            f"{record} is {record.get_state_display().lower()}; only a revision in force is signed."
        )
    approved = (
        record.snapshot is not None
        and content_hash(record.snapshot) == record.snapshot_hash == document.snapshot_hash
    )
    if not approved:
        raise SigningRefused(
            f"The content of {record} is no longer what was approved. Bring the record back from a backup."
        )
    try:
        return vault.read(document.sha256)
    except vault.Damaged as damaged:
        raise SigningRefused(str(damaged)) from damaged


def _refuse_empty(passphrase: str) -> None:
    if not passphrase:
        raise SigningRefused("Enter the passphrase of your certificate.")
