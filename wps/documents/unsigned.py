"""Approved revisions whose document still lacks a signature that it takes."""

from __future__ import annotations

from collections.abc import Sequence

from qualification.models import Record
from wps.documents.kinds import kind_of
from wps.models import IssuedDocument, Stage


def unsigned_among(records: Sequence[Record]) -> set[int]:
    """Ids of those records, all of one kind, that have no document with all its signatures."""
    if not records:
        return set()
    ids = [each.pk for each in records]
    signed = IssuedDocument.objects.filter(
        kind=kind_of(records[0]), record_id__in=ids, stage=Stage.SIGNED
    ).values_list("record_id", flat=True)
    return {*ids} - {*signed}
