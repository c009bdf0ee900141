"""The report on a checked file as a paper to keep, with the same report as data inside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from qualification.snapshots.snapshot import shop_content
from wps.documents.render import render

REPORT_FILE = "report.json"


def report_paper(report: Mapping[str, Any]) -> bytes:
    """The report, as `report_content` gives it, as PDF."""
    shop = shop_content()
    context = {
        "kind_words": "Check of a file",
        "reference": report["name"],
        "content": {"shop": shop, "number": report["name"], "title": "", "code": {"name": ""}},
        "report": report,
        "files": [report, *report["inner"]],
        "checked_at": timezone.localtime(),
        "mark": None,
    }
    paper = "letter" if shop["inch_first"] else "a4"
    return render("documents/report.html", context, dict(report), paper, REPORT_FILE).pdf
