"""What stands in the way of approving a test record, and what its approval freezes."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from qualification.coverage import coupon_of, edition_of, outcome_of, range_of, read_record
from qualification.models import CouponRecord, ProcedureTest
from qualification.rules import wording
from qualification.rules.ranges import TestRange
from qualification.rules.variables import registry


def obstacles_to_test(record: CouponRecord) -> list[str]:
    """A record is approved as true, not as passed: a failed test is approved too, and qualifies nothing. So
    missing dates, unread entries and results still awaited stand in the way; a failed result does not."""
    found = []
    if record.welded_on is None:
        found.append("State the day on which the coupon was welded.")
    elif record.welded_on > timezone.localdate():
        found.append("The day of welding lies in the future; correct it.")
    if not record.lines:
        found.append("Add at least one process line.")
    if isinstance(record, ProcedureTest) and record.welder is None:
        found.append("State who welded the coupon.")
    found += [f"{problem.message}" for problem in read_record(record).problems]
    outcome = outcome_of(record)
    found += [f"{requirement.sentence}" for requirement in outcome.missing]
    return found


def freeze_test(record: CouponRecord) -> dict[str, Any]:
    """Entries, results, outcome and range as they stood at approval, with the tables they were judged on."""
    edition = edition_of(record.edition)
    coupon = coupon_of(record)
    return {
        **record.content(), "kind": record.KIND, "approved_by": record.approved_by_name,
        "approved_at": record.approved_at.isoformat() if record.approved_at else "",
        "edition_name": edition.name, "table_fingerprint": edition.fingerprint,
        "refusals": list(coupon.refusals), "range": range_rows(range_of(record), record.units),
    }


def range_rows(tested: TestRange, system: str) -> list[dict[str, Any]]:
    """The range in words, a row per limit, in the order in which the registry lists variables."""
    order = {key: position for position, key in enumerate(registry())}
    rows = [
        wording.row_of_limit(limit, system, line.line)
        for line in tested.lines for limit in line.limits if limit.standing.value != "nonessential"
    ]
    return [row.as_json() for row in sorted(rows, key=lambda row: (row.line or 0, order[row.variable]))]
