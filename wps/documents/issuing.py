"""Issuing: an approved revision gets its one document, rendered from the snapshot in the background and
kept."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from qualification.models import CouponRecord, Record, Shop
from qualification.records.audit import append, head, name_of
from qualification.records.unchanged import changed_since_approval
from qualification.roles import Person
from qualification.rules.interface.record_files import RECORD_FORMAT
from qualification.tongues.languages import language_named
from wps.background import tasks
from wps.documents import vault
from wps.documents.codes import mark_of, new_code
from wps.documents.issue import paper_of, rendered
from wps.documents.kinds import document_for, kind_of, record_of
from wps.documents.render import Rendered
from wps.models import IssuedDocument, Spec, Stage
from wps.signing.places import FIELDS, LABELS

TASK = "issue"


NOT_THE_ONE = "What is approved now is not what its document was asked for. Bring it back from a backup."


class ContentChanged(Exception):
    """The approved content is no longer what was approved; the message names the record."""

    is_for_people = True


def begin_issue(record: Record, person: Person, language: str = "") -> IssuedDocument:
    """Reserve the document of an approved revision and have it rendered in the background, in the language of
    its recipient or else the shop's. Does nothing twice."""
    with transaction.atomic():
        document = document_for(record)
        if document is None:
            assert record.approved_at is not None
            witness_name = record.witness if isinstance(record, CouponRecord) else ""
            document = IssuedDocument.objects.create(
                kind=kind_of(record),
                record_id=record.pk,
                number=record.number,
                revision=record.revision,
                title=record.title,
                code=new_code(),
                language=language_named(language or Shop.current().paper_language),
                snapshot_hash=record.snapshot_hash,
                author=record.author,
                approver=record.approved_by or user_named(record.approved_by_name),
                witness_name=witness_name,
                witness=user_named(witness_name),
                approved_at=record.approved_at,
            )
        if not document.is_stored:
            tasks.queue(
                TASK, document.pk, f"Make the document of {document}", document.get_absolute_url(), person
            )
    return document


def user_named(name: str) -> User | None:
    """The one active person of that full name; nobody when there is none or several."""
    if not name.strip():
        return None
    found = [
        user
        for user in User.objects.filter(is_active=True)
        if name_of(user).casefold() == name.strip().casefold()
    ]
    return found[0] if len(found) == 1 else None


def stages_of(document: IssuedDocument) -> list[Stage]:
    """The signatures this document takes, in order. Whoever has no sign-in signs on paper."""
    people = {
        Stage.AUTHOR: document.author_id,
        Stage.APPROVER: document.approver_id,
        Stage.WITNESS: document.witness_id,
    }
    return [stage for stage, person in people.items() if person is not None]


def next_stage(document: IssuedDocument, stage: Stage) -> Stage:
    """The stage after that signature."""
    stages = stages_of(document)
    later = stages[stages.index(stage) + 1 :]
    return later[0] if later else Stage.SIGNED


def render_issued(document_id: int, progress: tasks.Progress) -> None:
    """Render, prepare for signatures and keep a document: the background task. Does nothing when it is kept
    already.

    Raises ContentChanged when the snapshot is not the one that was approved.
    """
    document = IssuedDocument.objects.get(pk=document_id)
    if document.is_stored:
        return
    record = record_of(document)
    changed = changed_since_approval(record)
    if changed or record.snapshot is None or record.snapshot_hash != document.snapshot_hash:
        raise ContentChanged(f"No document is made of {document}. {changed or NOT_THE_ONE}")
    progress(0, 1)
    trail = head()
    made = rendered(
        record,
        record.snapshot,
        {**embedded_content(record, document), "audit": trail.sealed()},
        paper_of(record.snapshot),
        {**mark_of(document.code), "trail": trail.words},
        document.language,
    )
    pdf = prepared(made, document)
    with transaction.atomic():
        current = IssuedDocument.objects.select_for_update(no_key=True).get(pk=document.pk)
        if current.is_stored:
            return
        current.sha256 = current.rendered_sha256 = vault.store(pdf)
        current.pages, current.stage, current.rendered_at = made.pages, Stage.AUTHOR, timezone.now()
        current.save()
        append(
            "issue",
            record.KIND,
            record.pk,
            str(record),
            record.approved_by_name,
            {
                "sha256": current.sha256,
                "snapshot": current.snapshot_hash,
                "code": current.code,
                "detail": f"SHA-256 {current.sha256}",
            },
        )
    progress(1, 1)


def embedded_content(record: Record, document: IssuedDocument) -> dict[str, Any]:
    """What lies in the PDF as JSON: the approved content as hashed, and for a procedure the digests of its
    tests. Their content stays here: whoever is handed a procedure is not handed its welder and results."""
    evidence = (
        [
            {"reference": test.reference, "content_hash": test.snapshot_hash}
            for test in record.tests.order_by("number", "revision")
        ]
        if isinstance(record, Spec) and not record.prequalified
        else []
    )
    return {
        "format": RECORD_FORMAT,
        "code": document.code,
        "content_hash": document.snapshot_hash,
        "language": document.language,
        "content": record.snapshot,
        "evidence": evidence,
    }


def prepared(made: Rendered, document: IssuedDocument) -> bytes:
    """The rendered document with a field for each signature it takes."""
    from wps.signing.sign import Box, prepare

    return prepare(
        made.pdf,
        [
            Box(FIELDS[stage], LABELS[stage], place.page, (place.left, place.bottom, place.right, place.top))
            for stage in stages_of(document)
            if (place := made.places[f"signature-{stage.value}"])
        ],
    )
