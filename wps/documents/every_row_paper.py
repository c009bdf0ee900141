"""Every row of the code's tables, asked about a record, as an appendix on paper. Made on request by the
tables as they are today, which it names by their fingerprint; never signed."""

from __future__ import annotations

from django.utils import timezone

from qualification.evidence.every_row import rows_of_test
from qualification.models import CouponRecord, Record
from qualification.rules.core.program import program
from wps.documents.context import content_of, document_context
from wps.documents.issue import Document, filename_of, paper_of
from wps.documents.render import render
from wps.models import Spec
from wps.procedures.every_row import rows_of_procedure

TEMPLATE, WORDS = "documents/every_row.html", "Every row of the code"


def every_row_paper(record: Record, paper: str | None = None) -> Document:
    """The appendix as PDF. Raises TableError where the tables cannot be trusted."""
    assert isinstance(record, Spec | CouponRecord)
    edition, tables = rows_of_procedure(record) if isinstance(record, Spec) else rows_of_test(record)
    content = content_of(record)
    context = {
        **document_context(content),
        "kind_words": WORDS,
        "mark": None,
        "edition": edition,
        "tables": tables,
        "program": program(),
        "asked_on": timezone.localdate(),
    }
    made = render(TEMPLATE, context, content, paper or paper_of(content))
    return Document(made.pdf, filename_of(f"{record.number}-every-row", record.revision))
