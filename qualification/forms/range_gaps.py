"""The entries that decide a test's range and are not stated, each with the way to its field."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from qualification.evidence.range_gaps import RangeGap
from qualification.forms.field_links import field_of
from qualification.forms.record_forms import RecordForms


@dataclass(frozen=True)
class GapRow:
    """One entry as a page lists it."""

    label: str
    number: int | None
    """The process line, counted from 1; `None` for the joint."""
    leaves_open: str
    clause: str
    url: str
    """Where it is entered; empty where nobody may enter it now."""


def gap_rows(gaps: Iterable[RangeGap], forms: RecordForms | None = None, edit: str = "") -> list[GapRow]:
    """The rows; with `forms` each leads to its field on the page `edit` (empty for the page itself)."""
    return [
        GapRow(
            gap.label,
            None if gap.line is None else gap.line + 1,
            gap.leaves_open,
            gap.citation.clause,
            _url(gap, forms, edit) if forms is not None else "",
        )
        for gap in gaps
    ]


def _url(gap: RangeGap, forms: RecordForms, edit: str) -> str:
    field = field_of(forms, gap.key, gap.line)
    return f"{edit}#{field}" if field else ""
