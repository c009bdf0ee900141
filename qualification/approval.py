"""What stands in the way of approving a test record, and what its approval freezes."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from qualification.content import test_content
from qualification.coverage import edition_of, outcome_of, problems_with, read_record, result_problems
from qualification.models import CouponRecord, ProcedureTest
from qualification.rules.content_words import obstacles
from qualification.rules.outcome import refusals
from qualification.rules.outcome_parts import Overall
from qualification.stated import coupon_items

ASKED_HERE = frozenset({(None, "welded_on"), (None, "welder"), (None, "results")})
"""Fields that every code asks for, and that are asked for below in words of their own."""


def obstacles_to_test(record: CouponRecord) -> list[str]:
    """A record is approved as true, not as passed: a failed test is approved too, and qualifies nothing. So
    missing dates, unread entries, what the code wants stated and results still awaited stand in the way; a
    failed result does not."""
    found = []
    if record.welded_on is None:
        found.append("State the day on which the coupon was welded.")
    elif record.welded_on > timezone.localdate():
        found.append("The day of welding lies in the future; correct it.")
    if not record.lines:
        found.append("Add at least one process line.")
    if isinstance(record, ProcedureTest) and record.welder is None:
        found.append("State who welded the coupon.")
    found += [
        problem.message
        for problem in problems_with(read_record(record), record.units, edition_of(record.edition))
    ]
    found += [problem.message for problem in result_problems(record)]
    outcome = outcome_of(record)
    if outcome.overall is Overall.INCOMPLETE:
        found += refusals(outcome)
    found += obstacles(coupon_items(record), ASKED_HERE)
    return list(dict.fromkeys(found))


def freeze_test(record: CouponRecord) -> dict[str, Any]:
    """Entries, results, outcome and range as they stand at approval, with the tables they were judged on."""
    return test_content(record)
