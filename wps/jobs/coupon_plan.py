"""The coupon plan of a job in words for its page, and the drafts it becomes."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db import transaction

from qualification.models import CouponRecord, ProcedureTest, Welder, WelderTest
from qualification.records.cache import Remembered
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import Person
from qualification.rules.core.facts import Coupon, Facts, Side
from qualification.rules.core.values import Absent, Interval, Stated
from qualification.rules.entries.reading import Entry
from qualification.rules.plan.costs import Rates
from qualification.rules.plan.coupons import Chosen, Codes, CoverageGap, Offer, Plan, plan_coupons
from qualification.rules.ranges.planning import coupon_words
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.registry import registry
from qualification.trials.entries import entry_of
from wps.jobs.coupon_gaps import Uncovered, what_is_missing
from wps.models import CouponCosts, Job, Spec
from wps.procedures.drafting import draft_from_test, store

FIRST_NUMBERS: Mapping[type, str] = {ProcedureTest: "PT-001", WelderTest: "WT-001"}
RECORDS: dict[Side, type[ProcedureTest] | type[WelderTest]] = {
    Side.PROCEDURE: ProcedureTest,
    Side.WELDER: WelderTest,
}
KINDS = {Side.PROCEDURE: "Procedure test", Side.WELDER: "Welder test"}
MOST_MARKS = 8

_plans: Remembered[Plan] = Remembered(50)


def asked_of(found: Uncovered, rates: Rates) -> Hashable:
    """Everything a plan turns on."""
    codes = found.codes
    said = tuple((g.weld, g.line, g.side, g.marks, g.system, g.house) for g in found.gaps)
    return said, tuple((each.id, each.fingerprint) for each in (codes.work, codes.welders)), rates


def kept(asked: Hashable) -> Plan | None:
    """The plan for that, where it is at hand."""
    return _plans.at_hand(asked)


def keep(asked: Hashable, plan: Plan) -> Plan:
    """Keep a plan, and hand it back."""
    return _plans.of(asked, lambda: plan)


def plan_of(found: Uncovered) -> Plan:
    """The cheapest coupons for what is uncovered, at the shop's rates; kept while nothing of it changes."""
    rates = CouponCosts.current().as_rates()
    asked = asked_of(found, rates)
    return _plans.of(asked, lambda: plan_coupons(found.gaps, found.codes, rates))


@dataclass(frozen=True)
class Buys:
    """What a coupon covers, on one side."""

    what: str
    marks: str
    count: int


@dataclass(frozen=True)
class CouponInWords:
    """One coupon of the plan as the page shows it."""

    number: int
    kind: str
    title: str
    lines: Sequence[str]
    cut: str
    open: Sequence[str]
    buys: Sequence[Buys]
    together: Sequence[tuple[int, Sequence[Buys]]]
    """What it covers only together with another coupon of the plan, by that one's number."""
    without: Sequence[Buys]
    instead: Sequence[tuple[str, str]]
    """Another coupon, and how much dearer or cheaper it is."""
    cost: Decimal
    parts: Sequence[tuple[str, Decimal]]
    hours: Decimal
    needs_welder: bool
    key: str
    """Name of its field in the form that makes drafts."""


class PlanInWords:
    """A plan ready to be shown."""

    def __init__(self, found: Uncovered, plan: Plan) -> None:
        self.found, self.plan = found, plan

    @cached_property
    def coupons(self) -> list[CouponInWords]:
        return [self._coupon(number, each) for number, each in enumerate(self.plan.chosen, start=1)]

    @property
    def cost(self) -> Decimal:
        return Decimal(self.plan.choice.cost) / 100

    @property
    def one_by_one(self) -> tuple[int, Decimal]:
        count, cents = self.plan.one_by_one
        return count, Decimal(cents) / 100

    @property
    def saved(self) -> Decimal:
        return self.one_by_one[1] - self.cost

    @property
    def proof(self) -> str:
        """How sure it is that nothing is cheaper."""
        if self.plan.choice.is_proven:
            return f"Proven: no cheaper set among the coupons considered ({self.plan.considered})."
        bound = Decimal(self.plan.choice.bound) / 100
        return (
            f"Best found in the time allowed: at most {self.plan.choice.gap_percent:.1f} % above the cheapest"
            f" possible ({bound:,.2f})."
        )

    @cached_property
    def open_gaps(self) -> list[tuple[str, str, str]]:
        """Marks, side and reason of what no single coupon covers."""
        said: dict[tuple[str, str], list[str]] = {}
        for gap in self.plan.open_gaps:
            side = "Procedure" if gap.side is Side.PROCEDURE else "Welder"
            said.setdefault((side, self._why(gap)), []).extend(gap.marks)
        return [(_marks(marks), side, why) for (side, why), marks in said.items()]

    def _why(self, gap: CoverageGap) -> str:
        missing = what_is_missing(gap, self.found.codes)
        if missing:
            return f"Enter {missing} on the weld, or choose a WPS that states it."
        return (
            "No test coupon and no pair of coupons was found that would cover it. Cover it by several tests."
        )

    def _coupon(self, number: int, each: Chosen) -> CouponInWords:
        offer, coupon = each.offer, each.offer.coupon
        words = coupon_words(coupon, coupon.system)
        return CouponInWords(
            number,
            KINDS[offer.side],
            words.piece,
            words.lines,
            "; ".join(kind.counted(count) for kind, count in offer.bill.specimens),
            offer.bill.open,
            self._buys(offer.covers),
            [(self._number(other), self._buys(gaps)) for other, gaps in each.together],
            self._buys(each.only_it),
            [(self._other(other), difference(other, offer)) for other in each.instead],
            offer.bill.total,
            [(name.lower(), money) for name, money in offer.bill.parts if money],
            offer.bill.hours.quantize(Decimal("0.1")),
            offer.side is Side.WELDER,
            f"welder_{number}",
        )

    def _number(self, offer: Offer) -> int:
        return next(n for n, each in enumerate(self.plan.chosen, start=1) if each.offer is offer)

    @staticmethod
    def _other(offer: Offer) -> str:
        words = coupon_words(offer.coupon, offer.coupon.system)
        return f"{KINDS[offer.side]}: {words.piece}"

    def _buys(self, gaps: Iterable[int]) -> list[Buys]:
        found = []
        for side, what in ((Side.PROCEDURE, "Procedure for"), (Side.WELDER, "Welder for")):
            own = [self.plan.gaps[n] for n in sorted(gaps) if self.plan.gaps[n].side is side]
            marks = list(dict.fromkeys(mark for gap in own for mark in gap.marks))
            if marks:
                found.append(Buys(what, _marks(marks), len(marks)))
        return found


