"""The cheapest choice of things that together cover every gap, exact, with what is proven of it.

A set cover in whole numbers: each thing is taken or not, each gap needs one of those that cover it or both of
a pair that covers it together, the sum of costs is least; of equally cheap choices one with the fewest
things. HiGHS solves it (through scipy). The choice is never dearer than the greedy one, also where time runs
out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from .pairs import Pair

SECONDS = 20.0
TIE = 1024
"""A thing weighs one part in so many of the least cost: the fewest are taken of equally cheap choices."""


@dataclass(frozen=True)
class Choice:
    """What to take, and how sure it is that nothing is cheaper."""

    taken: tuple[int, ...]
    cost: int
    bound: int
    """No choice among the things offered costs less than this."""
    gaps_open: tuple[int, ...]
    """Gaps that nothing offered covers."""

    @property
    def is_proven(self) -> bool:
        return self.bound >= self.cost

    @property
    def gap_percent(self) -> float:
        """By how much the choice may at most be dearer than the cheapest."""
        return 0.0 if self.is_proven else 100.0 * (self.cost - self.bound) / max(self.bound, 1)


def cheapest(
    costs: Sequence[int],
    covers: Sequence[frozenset[int]],
    gaps: int,
    seconds: float = SECONDS,
    pairs: Sequence[Pair] = (),
) -> Choice:
    """The cheapest things by whole-number `costs` of which each covers some of the gaps 0 to `gaps` - 1, and
    each of the pairs more if both are taken."""
    reachable = frozenset[int]().union(*covers, *(pair.covers for pair in pairs))
    open_ones = tuple(gap for gap in range(gaps) if gap not in reachable)
    paired = {n for pair in pairs for n in (pair.first, pair.second)}
    offered = sorted({*_worth_offering(costs, covers), *paired})
    if not offered:
        return Choice((), 0, 0, open_ones)
    greedy = _greedy(costs, covers, offered, reachable, pairs)
    taken, bound = _solved(costs, covers, offered, sorted(reachable), seconds, pairs)
    best = min((each for each in (taken, greedy) if each is not None), key=lambda t: (_sum(costs, t), len(t)))
    return Choice(tuple(sorted(best)), _sum(costs, best), min(bound, _sum(costs, best)), open_ones)


def _sum(costs: Sequence[int], taken: Sequence[int]) -> int:
    return sum(costs[each] for each in taken)


def _worth_offering(costs: Sequence[int], covers: Sequence[frozenset[int]]) -> list[int]:
    """Things that no other one makes needless by covering as much for no more."""
    order = sorted(range(len(costs)), key=lambda n: (-len(covers[n]), costs[n], n))
    kept: list[int] = []
    for each in order:
        if covers[each] and not any(
            covers[each] <= covers[other] and costs[other] <= costs[each] for other in kept
        ):
            kept.append(each)
    return sorted(kept)


def _greedy(
    costs: Sequence[int],
    covers: Sequence[frozenset[int]],
    offered: Sequence[int],
    gaps: frozenset[int],
    pairs: Sequence[Pair] = (),
) -> list[int]:
    """Again and again the thing that covers most for its cost; where none covers more, a pair does."""
    left, taken = set(gaps), list[int]()
    while left:
        able = [n for n in offered if covers[n] & left]
        if able:
            more = [min(able, key=lambda n: (costs[n] / len(covers[n] & left), costs[n], n))]
        else:
            both = min(
                (pair for pair in pairs if pair.covers & left),
                key=lambda pair: (costs[pair.first] + costs[pair.second], pair.first, pair.second),
            )
            more = [n for n in (both.first, both.second) if n not in taken]
        taken += more
        left -= covered_by(taken, covers, pairs)
    return taken


def covered_by(
    taken: Iterable[int], covers: Sequence[frozenset[int]], pairs: Sequence[Pair] = ()
) -> frozenset[int]:
    """What these things cover, each alone and in pairs."""
    have = set(taken)
    return frozenset[int]().union(
        *(covers[n] for n in have),
        *(pair.covers for pair in pairs if pair.first in have and pair.second in have),
    )


def _solved(
    costs: Sequence[int],
    covers: Sequence[frozenset[int]],
    offered: Sequence[int],
    gaps: Sequence[int],
    seconds: float,
    pairs: Sequence[Pair] = (),
) -> tuple[list[int] | None, int]:
    """The solver's choice, if it found one in time, and the bound it proved."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    places = {gap: row for row, gap in enumerate(gaps)}
    column_of = {n: column for column, n in enumerate(offered)}
    size, both = len(offered), len(pairs)
    cells = [(places[gap], column, 1.0) for column, n in enumerate(offered) for gap in covers[n]]
    cells += [(places[gap], size + k, 1.0) for k, pair in enumerate(pairs) for gap in pair.covers]
    # A pair counts only as far as both of it are taken.
    for k, pair in enumerate(pairs):
        for half, n in enumerate((pair.first, pair.second)):
            row = len(gaps) + 2 * k + half
            cells += [(row, column_of[n], 1.0), (row, size + k, -1.0)]
    rows, columns, values = zip(*cells, strict=True)
    matrix = csr_array((values, (rows, columns)), shape=(len(gaps) + 2 * both, size + both))
    least = np.concatenate([np.ones(len(gaps)), np.zeros(2 * both)])
    own = np.array([costs[n] for n in offered], float)
    # The tie-breaking share of all things together stays below one unit of cost.
    share = 1 / max(TIE, 2 * len(offered))
    found = milp(
        np.concatenate([own + share, np.zeros(both)]),
        integrality=np.concatenate([np.ones(size), np.zeros(both)]),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, lb=least),
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    taken = None if found.x is None else [n for n, x in zip(offered, found.x[:size], strict=True) if x > 0.5]
    proven = getattr(found, "mip_dual_bound", None)
    if found.status == 0 and taken is not None:
        return taken, _sum(costs, taken)
    if proven is None or not np.isfinite(proven):
        return taken, 0
    # Costs are whole numbers: what lies above a whole number less the shares costs at least that number.
    return taken, max(0, int(np.ceil(proven - share * len(offered) - 1e-6)))
