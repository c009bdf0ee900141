"""The cheapest acts that keep all work of open jobs going when several qualifications end: the same exact
choice as of coupons (`rules/plan/cheapest.py`)."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from qualification.rules.plan.cheapest import Choice, cheapest, covered_by
from qualification.rules.plan.pairs import Pair
from qualification.welders.who_may_weld import WelderFile
from wps.models import Job

Column = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Loss:
    """Work of one job that somebody may do today and nobody once everything has ended that is to end."""

    job: Job
    marks: tuple[tuple[str, ...], ...]
    """Welds of each gap; those that say the same are one."""
    saved_by: tuple[frozenset[int], ...]
    """For each ending the gaps that stay closed where it alone is renewed."""
    pairs: tuple[Pair, ...]
    """Endings of one welder that only together close a gap, as of a weld of two processes."""


@dataclass(frozen=True)
class Kept:
    """Welds of one job that an act keeps going, and those that only it keeps."""

    job: Job
    marks: tuple[str, ...]
    only: tuple[str, ...]


@dataclass(frozen=True)
class Renewals:
    """What to renew: numbers of endings, with what each keeps."""

    acts: tuple[tuple[int, tuple[Kept, ...]], ...]
    choice: Choice
    welds: int
    """Welds that would stop without any of it."""


class Scenarios:
    """The files that a job is asked about besides those of today: of each welder with endings the file after
    all of them, and with one or two of them renewed."""

    def __init__(self, endings: Sequence[int], without: Callable[[int, Iterable[int]], WelderFile]) -> None:
        self.files: list[WelderFile] = []
        self.own: dict[int, list[int]] = {}
        for number, welder in enumerate(endings):
            self.own.setdefault(welder, []).append(number)
        self._columns: dict[Hashable, int] = {}
        for welder, mine in self.own.items():
            for kept in self._kept(mine):
                self._columns[kept or welder] = len(self.files)
                self.files.append(without(welder, [n for n in mine if n not in kept]))

    @staticmethod
    def _kept(mine: Sequence[int]) -> list[tuple[int, ...]]:
        return [(), *((n,) for n in mine), *combinations(mine, 2)]

    def loss(
        self, job: Job, now: Column, table: Column, place: Mapping[int, int], marks: Sequence[tuple[str, ...]]
    ) -> Loss:
        """What stops. `now`: a column for each file of today; `table`: one for each file of here; `place`: a
        welder's column in `now`; `marks`: welds of each row."""
        after = now.copy()
        for welder in self.own:
            after[:, place[welder]] = table[:, self._columns[welder]]
        rows = np.flatnonzero(now.any(axis=1) & ~after.any(axis=1)).tolist()

        def closed(*kept: int) -> frozenset[int]:
            column = table[:, self._columns[kept]]
            return frozenset(gap for gap, row in enumerate(rows) if column[row])

        singles = {n: closed(n) for mine in self.own.values() for n in mine}
        pairs = (
            Pair(a, b, closed(a, b) - singles[a] - singles[b])
            for mine in self.own.values()
            for a, b in combinations(mine, 2)
        )
        return Loss(
            job,
            tuple(marks[row] for row in rows),
            tuple(singles[n] for n in sorted(singles)),
            tuple(pair for pair in pairs if pair.covers),
        )


def cheapest_renewals(losses: Sequence[Loss], cents: Sequence[int]) -> Renewals:
    """The endings to renew at the least cost, by what each costs; of equally cheap choices the one with the
    fewest."""
    covers: list[frozenset[int]] = [frozenset() for _ in cents]
    pairs: list[Pair] = []
    gaps: list[tuple[Job, tuple[str, ...]]] = []
    for loss in losses:
        first = len(gaps)
        gaps += [(loss.job, marks) for marks in loss.marks]
        covers = [
            own | {first + gap for gap in saved} for own, saved in zip(covers, loss.saved_by, strict=True)
        ]
        pairs += [Pair(p.first, p.second, frozenset(first + gap for gap in p.covers)) for p in loss.pairs]
    choice = cheapest(cents, covers, len(gaps), pairs=_merged(pairs))
    acts = []
    for act in choice.taken:
        rest = [n for n in choice.taken if n != act]
        own = covers[act].union(
            *(p.covers for p in pairs if act in (p.first, p.second) and {p.first, p.second} <= {act, *rest})
        )
        only = covered_by(choice.taken, covers, pairs) - covered_by(rest, covers, pairs)
        acts.append((act, _kept(gaps, own, only)))
    return Renewals(tuple(acts), choice, sum(len(marks) for _, marks in gaps))


def _merged(pairs: Iterable[Pair]) -> list[Pair]:
    found: dict[tuple[int, int], frozenset[int]] = {}
    for pair in pairs:
        key = (pair.first, pair.second)
        found[key] = found.get(key, frozenset()) | pair.covers
    return [Pair(*key, covers) for key, covers in found.items()]


def _kept(
    gaps: Sequence[tuple[Job, tuple[str, ...]]], own: frozenset[int], only: frozenset[int]
) -> tuple[Kept, ...]:
    by_job: dict[int, tuple[Job, list[str], list[str]]] = {}
    for gap in sorted(own):
        job, marks = gaps[gap]
        _, every, alone = by_job.setdefault(job.pk, (job, [], []))
        every += marks
        alone += marks if gap in only else ()
    return tuple(Kept(job, tuple(every), tuple(alone)) for job, every, alone in by_job.values())
