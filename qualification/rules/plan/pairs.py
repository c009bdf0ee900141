"""Pairs of coupons that together cover a weld which neither covers alone.

A weld that is drawn over a range (several positions, a thickness from and to) can be cut where the edition
lets tests join. Two coupons may help where one covers its lowest end and the other its highest; whether they
do is asked of the engine. What two tests might share of one and the same part is not looked for, nor three
and more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..core.facts import Coupon, Facts, Side, Weld
from ..core.findings import Verdict
from ..core.values import Interval, Stated
from ..ranges.at_once import answers_at_once
from ..ranges.joining import Joins, is_divisible
from ..ranges.ranges import TestRange, range_qualified
from ..tabular.edition import Edition

MOST_HALVES = 60
"""Coupons that are tried in pairs, the cheapest of those that cover the same ends."""


@dataclass(frozen=True)
class Pair:
    """Two things, by their numbers, and the gaps they cover together and neither alone."""

    first: int
    second: int
    covers: frozenset[int]


def any_divisible(welds: Sequence[tuple[Weld, int]], edition: Edition, side: Side) -> bool:
    """True where some weld is drawn over a range along which tests may join."""
    joins = Joins.of(edition, side)
    return any(_keys(weld.line_facts(line), joins) for weld, line in welds)


def halves_of(
    welds: Sequence[tuple[Weld, int]], ranges: Sequence[TestRange], edition: Edition, side: Side
) -> list[tuple[frozenset[int], frozenset[int]]]:
    """For each coupon, of which welds (with the line in question) it covers the lowest end alone, and of
    which the highest."""
    joins = Joins.of(edition, side)
    asked = [n for n, (weld, line) in enumerate(welds) if _keys(weld.line_facts(line), joins)]
    ends = [_narrowed(welds[n][0], end, joins) for n in asked for end in (0, -1)]
    if not ends:
        return [(frozenset(), frozenset()) for _ in ranges]
    found = answers_at_once(ends, [[tested] for tested in ranges], edition, side)
    low: list[set[int]] = [set() for _ in ranges]
    high: list[set[int]] = [set() for _ in ranges]
    for at, n in enumerate(asked):
        line = welds[n][1]
        lowest, highest = (
            found.lines[found.starts[2 * at + end] + line] <= Verdict.COVERED for end in (0, 1)
        )
        for coupon in np.flatnonzero(lowest & ~highest).tolist():
            low[coupon].add(n)
        for coupon in np.flatnonzero(highest & ~lowest).tolist():
            high[coupon].add(n)
    return [(frozenset(a), frozenset(b)) for a, b in zip(low, high, strict=True)]


def pairs_of(
    welds: Sequence[tuple[Weld, int]],
    coupons: Sequence[Coupon],
    halves: Sequence[tuple[frozenset[int], frozenset[int]]],
    edition: Edition,
    side: Side,
) -> list[Pair]:
    """The pairs that cover welds together; welds that one of the two covers alone are left out."""
    tried = [
        (a, b)
        for a, (low, _) in enumerate(halves)
        for b, (_, high) in enumerate(halves)
        if a != b and low & high
    ]
    if not tried:
        return []
    own = [range_qualified(replace(each, record=f"{n}"), edition, side) for n, each in enumerate(coupons)]
    found = answers_at_once([weld for weld, _ in welds], [[own[a], own[b]] for a, b in tried], edition, side)
    pairs = []
    for column, (a, b) in enumerate(tried):
        covered = frozenset(
            n
            for n in halves[a][0] & halves[b][1]
            if found.lines[found.starts[n] + welds[n][1], column] <= Verdict.COVERED
        )
        if covered:
            pairs.append(Pair(a, b, covered))
    return pairs


def _keys(facts: Facts, joins: Joins) -> list[str]:
    return sorted(key for key in joins.along if is_divisible(facts[key]))


def _narrowed(weld: Weld, end: int, joins: Joins) -> Weld:
    """The weld at the lowest or highest of everything along which it can be cut."""

    def one(facts: Facts) -> Facts:
        return facts.including(
            {
                key: narrow
                for key, value in facts.items()
                if key in joins.along and is_divisible(value) and (narrow := _end(value, end)) is not None
            }
        )

    return Weld(one(weld.joint), tuple(one(line) for line in weld.lines), weld.name)


def _end(value: Stated, end: int) -> Stated | None:
    if isinstance(value, frozenset):
        return frozenset({sorted(value)[end]})
    assert isinstance(value, Interval)
    bound = value.low if end == 0 else value.high
    return None if bound is None else Interval.point(bound)
