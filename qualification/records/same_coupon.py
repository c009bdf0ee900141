"""The same coupon on a record of its own under another code: everything that was welded, read and tested
comes along, and the other code judges it anew.

The record it comes from stays as it is, under its own edition; both state one coupon.
"""

from __future__ import annotations

from copy import deepcopy

from qualification.models import CouponRecord
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import Person

OF_THE_OTHER_CODE = frozenset(
    {"number", "revision", "edition", "moved_from", "notes", "change_note", "tests_wanted"}
)
"""Content that the record has for itself: the rest is what was welded, read and tested."""


def same_coupon_under(record: CouponRecord, edition: str) -> CouponRecord:
    """The draft, not stored yet, without a number."""
    copied = (name for name in record.CONTENT if name not in OF_THE_OTHER_CODE)
    made = type(record)(**{name: deepcopy(getattr(record, name)) for name in copied})
    made.edition, made.moved_from = record.edition, list(record.moved_from)
    made.put_under(edition)
    made.notes = f"The coupon of {record.KIND} {record}."
    return made


def start_same_coupon(record: CouponRecord, person: Person, edition: str) -> CouponRecord:
    """Store the draft under the next number of the series."""
    made = same_coupon_under(record, edition)
    numbers = type(record).objects.order_by("created_at").values_list("number", flat=True)
    made.number = next_number(numbers, record.number)
    create_draft(made, person)
    return made
