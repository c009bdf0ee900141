"""Which coupon to weld for one weld or one draft, by the same planner as the plan of a whole job."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from qualification.evidence.range_summary import short_lines
from qualification.rules.core import words
from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Finding, Verdict
from qualification.rules.core.values import Absent
from qualification.rules.entries import wording
from qualification.rules.plan.coupons import Chosen, Codes, CoverageGap, Offer
from qualification.rules.ranges.house import HouseLimit
from qualification.rules.ranges.planning import coupon_words, what_a_coupon_waits_for
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.registry import registry
from wps.jobs.coupon_gaps import Uncovered
from wps.jobs.coupon_plan import difference, plan_of

NO_COUPON = (
    "No test coupon and no pair of coupons was found that would cover it. "
    "State what the weld leaves open, or cover it by several coupons."
)
MOST_NAMED = 5
"""Missing entries named before a coupon can be."""
KINDS = {Side.PROCEDURE: "A procedure test", Side.WELDER: "A welder test"}


@dataclass(frozen=True)
class Advice:
    """A process line that nothing on file covers, and what would: coupons, or why none is named."""

    number: int
    process: str
    sentences: Sequence[str]


def advice(
    weld: Weld,
    line: int,
    edition: Edition,
    side: Side,
    units: str,
    house: Sequence[HouseLimit] = (),
    against: Iterable[Finding] = (),
) -> Advice:
    """The cheapest coupon, or pair, for one process line on one side, with its cost, what it buys and what
    else would do. `against`: what the closest test has against it, named where no coupon is found."""
    gap = CoverageGap(weld, line, side, (weld.name,), units, tuple(house))
    process = wording.say_value("process", weld.lines[line]["process"], units)
    codes = Codes(edition, edition)
    alone = CoverageGap(gap.alone, 0, side, gap.marks, units, gap.house)
    plan = plan_of(Uncovered((alone,), codes, (), (), 1))
    missing = _named(alone, edition, against)
    if not plan.chosen:
        said = [f"State {missing} first; then a coupon can be named." if missing else NO_COUPON]
        return Advice(line + 1, process, said)
    first = [f"State {missing} first; then a cheaper coupon may do."] if missing else []
    said = [_coupon(each, edition, len(plan.chosen)) for each in plan.chosen]
    others = (other for each in plan.chosen for other in _others(each))
    return Advice(line + 1, process, [*first, *said, *dict.fromkeys(others)])


def _coupon(each: Chosen, edition: Edition, together: int) -> str:
    offer = each.offer
    cut = "; ".join(kind.counted(count) for kind, count in offer.bill.specimens)
    work = f"{offer.bill.hours:.1f} h" + (f"; cut and examine: {cut}" if cut else "")
    what = "cover it" if together == 1 else f"cover it together with {together - 1} more"
    return (
        f"{KINDS[offer.side]} that would {what}, once passed: {_words(offer)}."
        f" Cost {offer.bill.total:,.2f}, {work}."
        f" Would qualify: {_buys(offer, edition)}."
    )


def _buys(offer: Offer, edition: Edition) -> str:
    """What the coupon would qualify, in short."""
    tested = range_qualified(offer.coupon, edition, offer.side)
    lines = short_lines(tested, offer.side, offer.coupon.system)
    return "; ".join(f"{words.within_sentence(label)} {said}" for line in lines for label, said in line.brief)


def _others(each: Chosen) -> list[str]:
    return [f"Or {_words(other)}: {difference(other, each.offer)}." for other in each.instead]


def _words(offer: Offer) -> str:
    said = coupon_words(offer.coupon, offer.coupon.system)
    return f"{said.piece}; {'; '.join(said.lines)}"


def _named(gap: CoverageGap, edition: Edition, against: Iterable[Finding]) -> str:
    """What coupons like the weld, or the closest test, wait for and the weld does not state."""
    keys = what_a_coupon_waits_for(gap.weld, edition, gap.side, gap.system, every=False)
    facts = gap.weld.line_facts(0)
    needs = (k for f in against if f.verdict is Verdict.UNKNOWN for k in (f.needs or (f.variable,)))
    stated = [key for key in dict.fromkeys((*keys, *needs)) if facts[key] is Absent.MISSING]
    names = [words.within_sentence(registry()[key].label) for key in stated]
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f"{'; '.join(names[:MOST_NAMED])}{more}"
