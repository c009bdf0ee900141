"""The appendix of a paper: why each number holds. Made on request, from the content the paper prints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from qualification.models import Record
from wps.documents.codes import mark_of
from wps.documents.context import content_of, document_context
from wps.documents.issue import Document, filename_of, paper_of
from wps.documents.kinds import document_for
from wps.documents.render import render
from wps.documents.waveforms import drawn_waveforms

TEMPLATE, WORDS = "documents/appendix.html", "Reasoning behind the paper"
SUPPLEMENTARY = "supplementary"


@dataclass(frozen=True)
class Part:
    """Rows that belong together, and the head over what was found."""

    name: str
    found_head: str
    rows: tuple[Mapping[str, Any], ...]


def appendix_of(record: Record, paper: str | None = None) -> Document:
    """The record's appendix as PDF: of its snapshot once approved, else of its present content."""
    content = content_of(record)
    issued = document_for(record)
    made = render(
        TEMPLATE,
        {**appendix_context(content), "mark": mark_of(issued.code) if issued else None},
        content,
        paper or paper_of(content),
    )
    return Document(made.pdf, filename_of(f"{record.number}-appendix", record.revision))


def appendix_context(content: Mapping[str, Any]) -> dict[str, Any]:
    """What the appendix prints."""
    return {
        **document_context(content),
        "kind_words": WORDS,
        "reasoning": tuple(_parts(content)),
        "waveforms": drawn_waveforms(content),
    }


def _parts(content: Mapping[str, Any]) -> Iterator[Part]:
    for line in content.get("findings", ()):
        yield Part(
            f"Process line {line['line'] + 1}: {line['verdict_words'].lower()}",
            "This procedure",
            tuple(row for row in line["rows"] if row["binds"]),
        )
    rows = content.get("range", ())
    for line in dict.fromkeys(row["line"] or 0 for row in rows):
        own = [row for row in rows if (row["line"] or 0) == line]
        for tough in (False, True):
            found = tuple(row for row in own if (row.get("standing") == SUPPLEMENTARY) is tough)
            if found:
                more = ", where toughness is required" if tough else ""
                yield Part(f"Process line {line + 1}{more}", "Tested", found)
