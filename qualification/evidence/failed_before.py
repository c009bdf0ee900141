"""A welder's test that comes after a failed one: whether it is a retest has to be said, since codes ask for
more coupons or for training then."""

from __future__ import annotations

from qualification.evidence.coverage import outcome_of
from qualification.models import State, WelderTest
from qualification.rules.testing.outcome_parts import Overall
from qualification.rules.variables.retests import RETEST


def unsaid_retest(record: WelderTest) -> str:
    """What has to be said of the failed test that went before with the same process under the same edition;
    empty where the last one passed, or where the record says whether it is a retest."""
    if record.joint.get(RETEST) or record.welded_on is None:
        return ""
    processes = {line.get("process") for line in record.lines}
    earlier = WelderTest.objects.filter(
        welder=record.welder, edition=record.edition, state=State.APPROVED, welded_on__lte=record.welded_on
    ).exclude(number=record.number)
    for last in earlier.order_by("-welded_on", "-pk"):
        if processes & {line.get("process") for line in last.lines}:
            if outcome_of(last).overall is not Overall.FAILED:
                return ""
            return (
                f"{last.number} of this welder, welded on {last.welded_on}, failed. State under Retest"
                " whether this test follows it."
            )
    return ""
