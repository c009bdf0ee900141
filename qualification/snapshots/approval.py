"""Open items of approving a test record, and what its approval freezes."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from qualification.evidence.coverage import (
    edition_of,
    outcome_of,
    problems_with,
    read_record,
    result_problems,
)
from qualification.evidence.failed_before import unsaid_retest
from qualification.models import CouponRecord, ProcedureTest, WelderTest
from qualification.records.approving import frozen_content, obstacles_to_approval
from qualification.rules.required.words import obstacles
from qualification.rules.testing.outcome import refusals
from qualification.rules.testing.outcome_parts import Overall
from qualification.snapshots.required_items import coupon_items
from qualification.snapshots.snapshot import test_content

HAS_NO_RULES = (
    "Its edition is a content list only, so nothing can be judged and it stays a draft. An author can put it"
    " under an edition with rules; an approver can enter the rules of the shop's own book under Code tables,"
    " “New edition from”."
)
ASKED_HERE = frozenset({(None, "welded_on"), (None, "welder"), (None, "results")})
"""Fields that every code asks for, and that are asked for below in words of their own."""


@obstacles_to_approval.register(CouponRecord)
def obstacles_to_test(record: CouponRecord) -> list[str]:
    """A record is approved as true, not as passed: a failed test is approved too, and qualifies nothing. So
    missing dates, unread entries, what the code wants stated and results still awaited stand in the way; a
    failed result does not."""
    found = []
    if record.welded_on is None:
        found.append("State the day on which the coupon was welded.")
    elif record.welded_on > timezone.localdate():
        found.append("The welding date is in the future; correct it.")
    if not record.lines:
        found.append("Add at least one process line.")
    if isinstance(record, ProcedureTest) and record.welder is None:
        found.append("State who welded the coupon.")
    found += [
        problem.message
        for problem in problems_with(read_record(record), record.units, edition_of(record.edition))
    ]
    found += [problem.message for problem in result_problems(record)]
    if isinstance(record, WelderTest) and (unsaid := unsaid_retest(record)):
        found.append(unsaid)
    outcome = outcome_of(record)
    if edition_of(record.edition).is_content_list:
        found.append(HAS_NO_RULES)
    elif outcome.overall is Overall.INCOMPLETE:
        found += refusals(outcome)
    found += obstacles(coupon_items(record), ASKED_HERE)
    return list(dict.fromkeys(found))


@frozen_content.register(CouponRecord)
def freeze_test(record: CouponRecord) -> dict[str, Any]:
    """Entries, results, outcome and range as they stand at approval, with the tables they were judged on."""
    return test_content(record)
