"""Does a test record state what its code wants on it: the bridge from stored records to the table of
contents."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from qualification.coverage import USES, edition_of, read_record
from qualification.forms.field_links import field_of
from qualification.forms.record_forms import RecordForms
from qualification.models import CouponRecord, Record, Shop, Welder
from qualification.rules.content_check import Item, Status, check_content, missing
from qualification.rules.content_words import by_reason, row_of_item, say_counts
from qualification.rules.entries import ReadWeld
from qualification.rules.tables import Edition
from qualification.rules.variables import Use

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


def fields_of(record: Record) -> dict[str, str]:
    """What every record states beside its weld. A shop nobody described has no name yet."""
    shop = Shop.current()
    return {
        "organisation": "" if shop._state.adding else shop.name,
        "number": record.number,
        "revision": str(record.revision),
        "title": record.title,
        "edition": record.edition,
        "author": record.author_name,
        "sketch": _typed(record.joint.get("weld_type", "")),
    }


def _typed(entry: Any) -> str:
    return entry if isinstance(entry, str) else "; ".join(entry)


def coupon_fields(record: CouponRecord) -> dict[str, str]:
    """What a test record states beside its weld."""
    welder: Welder | None = record.welder  # type: ignore[attr-defined]
    return {
        **fields_of(record),
        "welder": welder.name if welder else "",
        "stamp": welder.stamp if welder else "",
        "birth": welder.birth if welder else "",
        "identification": welder.identified_by if welder else "",
        "welded_on": str(record.welded_on or ""),
        "spec_followed": record.spec_followed,
        "laboratory": record.laboratory,
        "report_number": record.report_number,
        "witness": record.witness,
        "results": "stated" if record.results else "",
    }


def items_of(
    edition: Edition, use: Use, read: ReadWeld, fields: dict[str, str], system: str
) -> tuple[Item, ...]:
    """Every item the edition asks of such a record, answered."""
    return check_content(
        edition, use, read.weld, fields, {(problem.line, problem.key) for problem in read.problems}, system
    )


def coupon_items(record: CouponRecord) -> tuple[Item, ...]:
    """Every item of a test record, as stored."""
    return items_of(
        edition_of(record.edition),
        USES[type(record)],
        read_record(record),
        coupon_fields(record),
        record.units,
    )


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


__all__ = ["contents_context", "coupon_items", "fields_of", "items_of"]
