"""HTML to PDF: tagged, archival, with the bundled fonts only, so that a document looks the same on every machine."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string

PDF_VARIANT = "pdf/a-3u"
"""Archival, with attachments allowed and text that can be extracted. As rendered; signing comes after."""
RECORD_FILE = "record.json"
"""Name of the embedded record."""


def render_html(template: str, context: Mapping[str, Any], paper: str) -> str:
    """The document's HTML; `paper` is `letter` or `a4`."""
    return render_to_string(template, {**context, "paper": paper})


def render_pdf(template: str, context: Mapping[str, Any], content: Mapping[str, Any], paper: str) -> bytes:
    """The PDF of `template` under `context`, with `content` embedded as JSON so that its findings can be
    derived again. Raises AssetError when a font or picture the page names cannot be read."""
    # WeasyPrint takes a second to import; only the process that prints pays for it.
    from weasyprint import HTML, Attachment

    from wps.documents.assets import AssetFetcher

    attachment = Attachment(
        string=json.dumps(content, ensure_ascii=False, sort_keys=True, indent=1), name=RECORD_FILE,
        description="The record's content and findings as printed here", relationship="Data",
    )
    page = HTML(string=render_html(template, context, paper), url_fetcher=AssetFetcher(), base_url="asset:/")
    return page.write_pdf(pdf_variant=PDF_VARIANT, pdf_tags=True, attachments=[attachment])