def _marks(marks: Sequence[str]) -> str:
    shown = ", ".join(marks[:MOST_MARKS])
    return shown if len(marks) <= MOST_MARKS else f"{shown} and {len(marks) - MOST_MARKS} more"


def difference(other: Offer, offer: Offer) -> str:
    """How much dearer or cheaper the other is."""
    cents = other.bill.cents - offer.bill.cents
    if cents == 0:
        return "the same cost"
    return f"{Decimal(abs(cents)) / 100:,.2f} {'more' if cents > 0 else 'less'}"


@dataclass(frozen=True)
class Drafts:
    """What a plan became."""

    tests: tuple[CouponRecord, ...]
    procedures: tuple[Spec, ...]
    """Preliminary ones, to weld the coupons of procedures by."""


def make_drafts(
    job: Job,
    plan: Plan,
    codes: Codes,
    welders: Mapping[int, Welder],
    person: Person,
    days: Mapping[int, date] | None = None,
) -> Drafts:
    """Store a draft of a test record for each coupon of the plan, and a preliminary procedure for each that
    tests one, all or none. `welders`: who welds which, by the coupon's number; a welder's test has to have
    one. `days`: when each is to be welded."""
    tests: list[CouponRecord] = []
    procedures: list[Spec] = []
    with transaction.atomic():
        for number, each in enumerate(plan.chosen, start=1):
            record = _draft(
                job, each, codes, plan.gaps, welders.get(number), (days or {}).get(number), person
            )
            tests.append(record)
            if isinstance(record, ProcedureTest):
                procedures.append(_preliminary(record, job, person))
    return Drafts(tuple(tests), tuple(procedures))


def _draft(
    job: Job,
    each: Chosen,
    codes: Codes,
    gaps: Sequence[CoverageGap],
    welder: Welder | None,
    day: date | None,
    person: Person,
) -> CouponRecord:
    side, coupon = each.offer.side, each.offer.coupon
    kind = RECORDS[side]
    numbers = kind.objects.filter(revision=0).order_by("id").values_list("number", flat=True)
    joint, lines = entries_of(coupon)
    marks = list(dict.fromkeys(mark for n in sorted(each.buys) for mark in gaps[n].marks))
    cut = "; ".join(kind_of.counted(count) for kind_of, count in each.offer.bill.specimens)
    notes = (
        f"Planned{f' for {day}' if day else ''}: weld it and replace each entry by what was read on the"
        " coupon."
    )
    record = kind(
        number=next_number(numbers, FIRST_NUMBERS[kind]),
        title=f"Coupon for {job.number}: {_marks(marks)}"[:120],
        edition=codes.of(side).id,
        units=coupon.system,
        joint=joint,
        lines=lines,
        welder=welder,
        notes=f"{notes} Cut and examine: {cut}." if cut else notes,
    )
    create_draft(record, person)
    return record


def _preliminary(record: ProcedureTest, job: Job, person: Person) -> Spec:
    """A procedure that says what the coupon says, to weld it by; it names the test, which carries it once
    passed."""
    draft = draft_from_test(record)
    spec = Spec(
        title=f"Preliminary, for {record.number} of {job.number}"[:120],
        edition=record.edition,
        units=record.units,
        joint=draft.joint,
        lines=draft.lines,
        customer=job.customer,
        notes=f"Preliminary: weld {record.number} by it, and claim what that qualifies once it has passed.",
    )
    return store(spec, person, [record])


def entries_of(coupon: Coupon) -> tuple[dict[str, Entry], list[dict[str, Entry]]]:
    """The coupon as one would type it on its record."""
    return _entries(coupon.weld.joint, coupon.system), [
        _entries(line, coupon.system) for line in coupon.weld.lines
    ]


def _entries(facts: Facts, system: str) -> dict[str, Entry]:
    return {key: _entry(key, value, system) for key, value in facts.items()}


def _entry(key: str, value: Stated, system: str) -> Entry:
    if isinstance(value, Absent):
        return "n/a"
    if isinstance(value, Interval):
        return entry_of(value, key, system)
    if isinstance(value, str):
        return value
    several = sorted(value)
    return several[0] if len(several) == 1 and registry()[key].kind is not ValueKind.CHOICE else several


def by_number(chosen: Mapping[str, Any], coupons: Iterable[CouponInWords]) -> dict[int, Welder]:
    """Who welds which coupon, of what a form says."""
    return {each.number: chosen[each.key] for each in coupons if chosen.get(each.key)}
