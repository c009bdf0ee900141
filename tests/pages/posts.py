"""What the pages of test records send, built from a record, for the tests of those pages."""

from __future__ import annotations

from typing import Any

from qualification.models import CouponRecord
from qualification.records.drafts import version_of


def edit_post(
    record: CouponRecord, joint: dict[str, Any] | None = None, line: dict[str, Any] | None = None, **head: str
) -> dict[str, Any]:
    """The draft's page as it stands, with some entries changed."""
    data: dict[str, Any] = {
        "version": version_of(record),
        "title": record.title,
        "units": record.units,
        "welder": str(record.welder_id or ""),  # type: ignore[attr-defined]
        "welded_on": f"{record.welded_on or ''}",
        "spec_followed": record.spec_followed,
        "laboratory": record.laboratory,
        "report_number": record.report_number,
        "witness": record.witness,
        "notes": record.notes,
        "change_note": record.change_note,
        "line_count": str(len(record.lines)),
        "do": "save",
        **head,
    }
    entries = {"joint": {**record.joint, **(joint or {})}}
    for index, stored in enumerate(record.lines):
        entries[f"line-{index}"] = {**stored, **((line or {}) if index == 0 else {})}
    return data | {f"{prefix}-{key}": text for prefix, each in entries.items() for key, text in each.items()}


def results_post(record: CouponRecord, results: list[dict[str, str]], **more: str) -> dict[str, str]:
    """The results page with these rows."""
    data = {"version": version_of(record), "row_count": str(len(results)), **more}
    return data | {
        f"row-{index}-{key}": text for index, row in enumerate(results) for key, text in row.items()
    }
