"""What rests on a test record: the procedures that name it."""

from __future__ import annotations

from qualification.links import Link, Links
from qualification.models import CouponRecord, ProcedureTest


def procedures_on(record: CouponRecord) -> Links | None:
    """Procedures a procedure test supports, newest revisions first."""
    if not isinstance(record, ProcedureTest):
        return None
    specs = record.specs.order_by("number", "-revision")
    links = tuple(
        Link(f"{spec} {spec.title}".strip(), spec.get_absolute_url(), spec.get_state_display())
        for spec in specs
    )
    return Links("Procedures that rest on it", "No procedure names it yet.", links)
