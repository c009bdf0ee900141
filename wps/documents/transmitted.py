"""Who holds a copy of a document: the transmittals of packets that bring it."""

from __future__ import annotations

from django.db.models import QuerySet

from wps.documents.kinds import KINDS
from wps.models import IssuedDocument, Transmittal


def copies_of(document: IssuedDocument) -> QuerySet[Transmittal]:
    """Transmittals that carried the document, newest first."""
    return Transmittal.objects.filter(packet__items__document=document).select_related("packet").distinct()


def outdated_copies() -> list[tuple[Transmittal, list[IssuedDocument]]]:
    """Transmittals whose recipient was not yet told that a document in them is superseded or withdrawn."""
    found = []
    for transmittal in Transmittal.objects.filter(recalled_on__isnull=True).select_related("packet"):
        documents = [
            item.document
            for item in transmittal.packet.items.filter(document__isnull=False).select_related("document")
            if item.document is not None
        ]
        outdated = [each for each in documents if not _is_current(each)]
        if outdated:
            found.append((transmittal, outdated))
    return found


def _is_current(document: IssuedDocument) -> bool:
    return KINDS[document.kind].objects.filter(pk=document.record_id, state="approved").exists()
