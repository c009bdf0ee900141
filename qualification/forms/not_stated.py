"""What a code wants on a record and the record does not state yet, each item linked to its field."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from qualification.forms.field_links import field_of
from qualification.forms.record_forms import RecordForms
from qualification.rules.required.check import Item, Status, missing
from qualification.rules.required.words import by_reason, row_of_item, say_counts

FIELD_IDS = {
    key: f"id_{key}"
    for key in (
        "number",
        "title",
        "customer",
        "welder",
        "welded_on",
        "spec_followed",
        "laboratory",
        "report_number",
        "witness",
    )
} | {"tests": "tests", "sketch": "id_joint-weld_type"}
"""Where a field of the record is entered on the page that edits it."""


def contents_context(
    items: tuple[Item, ...], forms: RecordForms | None = None, urls: dict[str, str] | None = None
) -> dict[str, Any]:
    """What `_not_stated.html` needs. With `forms`, each item is linked to its field; `urls` are the addresses
    of the pages on which things are entered: `edit` (empty for the page itself), `results`, `welder`."""
    rows = [
        row_of_item(item, _url(item, forms, urls or {}) if forms is not None else "")
        for item in missing(items)
    ]
    return {
        "asked": len(items),
        "counts": say_counts(items),
        "required": by_reason(row for row in rows if row.is_required),
        "by_habit": by_reason(row for row in rows if not row.is_required),
        "habits": sum(not row.is_required for row in rows),
        "is_open": forms is not None,
        "waiting": sum(item.status is Status.OPEN for item in items),
    }


def _url(item: Item, forms: RecordForms, urls: dict[str, str]) -> str:
    name = item.names[0]
    if name == "organisation":
        return reverse("shop")
    if name in ("stamp", "birth", "identification"):
        return urls.get("welder", "")
    if name == "results":
        return urls.get("results", "")
    found = FIELD_IDS.get(name, "") if item.is_of_record else field_of(forms, name, item.line)
    return f"{urls.get('edit', '')}#{found}" if found else ""
