"""HTML to PDF: tagged, archival, with the bundled fonts only, so that a document looks the same on every
machine."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.template.loader import render_to_string

if TYPE_CHECKING:
    from weasyprint import Document

PDF_VARIANT = "pdf/a-3u"
"""Archival, with attachments allowed and text that can be extracted. As rendered; signing comes after."""
RECORD_FILE = "record.json"
"""Name of the embedded record."""
POINTS_PER_PX = 0.75


@dataclass(frozen=True)
class PlaceOnPage:
    """Where an element with an id stands: page from 0, sides in points from the page's lower left corner."""

    page: int
    left: float
    bottom: float
    right: float
    top: float


@dataclass(frozen=True)
class Rendered:
    """A rendered document, how many pages it has, and where its named places are."""

    pdf: bytes
    pages: int
    places: Mapping[str, PlaceOnPage]


@dataclass(frozen=True)
class LaidOut:
    """A document on its pages, not yet written: what tells whether it fits costs no file."""

    document: Document
    pages: int
    places: Mapping[str, PlaceOnPage]
    options: Mapping[str, Any]

    def written(self, content: Mapping[str, Any], filename: str = RECORD_FILE) -> Rendered:
        """As PDF, with `content` embedded as JSON so that its findings can be derived again."""
        from weasyprint import Attachment

        attachment = Attachment(
            string=json.dumps(content, ensure_ascii=False, sort_keys=True, indent=1),
            name=filename,
            description="The content and findings as printed here",
            relationship="Data",
        )
        pdf = self.document.write_pdf(attachments=[attachment], **self.options)
        return Rendered(pdf, self.pages, self.places)


def render_html(template: str, context: Mapping[str, Any], paper: str) -> str:
    """The document's HTML; `paper` is `letter` or `a4`."""
    return render_to_string(template, {**context, "paper": paper})


def lay_out(template: str, context: Mapping[str, Any], paper: str, picture_dpi: int | None = None) -> LaidOut:
    """`template` under `context` on its pages; pictures finer than `picture_dpi` are made coarser. Raises
    AssetError when a font or picture the page names cannot be read."""
    # WeasyPrint takes a second to import; only the process that prints pays for it.
    from weasyprint import HTML

    from wps.documents.assets import AssetFetcher
    from wps.documents.styles import fonts_of_paper, linked_by

    page = HTML(string=render_html(template, context, paper), url_fetcher=AssetFetcher(), base_url="asset:/")
    options = {"pdf_variant": PDF_VARIANT, "pdf_tags": True, "dpi": picture_dpi}
    document = page.render(stylesheets=linked_by(page), font_config=fonts_of_paper(), **options)
    places = {
        name: PlaceOnPage(
            number,
            *(side * POINTS_PER_PX for side in (left, sheet.height - bottom, right, sheet.height - top)),
        )
        for number, sheet in enumerate(document.pages)
        for name, (left, top, right, bottom) in sheet.anchors.items()
    }
    return LaidOut(document, len(document.pages), places, options)


def render(
    template: str,
    context: Mapping[str, Any],
    content: Mapping[str, Any],
    paper: str,
    filename: str = RECORD_FILE,
    picture_dpi: int | None = None,
) -> Rendered:
    """`template` under `context` as PDF with `content` embedded, in one step."""
    return lay_out(template, context, paper, picture_dpi).written(content, filename)
