"""Does a test record state what its code wants on it: the bridge from stored records to the table of
contents."""

from __future__ import annotations

from typing import Any

from qualification.evidence.coverage import USES, edition_of, read_record
from qualification.models import CouponRecord, Record, Shop, Welder
from qualification.rules.entries.reading import ReadWeld
from qualification.rules.required.check import Item, check_content
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import RecordKind


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
    welder: Welder | None = record.welder
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
    edition: Edition, use: RecordKind, read: ReadWeld, fields: dict[str, str], system: str
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
