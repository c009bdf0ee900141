"""Which document a record has, and making it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from qualification.models import Record, WelderTest
from wps.documents.context import content_of, document_context
from wps.documents.render import render_pdf
from wps.models import Spec

PAPERS = ("letter", "a4")


@dataclass(frozen=True)
class Document:
    """A rendered document and the name under which it is saved."""

    pdf: bytes
    filename: str


def document_of(record: Record, paper: str | None = None) -> Document:
    """The record's document: of its snapshot once approved, else of its present content, marked as not issued.

    Without a `paper`, inch-first shops print on Letter and metric-first shops on A4.
    """
    content = content_of(record)
    context = {**document_context(content), **_words(record)}
    paper = paper or ("letter" if content["shop"]["inch_first"] else "a4")
    pdf = render_pdf(_template(record), context, content, paper)
    return Document(pdf, f"{re.sub(r'[^A-Za-z0-9._-]+', '-', record.number)}-rev-{record.revision}.pdf")


def _template(record: Record) -> str:
    return "documents/procedure.html" if isinstance(record, Spec) else "documents/test.html"


def _words(record: Record) -> dict[str, str]:
    if isinstance(record, Spec):
        return {
            "kind_words": "Welding procedure specification",
            "statement": "The procedure above is specified for production welding within the ranges stated, on the evidence of the supporting "
            "procedure tests named.",
        }
    if isinstance(record, WelderTest):
        return {
            "kind_words": "Welder performance qualification record",
            "statement": "The statements in this record are true to the best of our knowledge, and the test coupon was prepared, welded and "
            "tested as the code and edition named above ask.",
        }
    return {
        "kind_words": "Procedure qualification record",
        "statement": "The statements in this record are true to the best of our knowledge: the actual values were recorded while the coupon "
        "was welded, and the coupon was tested as the code and edition named above ask.",
    }
