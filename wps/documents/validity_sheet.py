"""The sheet that goes with a welder's certificate: its standing on a day, confirmations and prolongations on
record, blank lines."""

from __future__ import annotations

from datetime import date
from typing import Any

from qualification.models import WelderTest
from qualification.snapshots.snapshot import test_content
from qualification.tongues.languages import ENGLISH, speaking
from qualification.welders.continuity import standings_of
from wps.documents.context import content_of, document_context
from wps.documents.issue import Document, filename_of, paper_of
from wps.documents.render import render

WORDS = "Confirmations and prolongations of a welder's qualification"


def sheet_of(record: WelderTest, day: date, language: str = ENGLISH) -> Document | None:
    """The sheet on the day, in the language; `None` where confirmations do not keep the qualification. Raises
    TableError when the edition's tables are not installed."""
    validity = test_content(record)["validity"]
    if validity is None:
        return None
    content = {
        **content_of(record),
        "validity": validity,
        "day": day.isoformat(),
        "standings": _standings(record, day),
    }
    with speaking(language):
        context = {**document_context(content), "kind_words": WORDS, "mark": None}
        made = render("documents/validity.html", context, content, paper_of(content))
    return Document(made.pdf, filename_of(f"{record.number}-validity", record.revision))


def _standings(record: WelderTest, day: date) -> list[dict[str, Any]]:
    return [
        {
            "process": each.process,
            "operation": each.operation_words,
            "words": each.words,
            "because": each.answer.because,
            "due": each.due_words,
            "clause": each.answer.citation.clause,
        }
        for each in standings_of(record.welder, day)
        if each.record == record
    ]
