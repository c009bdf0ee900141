"""When the coupons of a plan are welded and examined, one after another, on working days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from qualification.rules.plan.costs import Rates
from wps.jobs.coupon_plan import CouponInWords

SATURDAY = 5


@dataclass(frozen=True)
class Slot:
    """One coupon of the schedule."""

    coupon: CouponInWords
    hours: Decimal
    begin: date
    done: date
    """The day on which its welding ends."""
    examined: date


def schedule(coupons: Sequence[CouponInWords], rates: Rates, first: date) -> list[Slot]:
    """The coupons in their order from the first working day on, so many hours a day; each is examined so many
    working days after it is welded."""
    days, found = _working_days(first), []
    today, left = next(days), rates.day_hours
    for coupon in coupons:
        if not left:
            today, left = next(days), rates.day_hours
        begin, todo = today, coupon.hours
        while todo > left:
            todo -= left
            today, left = next(days), rates.day_hours
        left -= todo
        found.append(Slot(coupon, coupon.hours, begin, today, after(today, int(rates.lab_days))))
    return found


def after(day: date, working_days: int) -> date:
    """The day so many working days later."""
    days = _working_days(day + timedelta(days=1))
    for _ in range(working_days):
        day = next(days)
    return day


def _working_days(first: date) -> Iterator[date]:
    day = first
    while True:
        if day.weekday() < SATURDAY:
            yield day
        day += timedelta(days=1)
