"""Large coupon plans, worked out beside the pages: a page looks how far one is instead of waiting for it.

A plan is worked out of plain values and asks the database nothing, so a thread of the server does it. Of a
server that ends meanwhile the next one begins again.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from threading import Lock

from qualification.rules.plan.coupons import Plan, plan_coupons
from wps.jobs.coupon_gaps import Uncovered
from wps.jobs.coupon_plan import asked_of, keep, kept
from wps.models import CouponCosts

AT_ONCE = 80
"""Gaps up to which a plan takes a second or two and is made while the page waits."""


@dataclass
class Work:
    """A plan under way."""

    future: Future[Plan] | None = None
    considered: int = 0
    """Coupons looked at so far."""

    def tell(self, count: int) -> None:
        self.considered = count


_pool = ThreadPoolExecutor(1, thread_name_prefix="coupon-plan")
_under_way: dict[object, Work] = {}
_lock = Lock()


def plan_or_work(found: Uncovered) -> Plan | Work:
    """The plan where it is small or at hand; else how far it is, begun now where it was not."""
    rates = CouponCosts.current().as_rates()
    asked = asked_of(found, rates)
    if (ready := kept(asked)) is not None:
        return ready
    if len(found.gaps) <= AT_ONCE:
        return keep(asked, plan_coupons(found.gaps, found.codes, rates))
    with _lock:
        work = _under_way.get(asked)
        if work is not None and work.future is not None and work.future.done():
            _under_way.pop(asked)
            return work.future.result()  # raises what went wrong, so that it is not begun again and again
        if work is None:
            work = _under_way[asked] = Work()
            work.future = _pool.submit(
                lambda: keep(asked, plan_coupons(found.gaps, found.codes, rates, tell=work.tell))
            )
            work.future.add_done_callback(lambda made: made.exception() or _under_way.pop(asked, None))
    return work
