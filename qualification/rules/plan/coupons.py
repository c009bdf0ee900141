"""Which coupons to weld for what a job leaves uncovered: procedures and welders, under one code or two.

Coupons are made up from the welds themselves (`ranges/coupon_shapes.py`), each family of welds that differ in
size and position alone at once. The same arrays as everywhere say what each would cover, the cheapest choice
is found by `cheapest.py`, and every coupon of it is asked of the engine again before anybody sees it. Where
a weld is drawn over a range, coupons count in pairs as well (`pairs.py`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import islice, zip_longest

from ..core.facts import Coupon, Side, Weld
from ..core.findings import Verdict
from ..entries.derive import derive
from ..materials.grouping import group
from ..ranges.at_once import answers_at_once
from ..ranges.coupon_shapes import Stance, completed, coupons_worth_trying, stance_of
from ..ranges.coverage import cover_whole
from ..ranges.house import HouseLimit, is_welded_outside
from ..ranges.made_before import MadeBefore
from ..ranges.planning import coupons_that_would_cover
from ..ranges.ranges import TestRange, range_qualified
from ..tabular.edition import Edition
from .cheapest import SECONDS, Choice, cheapest, covered_by
from .costs import Bill, Rates, bill
from .family_sizes import sizes_of, spread, thickest, without_sizes
from .pairs import MOST_HALVES, Pair, any_divisible, halves_of, pairs_of

MOST_OF_A_FAMILY = 400
MOST_ALONE = 8
MOST_IN_VAIN = 2
ALTERNATIVES = 3


@dataclass(frozen=True)
class CoverageGap:
    """One process line of a weld that nothing on file covers, on one side."""

    weld: Weld
    """As it will be made."""
    line: int
    side: Side
    marks: tuple[str, ...]
    """Weld marks it stands for."""
    system: str
    house: tuple[HouseLimit, ...] = ()

    @property
    def alone(self) -> Weld:
        """The weld with this process line only, as one coupon may stand for it."""
        return Weld(self.weld.joint, (self.weld.lines[self.line],), self.weld.name)


@dataclass(frozen=True)
class Codes:
    """The edition the work is welded to, and the one its welders are qualified to."""

    work: Edition
    welders: Edition

    def of(self, side: Side) -> Edition:
        return self.work if side is Side.PROCEDURE else self.welders


@dataclass(frozen=True)
class Offer:
    """A coupon that may be welded, as a test of a procedure (and of who welds it) or of a welder alone."""

    coupon: Coupon
    side: Side
    bill: Bill
    covers: frozenset[int]
    """Numbers of the gaps it covers."""


@dataclass(frozen=True)
class Chosen:
    """A coupon of the plan."""

    offer: Offer
    only_it: frozenset[int]
    """Gaps that stay open without it."""
    instead: tuple[Offer, ...]
    """Other coupons that would cover those, cheapest first."""
    together: tuple[tuple[Offer, frozenset[int]], ...] = ()
    """Other coupons of the plan, and the gaps it covers only together with each."""

    @property
    def buys(self) -> frozenset[int]:
        """Gaps it covers, alone or together with another coupon of the plan."""
        return self.offer.covers.union(*(gaps for _, gaps in self.together))


@dataclass(frozen=True)
class Plan:
    gaps: tuple[CoverageGap, ...]
    chosen: tuple[Chosen, ...]
    choice: Choice
    considered: int
    one_by_one: tuple[int, int]
    """Number and cost in cents of the coupons that one would weld going from gap to gap."""

    @property
    def open_gaps(self) -> tuple[CoverageGap, ...]:
        """Gaps for which neither a single coupon nor a pair was found."""
        return tuple(self.gaps[n] for n in self.choice.gaps_open)


def plan_coupons(
    gaps: Sequence[CoverageGap],
    codes: Codes,
    rates: Rates,
    seconds: float = SECONDS,
    tell: Callable[[int], None] = lambda considered: None,
) -> Plan:
    """The cheapest coupons that cover all gaps for which any single coupon would do. `tell` is told how many
    coupons have been considered so far."""
    offers, pairs = _Offers(tuple(gaps), codes, rates, tell).all_with_pairs()
    while True:
        costs, covers = [o.bill.cents for o in offers], [o.covers for o in offers]
        choice = cheapest(costs, covers, len(gaps), seconds, pairs)
        wrong = {
            n: kept for n in choice.taken if (kept := _confirmed(offers[n], gaps, codes)) != offers[n].covers
        }
        refuted = {
            pair: kept
            for pair in pairs
            if {pair.first, pair.second} <= set(choice.taken)
            and (kept := _confirmed_pair(pair, offers, gaps, codes)) != pair.covers
        }
        if not wrong and not refuted:
            break
        offers = [Offer(o.coupon, o.side, o.bill, wrong.get(n, o.covers)) for n, o in enumerate(offers)]
        pairs = [replace(pair, covers=refuted.get(pair, pair.covers)) for pair in pairs]
    order = sorted(choice.taken, key=lambda n: -offers[n].bill.cents)
    chosen = tuple(_chosen(n, choice.taken, offers, pairs) for n in order)
    return Plan(tuple(gaps), chosen, choice, len(offers), _one_by_one(offers, len(gaps)))


def _confirmed(offer: Offer, gaps: Sequence[CoverageGap], codes: Codes) -> frozenset[int]:
    """Those of its gaps that the engine, asked for each, says the coupon covers."""
    return _confirmed_together((offer.coupon,), offer.covers, gaps, codes)


def _confirmed_pair(
    pair: Pair, offers: Sequence[Offer], gaps: Sequence[CoverageGap], codes: Codes
) -> frozenset[int]:
    coupons = (offers[pair.first].coupon, offers[pair.second].coupon)
    return _confirmed_together(coupons, pair.covers, gaps, codes)


def _confirmed_together(
    coupons: Sequence[Coupon], covers: frozenset[int], gaps: Sequence[CoverageGap], codes: Codes
) -> frozenset[int]:
    sides = {gaps[n].side for n in covers}
    ranges = {side: _ranges(coupons, codes.of(side), side) for side in sides}
    return frozenset(n for n in covers if _covers(ranges[gaps[n].side], gaps[n], codes))


def _ranges(coupons: Sequence[Coupon], edition: Edition, side: Side) -> list[TestRange]:
    return [range_qualified(replace(each, record=f"{n}"), edition, side) for n, each in enumerate(coupons)]


def _covers(ranges: Sequence[TestRange], gap: CoverageGap, codes: Codes) -> bool:
    edition = codes.of(gap.side)
    report = cover_whole(derive(group(gap.weld, edition)), ranges, edition, gap.side)
    return report.lines[gap.line].verdict <= Verdict.COVERED


def _chosen(own: int, taken: Sequence[int], offers: Sequence[Offer], pairs: Sequence[Pair]) -> Chosen:
    covers = [offer.covers for offer in offers]
    rest = [n for n in taken if n != own]
    only_it = covered_by(taken, covers, pairs) - covered_by(rest, covers, pairs)
    helped: dict[int, set[int]] = {}
    for pair in pairs:
        for one, other in ((pair.first, pair.second), (pair.second, pair.first)):
            if other in rest:
                helped.setdefault(one, set()).update(pair.covers)
    instead = sorted(
        (
            offers[n]
            for n in range(len(offers))
            if n not in taken and only_it and only_it <= covers[n] | helped.get(n, set())
        ),
        key=lambda o: (o.bill.cents, o.side),
    )
    together = tuple(
        (offers[pair.second if pair.first == own else pair.first], pair.covers)
        for pair in pairs
        if pair.covers and own in (pair.first, pair.second) and {pair.first, pair.second} <= set(taken)
    )
    return Chosen(offers[own], only_it, tuple(instead[:ALTERNATIVES]), together)


def _one_by_one(offers: Sequence[Offer], gaps: int) -> tuple[int, int]:
    covered: set[int] = set()
    count = cost = 0
    for gap in range(gaps):
        fitting = [offer for offer in offers if gap in offer.covers]
        if gap in covered or not fitting:
            continue
        best = min(fitting, key=lambda o: o.bill.cents)
        covered |= best.covers
        count, cost = count + 1, cost + best.bill.cents
    return count, cost


@dataclass(frozen=True)
class _Shape:
    """A coupon that is tried, and what it would qualify as the test it is made as."""

    side: Side
    coupon: Coupon
    tested: TestRange


@dataclass(frozen=True)
class _Offers:
    """The coupons worth offering for some gaps."""

    gaps: tuple[CoverageGap, ...]
    codes: Codes
    rates: Rates
    tell: Callable[[int], None] = lambda considered: None
    shapes: list[_Shape] = field(default_factory=list)
    """Every coupon that was tried, also those that cover nothing alone."""
    known: dict[tuple[int, Side], tuple[_Shape, TestRange]] = field(default_factory=dict)
    before: MadeBefore = field(default_factory=MadeBefore)

    def _read_for(self, side: Side, shape: _Shape) -> TestRange:
        """What a coupon would qualify on that side, made as a test of the other or of the same."""
        if side is shape.side:
            return shape.tested
        key = (id(shape), side)
        if key not in self.known:  # kept with the shape, so that its number stays its own
            found = range_qualified(shape.coupon, self.codes.of(side), side, self.before)
            self.known[key] = (shape, found)
        return self.known[key][1]

    def all_with_pairs(self) -> tuple[list[Offer], list[Pair]]:
        """The offers, and behind them coupons that cover something only in pairs; and the pairs, by their
        places among the offers."""
        offers = self.all()
        found: list[Pair] = []
        for side in Side:
            numbers = [n for n, gap in enumerate(self.gaps) if gap.side is side]
            able = [each for each in self.shapes if self._counts_for(each.side, side)]
            if numbers and able:
                self._pair(side, numbers, able, offers, found)
        return offers, found

    def _pair(
        self,
        side: Side,
        numbers: Sequence[int],
        able: Sequence[_Shape],
        offers: list[Offer],
        found: list[Pair],
    ) -> None:
        edition = self.codes.of(side)
        welds = [(self._wholes[n], self.gaps[n].line) for n in numbers]
        if not any_divisible(welds, edition, side):
            return
        ends = halves_of(welds, [self._read_for(side, each) for each in able], edition, side)
        best: dict[object, tuple[int, _Shape, tuple[frozenset[int], frozenset[int]]]] = {}
        for each, own in zip(able, ends, strict=True):
            if not (own[0] or own[1]):
                continue
            cents = self._bill(each.side, each.coupon).cents
            key = (own, each.side, stance_of(each.coupon.weld))
            if key not in best or cents < best[key][0]:
                best[key] = (cents, each, own)
        halves = sorted(best.values(), key=lambda each: each[0])[:MOST_HALVES]
        coupons, own_ends = [each.coupon for _, each, _ in halves], [own for _, _, own in halves]
        places: dict[int, int] = {}
        for pair in pairs_of(welds, coupons, own_ends, edition, side):
            a, b = (self._place(halves[n][1], n, offers, places) for n in (pair.first, pair.second))
            found.append(Pair(a, b, frozenset(numbers[n] for n in pair.covers)))

    def _place(self, shape: _Shape, number: int, offers: list[Offer], places: dict[int, int]) -> int:
        """Where the coupon stands among the offers; put behind them where it does not yet."""
        if number not in places:
            same = [
                n for n, o in enumerate(offers) if o.side is shape.side and o.coupon.weld == shape.coupon.weld
            ]
            if not same:
                bill = self._bill(shape.side, shape.coupon)
                offers.append(Offer(shape.coupon, shape.side, bill, frozenset()))
            places[number] = same[0] if same else len(offers) - 1
        return places[number]

    def all(self) -> list[Offer]:
        families = self._families()
        shapes = []
        for shape in (shape for family in families for shape in self._shapes(family)):
            shapes.append(shape)
            self.tell(len(shapes))
        offers = self._offers(shapes)
        reached = frozenset[int]().union(*(offer.covers for offer in offers))
        numbers = {id(gap): n for n, gap in enumerate(self.gaps)}
        left = [[gap for gap in family if numbers[id(gap)] not in reached] for family in families]
        # Of a family that stays open some are tried on their own: what the others lack is mostly the same.
        tried = list(islice((gap for round_ in zip_longest(*left) for gap in round_ if gap), MOST_ALONE))
        found, in_vain = [], Counter[int]()
        for gap in tried:
            family = next(n for n, each in enumerate(families) if gap in each)
            if in_vain[family] < MOST_IN_VAIN:
                shapes = self._alone(gap)
                in_vain[family] += not shapes
                found += shapes
        return [*offers, *self._offers(found)]

    def _alone(self, gap: CoverageGap) -> list[_Shape]:
        found = coupons_that_would_cover(
            gap.alone, self.codes.of(gap.side), gap.side, gap.system, house=gap.house
        )
        edition = self.codes.of(gap.side)
        return [_Shape(gap.side, p.coupon, range_qualified(p.coupon, edition, gap.side)) for p in found]

    def _families(self) -> list[list[CoverageGap]]:
        found: dict[object, list[CoverageGap]] = {}
        for gap in self.gaps:
            bare = (without_sizes(gap.weld.joint), without_sizes(gap.weld.lines[gap.line]))
            found.setdefault((gap.side, gap.system, gap.house, bare), []).append(gap)
        return list(found.values())

    def _shapes(self, family: Sequence[CoverageGap]) -> Iterable[_Shape]:
        """Coupons like the thickest of the family, in every position and in the sizes of all of them."""
        like = max(family, key=lambda gap: thickest(gap.weld))
        edition, sizes = self.codes.of(like.side), spread(sizes_of([(gap.weld, gap.line) for gap in family]))
        worth, before = (
            coupons_worth_trying(like.alone, edition, like.side, like.system, sizes=sizes),
            MadeBefore(),
        )
        for shape in islice(worth, MOST_OF_A_FAMILY):
            if not is_welded_outside(shape.weld, like.house, edition):
                yield _Shape(like.side, *completed(shape, edition, like.side, before))

    def _offers(self, shapes: Iterable[_Shape]) -> list[Offer]:
        """Of coupons of one stance that cover the same, the cheapest."""
        distinct = list({(each.side, each.coupon.weld, each.coupon.system): each for each in shapes}.values())
        self.shapes.extend(distinct)
        covered: list[set[int]] = [set() for _ in distinct]
        for side in Side:
            asked = [n for n, gap in enumerate(self.gaps) if gap.side is side]
            able = [n for n, each in enumerate(distinct) if self._counts_for(each.side, side)]
            if not asked or not able:
                continue
            edition = self.codes.of(side)
            sets = [[self._read_for(side, distinct[n])] for n in able]
            found = answers_at_once([self._wholes[n] for n in asked], sets, edition, side)
            for row, n in enumerate(asked):
                verdicts = found.lines[found.starts[row] + self.gaps[n].line]
                for column, coupon_at in enumerate(able):
                    if verdicts[column] <= Verdict.COVERED:
                        covered[coupon_at].add(n)
        best: dict[tuple[frozenset[int], Side, Stance], Offer] = {}
        for each, gaps in zip(distinct, covered, strict=True):
            if gaps:
                bill = self._bill(each.side, each.coupon)
                offer = Offer(each.coupon, each.side, bill, frozenset(gaps))
                key = (offer.covers, each.side, stance_of(each.coupon.weld))
                if key not in best or offer.bill.cents < best[key].bill.cents:
                    best[key] = offer
        return list(best.values())

    def _counts_for(self, made_as: Side, side: Side) -> bool:
        """A test of a procedure counts for who welds it as well, where one code rules both."""
        one_code = self.codes.work.id == self.codes.welders.id
        return made_as is side or (made_as is Side.PROCEDURE and one_code)

    @cached_property
    def _wholes(self) -> Mapping[int, Weld]:
        made: dict[tuple[Weld, Side], Weld] = {}
        return {
            n: made.setdefault((gap.weld, gap.side), derive(group(gap.weld, self.codes.of(gap.side))))
            for n, gap in enumerate(self.gaps)
        }

    def _bill(self, side: Side, coupon: Coupon) -> Bill:
        return bill(coupon, self.codes.of(side), side, self.rates)
