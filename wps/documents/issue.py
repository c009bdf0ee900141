"""Which document a record has, and making it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from qualification.codes.editions import is_iso
from qualification.models import ProcedureTest, Record, WelderTest
from qualification.tongues.languages import ENGLISH, LANGUAGES, speaking
from wps.documents.bands import sheet_of
from wps.documents.codes import mark_of
from wps.documents.context import content_of, document_context, sketch_context
from wps.documents.iso_terms import in_terms_of
from wps.documents.render import LaidOut, Rendered, lay_out
from wps.models import IssuedDocument, Spec

PAPERS = ("letter", "a4")
DENSE = -1
"""As level 1, with the entries run in over whole lines and fewer blank lines: what a procedure takes to keep
its technique on the first page, and a certificate of several ranges and confirmations to stay on one."""
RUN_IN = -2
"""All entries run in, and none moved: what keeps a procedure with many ranges on two pages."""
LEVELS, LEVELS_OF_SEVERAL, LEVELS_OF_A_CERTIFICATE, LEVELS_OF_A_TEST = (
    (0, 1, RUN_IN, DENSE, 2),
    (1, 2, 3),
    (0, 1, DENSE, 2, 3),
    (0, 3),
)
"""How much moves to the second page of a procedure of one process line or of several, or of a certificate, in
steps, until its signatures stand on the first; 3 runs in what the lines have each. A certificate is set tight
before it goes on to a second page, and at 3 takes its notes there. A procedure test moves nothing; it is run
in where it has more pages than it should."""
PAGES_OF_A_TEST, MEASURED_BEHIND = 3, 2
ON_TESTS = (
    "The procedure above is specified for production welding within the ranges stated, on the evidence of the"
    " supporting procedure tests named."
)
WITHOUT_TEST = (
    "The procedure above is specified for production welding within the ranges stated. It is prequalified: it"
    " keeps within the limits the code and edition named above set for procedures without a test, and rests"
    " on no test."
)


@dataclass(frozen=True)
class Document:
    """A rendered document and the name under which it is saved."""

    pdf: bytes
    filename: str


def document_of(record: Record, paper: str | None = None, language: str = ENGLISH) -> Document:
    """The record's document of its present content, marked as not issued, or of its snapshot.

    Without a `paper`, inch-first shops print on Letter and metric-first shops on A4.
    """
    content = content_of(record)
    return Document(
        rendered(record, content, content, paper or paper_of(content), language=language).pdf,
        filename_of(record.number, record.revision),
    )


def reading_copy(record: Record, issued: IssuedDocument, language: str) -> Document:
    """An issued paper in another language, for whoever has to read it: made from the same content, with its
    code, and with a line that says which paper was signed. Nobody signs it."""
    content = content_of(record)
    mark = {**mark_of(issued.code), "trail": ""}
    copy_of = LANGUAGES[issued.language]
    made = rendered(record, content, content, paper_of(content), mark, language, copy_of)
    return Document(made.pdf, filename_of(f"{record.number}-{language}", record.revision))


def rendered(
    record: Record,
    content: Mapping[str, Any],
    embedded: Mapping[str, Any],
    paper: str,
    mark: Mapping[str, str] | None = None,
    language: str = ENGLISH,
    copy_of: str = "",
) -> Rendered:
    """The document that prints `content` in the language and embeds `embedded`; `mark` is its code and QR
    picture, once issued. `copy_of` is the language of the signed paper that this one only repeats."""
    with speaking(language):
        return _rendered(record, content, embedded, paper, mark, copy_of)


def _rendered(
    record: Record,
    content: Mapping[str, Any],
    embedded: Mapping[str, Any],
    paper: str,
    mark: Mapping[str, str] | None,
    copy_of: str,
) -> Rendered:
    context = {**document_context(content), **_words(record), "mark": mark, "copy_of": copy_of}
    drawing = sketch_context(content, symbols=True)
    last: list[LaidOut] = []
    for drawn in (drawing, {}) if drawing["sketch"] != context["sketch"] else (drawing,):
        for level in _levels(record, content):
            moves = 0 if level == RUN_IN else abs(level)
            moved = {
                **context,
                **drawn,
                "moved": moves,
                "dense": level < 0,
                "measured_here": not level,
                "notes_behind": level > MEASURED_BEHIND,
            }
            if isinstance(record, Spec):
                moved["sheet"] = sheet_of(in_terms_of(content), moves)
            made = lay_out(_template(record), moved, paper)
            if _is_right(record, made, level):
                return made.written(embedded)
        last.append(made)
    return last[0].written(embedded)  # what is too long either way keeps its symbols


def _levels(record: Record, content: Mapping[str, Any]) -> tuple[int, ...]:
    if isinstance(record, Spec):
        return LEVELS if len(content["lines"]) < 2 else LEVELS_OF_SEVERAL
    return LEVELS_OF_A_CERTIFICATE if isinstance(record, WelderTest) else LEVELS_OF_A_TEST


def _is_right(record: Record, made: LaidOut, level: int) -> bool:
    """Whether the paper needs no further step."""
    if isinstance(record, ProcedureTest):
        return made.pages <= PAGES_OF_A_TEST
    if isinstance(record, WelderTest) and level < MEASURED_BEHIND:
        return made.pages == 1
    return _signed_on(made) == 0


def _signed_on(made: LaidOut) -> int:
    """The page the signatures stand on, from 0."""
    return max(
        (place.page for name, place in made.places.items() if name.startswith("signature-")), default=0
    )


def paper_of(content: Mapping[str, Any]) -> str:
    """The paper that goes with the shop's unit order."""
    return "letter" if content["shop"]["inch_first"] else "a4"


def filename_of(number: str, revision: int) -> str:
    """The name under which a document is saved."""
    return f"{re.sub(r'[^A-Za-z0-9._-]+', '-', number)}-rev-{revision}.pdf"


ISO_RECORD = "Welding procedure qualification record"


def words_of(record: Record) -> tuple[str, dict[str, str]]:
    """The record's template, and the words that stand in it because of its kind."""
    return _template(record), _words(record)


def _template(record: Record) -> str:
    if isinstance(record, Spec):
        return "documents/procedure.html"
    return "documents/welder.html" if isinstance(record, WelderTest) else "documents/test.html"


def _words(record: Record) -> dict[str, str]:
    if isinstance(record, Spec):
        return {
            "kind_words": "Welding procedure specification",
            "statement": WITHOUT_TEST if record.prequalified else ON_TESTS,
        }
    by_iso = is_iso(record.edition)
    if isinstance(record, WelderTest):
        return {
            "kind_words": "Welder qualification test certificate"
            if by_iso
            else "Welder performance qualification record",
            "statement": (
                "The statements in this record are true to the best of our knowledge, and the test coupon was"
                " prepared, welded and tested as the code and edition named above ask."
            ),
        }
    return {
        "kind_words": ISO_RECORD if by_iso else "Procedure qualification record",
        "short_kind": "WPQR" if by_iso else "PQR",
        "statement": (
            "The statements in this record are true to the best of our knowledge: the actual values were"
            " recorded while the coupon was welded, and the coupon was tested as the code and edition named"
            " above ask."
        ),
    }
