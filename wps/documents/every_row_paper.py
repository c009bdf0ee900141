"""Every row of the code's tables, asked about a record, as an appendix on paper. Made on request by the
tables as they are today, which it names by their fingerprint; never signed."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils import timezone

from qualification.evidence.every_row import RowTable
from qualification.models import Record
from qualification.rules.core.program import program
from qualification.rules.editions.edition_facts import kind_of
from qualification.rules.tabular.edition import Edition
from wps.documents.context import content_of, document_context
from wps.documents.issue import Document, filename_of, paper_of
from wps.documents.render import render

TEMPLATE, WORDS = "documents/every_row.html", "Every row of the code"


def every_row_paper(
    record: Record, edition: Edition, tables: Sequence[RowTable], paper: str | None = None
) -> Document:
    """The appendix of a record as PDF, with the rows as they were asked under its edition."""
    content = content_of(record)
    context = {
        **document_context(content),
        "kind_words": WORDS,
        "mark": None,
        "edition": edition,
        "rests_on": kind_of(edition).words,
        "tables": tables,
        "program": program(),
        "asked_on": timezone.localdate(),
    }
    made = render(TEMPLATE, context, content, paper or paper_of(content))
    return Document(made.pdf, filename_of(f"{record.number}-every-row", record.revision))
