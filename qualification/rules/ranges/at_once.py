"""Many welds against many sets of tests at once, with the same verdicts as `coverage.cover_whole`.

No rule and no comparison is written a second time. What differs between the tests is a list of distinct
limits, what differs between the welds a list of distinct values; the engine is asked once for each pair
(`distinct.py`), and arrays only spread the answers and pick the worst and the closest, as `coverage.py` does.
Where several tests might join, a root rests on another test, or the responsible person may have decided what
the tables have no rule for, the engine is asked for the cell itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..core.facts import Facts, Side, Weld
from ..core.findings import Verdict
from ..core.values import Absent
from ..tabular.edition import Edition
from .by_name import names_several
from .coverage import cover_whole
from .distinct import CLASH, DistinctLimits, Interned
from .joining import Joins
from .ranges import LineRange, TestRange, rules_of
from .said import Binding, reads
from .together import Corners, Together, is_one_piece

Verdicts = npt.NDArray[np.int8]
Mask = npt.NDArray[np.bool_]
COVERED, NO_RULE, UNKNOWN, NOT_COVERED = (
    np.int8(Verdict.COVERED),
    np.int8(Verdict.NO_RULE),
    np.int8(Verdict.UNKNOWN),
    np.int8(Verdict.NOT_COVERED),
)
FAR = np.iinfo(np.int32).max
NO_OTHER_TEST = {"root_on_other_test": frozenset({"no"})}


@dataclass(frozen=True)
class Answers:
    """Verdict of each process line of each weld under each set of tests."""

    lines: Verdicts
    """A row for each line of each weld in order, a column for each set."""
    starts: npt.NDArray[np.int64]
    """Where the lines of each weld begin."""
    asked_alone: int
    """How many cells the engine was asked for one by one."""

    @property
    def welds(self) -> Verdicts:
        """The worst line of each weld; a weld without a line is unknown."""
        if not len(self.starts):
            return np.empty((0, self.lines.shape[1]), np.int8)
        counts = np.diff(np.append(self.starts, len(self.lines)))
        found = np.full((len(self.starts), self.lines.shape[1]), UNKNOWN, np.int8)
        some = counts > 0
        if some.any():
            found[some] = np.maximum.reduceat(self.lines, self.starts[some], axis=0)
        return found


def answers_at_once(
    welds: Sequence[Weld], sets: Sequence[Sequence[TestRange]], edition: Edition, side: Side
) -> Answers:
    """The verdicts of `cover_whole` for every weld, grouped and derived, under every set of tests."""
    different = Interned[Weld]()
    which = [different.of(id(weld), weld) for weld in welds]
    found, alone = _of_different(different.kept, sets, edition, side)
    lines = [found[n] for n in which]
    starts = np.cumsum([0, *(len(weld.lines) for weld in welds)])[:-1]
    return Answers(np.concatenate(lines) if lines else np.empty((0, len(sets)), np.int8), starts, alone)


def _of_different(
    welds: Sequence[Weld], sets: Sequence[Sequence[TestRange]], edition: Edition, side: Side
) -> tuple[list[Verdicts], int]:
    """A block for each weld, a row for each of its lines, and how many cells were asked one by one."""
    if not rules_of(edition, side):
        blocks = [np.full((len(weld.lines), len(sets)), NO_RULE, np.int8) for weld in welds]
        return blocks, 0
    facts = [_asked(weld.line_facts(line)) for weld in welds for line in range(len(weld.lines))]
    tests, columns = Interned[LineRange](), Interned[tuple[int, ...]]()
    first: list[Sequence[TestRange]] = []
    which = []
    for ranges in sets:
        column = tuple(tests.of(line.says, line) for tested in ranges for line in tested.lines)
        which.append(columns.of((column, _by_record(ranges)), column))
        if len(first) < len(columns.kept):
            first.append(ranges)
    table = _Table(facts, tests.kept, Joins.of(edition, side), has_decisions=bool(edition.decisions))
    under = [table.under(column) for column in columns.kept]
    shape = (len(facts), len(under))
    found = np.stack([verdicts for verdicts, _ in under], 1) if under else np.empty(shape, np.int8)
    open_ones = np.stack([mask for _, mask in under], 1) if under else np.empty(shape, bool)
    blocks, start, alone = [], 0, 0
    for weld in welds:
        block = slice(start, start + len(weld.lines))
        start = block.stop
        ask = open_ones[block].any(axis=0) | _root_may_rest(weld, found[block], open_ones[block])
        for at in np.flatnonzero(ask).tolist():
            if _has_no_other(first[at]) and not open_ones[block, at].any():
                continue
            report = cover_whole(weld, first[at], edition, side)
            found[block, at] = [line.verdict for line in report.lines]
            alone += 1
        blocks.append(found[block][:, which])
    return blocks, alone


def _by_record(ranges: Sequence[TestRange]) -> tuple[tuple[int, int], ...]:
    """Which lines are of one record: a root may rest on another record only."""
    names = [tested.record for tested in ranges]
    return tuple((names.index(tested.record), len(tested.lines)) for tested in ranges)


def _has_no_other(ranges: Sequence[TestRange]) -> bool:
    return sum(bool(tested.lines) for tested in ranges) < 2


def _asked(facts: Facts) -> Facts:
    return facts if "root_on_other_test" in facts else facts.including(NO_OTHER_TEST)


def _root_may_rest(weld: Weld, found: Verdicts, open_ones: Mask) -> Mask:
    """Sets under which a root is not covered while the rest of the joint, laid by another process, is or may
    yet be: other tests than its own may then carry the rest."""
    fine, asked = (found <= COVERED) | open_ones, np.zeros(found.shape[1], bool)
    for line in range(len(weld.lines)):
        facts, others = weld.line_facts(line), [n for n in range(len(weld.lines)) if n != line]
        if facts.is_only("part_of_joint", "root") and any(
            weld.lines[n]["process"] != facts["process"] for n in others
        ):
            asked |= (found[line] > COVERED) & fine[others].all(axis=0)
    return asked


class _Table:
    """Every distinct line of the welds against every distinct tested line, each test on its own."""

    def __init__(
        self, facts: Sequence[Facts], tests: Sequence[LineRange], joins: Joins, *, has_decisions: bool
    ) -> None:
        self.size, self.joins, self.has_decisions = len(facts), joins, has_decisions
        processes = [each["process"] for each in facts]
        self.without_process = np.array([isinstance(each, Absent) for each in processes], bool)
        self.fits = np.array(
            [
                [isinstance(p, frozenset) and bool(p) and p <= test.stands_for for p in processes]
                for test in tests
            ],
            bool,
        ).reshape(len(tests), self.size)
        self.worst = np.full((len(tests), self.size), UNKNOWN, np.int8)
        self.distance = np.zeros((len(tests), self.size), np.int32)
        self.stuck = np.zeros((len(tests), self.size), np.int8)
        self.without_rule = np.zeros((len(tests), self.size), bool)
        self._judge(facts, tests)
        self.together = Together(facts, tests, joins, self.limits, self.fits)
        self.one_piece = np.array([is_one_piece(each, joins) for each in facts], bool)
        self.corners = Corners(facts, tests, joins, self.fits)
        self.of_several = np.array([names_several(each) for each in facts], bool)
        """Lines whose box has corners no weld is at."""

    def _judge(self, facts: Sequence[Facts], tests: Sequence[LineRange]) -> None:
        binding = [test.binding for test in tests]
        limits = self.limits = DistinctLimits(
            facts, {limit.says: limit for line in binding for limit in line}
        )
        stuck = {says: self._is_stuck(limits.limit(says)) for says in limits}
        for number, line in enumerate(binding):
            if not line:
                continue
            rows = limits.verdicts([limit.says for limit in line])
            self.worst[number] = rows.max(axis=0)
            self.without_rule[number] = self.has_decisions & (rows == NO_RULE).any(axis=0)
            open_ones = ((rows > COVERED) & (rows < NOT_COVERED)).sum(axis=0)
            refused = (rows == NOT_COVERED).sum(axis=0)
            self.distance[number] = (1024 * refused + open_ones) * 8 + self.worst[number]
            fixed = [n for n, limit in enumerate(line) if stuck[limit.says]]
            if fixed:
                self.stuck[number] = rows[fixed].max(axis=0)

    def _is_stuck(self, binding: Binding) -> bool:
        """True of a limit that says the same of every part of a box, and that no other test can help out."""
        free = self.joins.along | self.joins.apart | self.joins.mixes
        return binding.variable not in free and not self.joins.along & set(reads(binding.limit))

    def under(self, column: Sequence[int]) -> tuple[Verdicts, Mask]:
        """Verdict of each line under one set of tests, none joined, and where joining might better it."""
        found = np.where(self.without_process, UNKNOWN, NOT_COVERED).astype(np.int8)
        covered, closest = np.zeros(self.size, bool), np.full(self.size, FAR, np.int32)
        clash, decided, no_rule = (np.zeros(self.size, bool) for _ in range(3))
        fitting, at_best, at_worst = (np.zeros(self.size, np.int16) for _ in range(3))
        for test in column:
            fits, worst = self.fits[test], self.worst[test]
            clash |= fits & (worst == CLASH)
            decided |= fits & self.without_rule[test]
            no_rule |= fits & (worst == NO_RULE)
            first = fits & ~covered & (worst <= COVERED)
            nearer = fits & ~covered & ~first & (self.distance[test] < closest)
            found = np.where(first | nearer, worst, found)
            closest = np.where(nearer, self.distance[test], closest)
            covered |= first
            fitting += fits
            at_best += fits & (self.stuck[test] <= COVERED)
            at_worst += fits & (self.stuck[test] <= UNKNOWN)
        helped = np.where(found >= UNKNOWN, at_worst, at_best) >= 1
        may_join = (fitting >= 1) & helped & ~covered
        for level, here in ((UNKNOWN, found >= UNKNOWN), (COVERED, found < UNKNOWN)):
            asked = may_join & here
            if asked.any():
                may_join &= ~(asked & self._is_ruled_out(column, level, asked))
        # Of tests that leave a line open joining names the first, which need not be the closest.
        return found, clash | (~covered & (may_join | ((found == UNKNOWN) & no_rule) | decided))

    def _is_ruled_out(self, column: Sequence[int], level: np.int8, asked: Mask) -> Mask:
        """Lines that the tests cannot cover together: of one that cannot be cut they would have to share it
        as a whole, of any other each corner has to be covered by one of them or be shared."""
        whole = self.one_piece & asked
        found = whole & ~self.together.may_share(column, level) if whole.any() else whole
        divided = asked & ~self.one_piece & ~self.of_several
        return found | self.corners.rule_out(divided, column, level) if divided.any() else found
