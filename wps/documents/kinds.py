"""Kinds of record that have a document, by the name used in addresses and stored with what is issued."""

from __future__ import annotations

from qualification.models import ProcedureTest, Record, WelderTest
from wps.models import IssuedDocument, Spec

KINDS: dict[str, type[Record]] = {
    "procedure": Spec,
    "procedure-test": ProcedureTest,
    "welder-test": WelderTest,
}
WORDS = {"procedure": "Procedure", "procedure-test": "Procedure test", "welder-test": "Welder test"}

PAPER_WORDS = {
    "procedure": "Procedure document",
    "procedure-test": "Procedure test document",
    "welder-test": "Welder test document",
}


def kind_of(record: Record) -> str:
    """The kind under which the record's document is kept."""
    return next(name for name, model in KINDS.items() if isinstance(record, model))


def record_of(document: IssuedDocument) -> Record:
    """The revision a document was issued of."""
    return KINDS[document.kind].objects.get(pk=document.record_id)


def document_for(record: Record) -> IssuedDocument | None:
    """The document issued of the revision, if there is one."""
    return IssuedDocument.objects.filter(kind=kind_of(record), record_id=record.pk).first()
