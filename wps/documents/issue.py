"""Which document a record has, and making it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from qualification.models import Record, WelderTest
from wps.documents.context import content_of, document_context
from wps.documents.render import Rendered, render
from wps.models import Spec

PAPERS = ("letter", "a4")


@dataclass(frozen=True)
class Document:
    """A rendered document and the name under which it is saved."""

    pdf: bytes
    filename: str


def document_of(record: Record, paper: str | None = None) -> Document:
    """The record's document of its present content, marked as not issued, or of its snapshot.

    Without a `paper`, inch-first shops print on Letter and metric-first shops on A4.
    """
    content = content_of(record)
    return Document(
        rendered(record, content, content, paper or paper_of(content)).pdf,
        filename_of(record.number, record.revision),
    )


def rendered(
    record: Record,
    content: Mapping[str, Any],
    embedded: Mapping[str, Any],
    paper: str,
    mark: Mapping[str, str] | None = None,
) -> Rendered:
    """The document that prints `content` and embeds `embedded`; `mark` is its code and QR picture, once
    issued."""
    context = {**document_context(content), **_words(record), "mark": mark}
    return render(_template(record), context, embedded, paper)


def paper_of(content: Mapping[str, Any]) -> str:
    """The paper that goes with the shop's unit order."""
    return "letter" if content["shop"]["inch_first"] else "a4"


def filename_of(number: str, revision: int) -> str:
    """The name under which a document is saved."""
    return f"{re.sub(r'[^A-Za-z0-9._-]+', '-', number)}-rev-{revision}.pdf"


def words_of(record: Record) -> tuple[str, dict[str, str]]:
    """The record's template, and the words that stand in it because of its kind."""
    return _template(record), _words(record)


def _template(record: Record) -> str:
    return "documents/procedure.html" if isinstance(record, Spec) else "documents/test.html"


def _words(record: Record) -> dict[str, str]:
    if isinstance(record, Spec):
        return {
            "kind_words": "Welding procedure specification",
            "statement": (
                "The procedure above is specified for production welding within the ranges stated, on the"
                " evidence of the supporting procedure tests named."
            ),
        }
    if isinstance(record, WelderTest):
        return {
            "kind_words": "Welder performance qualification record",
            "statement": (
                "The statements in this record are true to the best of our knowledge, and the test coupon was"
                " prepared, welded and tested as the code and edition named above ask."
            ),
        }
    return {
        "kind_words": "Procedure qualification record",
        "statement": (
            "The statements in this record are true to the best of our knowledge: the actual values were"
            " recorded while the coupon was welded, and the coupon was tested as the code and edition named"
            " above ask."
        ),
    }
