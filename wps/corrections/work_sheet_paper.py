"""The work sheet as a paper to take to the book: what the program says, a blank for what the book says, a box
to tick, initials and date."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from qualification.rules.core.words import within_sentence
from qualification.snapshots.snapshot import shop_content
from wps.corrections.work_sheet import Line, Part, WorkSheet
from wps.documents.render import render

ROWS_ON_PAPER = 60
"""Rows of one paper; the next begins where it ends."""
LONG = 400
"""Letters from which on a row may go over two pages."""
TEMPLATE, DATA_FILE = "documents/work_sheet.html", "work-sheet.json"


def sheet_paper(sheet: WorkSheet, part: Part, start: int, paper: str = "") -> bytes:
    """Up to so many rows of the part from the number `start` on, as PDF; `paper` is `letter` or `a4`, or the
    shop's."""
    shop = shop_content()
    of_part = sheet.of(part)
    lines = [line for line in of_part if line.row.number >= start][:ROWS_ON_PAPER]
    context = {
        "shop": shop,
        "edition": sheet.edition,
        "part": part,
        "rows": _rows(lines),
        "left": len(of_part),
        "day": timezone.localdate(),
        "first": lines[0].row.number if lines else 0,
        "last": lines[-1].row.number if lines else 0,
    }
    data = {
        "edition": sheet.edition.id,
        "fingerprint": sheet.edition.fingerprint,
        "rows": {str(line.row.number): line.row.words.clause for line in lines},
    }
    return render(TEMPLATE, context, data, paper or ("letter" if shop["inch_first"] else "a4"), DATA_FILE).pdf


def _rows(lines: Sequence[Line]) -> list[dict[str, Any]]:
    """The rows as printed; a clause stands once, then `same`."""
    found, before = [], ""
    for line in lines:
        words = line.row.words
        found.append(
            {
                "number": line.row.number,
                "clause": "same" if words.clause == before else words.clause,
                "subject": words.subject,
                "section": words.section if words.section != words.subject else "",
                "because": words.because or ("" if words.columns else words.remark),
                "weight": words.standing,
                "records": line.records_words,
                "says": [(each.name, within_sentence(each.words)) for each in words.columns],
                "is_long": sum(len(each.words) for each in words.columns) > LONG,
            }
        )
        before = words.clause
    return found
