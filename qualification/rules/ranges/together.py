"""What several tests cannot cover together, told for many lines at once, so that joining is only looked for
where it may be found.

Nothing here says that tests cover a line; that is for `joining.py`. It says where they do not: where a weld
that lies in the box, at one of its corners, is neither inside one of them nor shared by several.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod

import numpy as np
import numpy.typing as npt

from ..core.facts import Facts
from ..core.values import Interval, Stated
from ..entries.derive import ALIKE, THICKNESSES
from ..variables.limits import Condition
from .distinct import DistinctLimits
from .joining import MOST_CELLS, MOST_WORK, Joins, is_divisible, is_of_toughness, share_of
from .ranges import LineRange

Verdicts = npt.NDArray[np.int8]
Mask = npt.NDArray[np.bool_]
Share = tuple[str, str]


def is_one_piece(facts: Facts, joins: Joins) -> bool:
    """True of a line that cannot be cut."""
    return not any(is_divisible(facts[key]) for key in joins.along)


@dataclass(frozen=True)
class _Test:
    """One tested line over all lines of the welds."""

    fits: Mask
    worst: Verdicts
    beside_apart: Verdicts
    """The worst of the limits that no other test can bring."""
    beside_mixes: Verdicts
    """The worst of all limits but those on pairs of groups."""
    shares: dict[Share, Verdicts]
    """The worst of what has to come from one test as a whole."""


class Together:
    """Which lines some tests may share, each bringing a part of what the coupon's thickness decides."""

    def __init__(
        self,
        facts: Sequence[Facts],
        tests: Sequence[LineRange],
        joins: Joins,
        limits: DistinctLimits,
        fits: Mask,
    ) -> None:
        self.size, self._tests, self._joins = len(facts), tests, joins
        self._limits, self._fits = limits, fits
        self._read: dict[int, _Test | None] = {}

    def may_share(self, column: Sequence[int], level: np.int8) -> Mask:
        """Lines that the tests may share with no verdict worse than `level`: as `joining.py` shares a part,
        without looking which tests of the same content stand for one another."""
        tests = [test for number in column if (test := self._test(number)) is not None]
        found = np.zeros(self.size, bool)
        if self._joins.apart:
            found |= self._may_split(tests, level)
        if self._joins.mixes:
            halves = [test.fits & (test.beside_mixes <= level) for test in tests]
            found |= np.sum(halves, axis=0) >= 2 if halves else False
        return found

    def alone(self, column: Sequence[int], level: np.int8) -> Mask:
        """Lines inside one of the tests with no verdict worse than `level`."""
        found = np.zeros(self.size, bool)
        for number in column:
            if (test := self._test(number)) is not None:
                found |= test.fits & (test.worst <= level)
        return found

    def _may_split(self, tests: Sequence[_Test], level: np.int8) -> Mask:
        agreeing = [test.fits & (test.beside_apart <= level) for test in tests]
        enough = np.sum(agreeing, axis=0) >= 2 if agreeing else np.zeros(self.size, bool)
        keys = sorted({key for test in tests for key in test.shares})
        while enough.any():
            lacking: dict[Share, Mask] = {}
            for key in keys:
                wanted, able = np.zeros(self.size, bool), np.zeros(self.size, bool)
                for test, here in zip(tests, agreeing, strict=True):
                    if key in test.shares:
                        wanted |= here
                        able |= here & (test.shares[key] <= level)
                    elif is_of_toughness(key):
                        able |= here
                lacking[key] = wanted & ~able
            if not any(mask.any() for mask in lacking.values()):
                break
            for n, test in enumerate(tests):
                for key in test.shares:
                    agreeing[n] = agreeing[n] & ~lacking[key]
        asks = [here for test, here in zip(tests, agreeing, strict=True) if test.shares]
        return enough & (np.any(asks, axis=0) if asks else False)

    def _test(self, number: int) -> _Test | None:
        if number not in self._read:
            self._read[number] = self._judged(number)
        return self._read[number]

    def _judged(self, number: int) -> _Test | None:
        binding = self._tests[number].binding
        if not binding:
            return None  # it says nothing that binds, and covers nothing
        rows = self._limits.verdicts([limit.says for limit in binding])
        own = [limit.variable not in self._joins.apart for limit in binding]
        unmixed = [limit.variable not in self._joins.mixes for limit in binding]
        shares: dict[Share, Verdicts] = {}
        for limit, row in zip(binding, rows, strict=True):
            if limit.variable in self._joins.apart:
                key = share_of(limit.limit)
                shares[key] = np.maximum(shares[key], row) if key in shares else row
        nothing = np.zeros(self.size, np.int8)
        return _Test(
            self._fits[number],
            rows.max(axis=0),
            rows[own].max(axis=0) if any(own) else nothing,
            rows[unmixed].max(axis=0) if any(unmixed) else nothing,
            shares,
        )


class Corners:
    """The lines that can be cut, each narrowed to its lowest and to its highest values: welds that lie in it,
    so that whatever covers the line covers them."""

    def __init__(self, facts: Sequence[Facts], tests: Sequence[LineRange], joins: Joins, fits: Mask) -> None:
        self._facts, self._tests, self._joins, self._fits = facts, tests, joins, fits
        self._drawn: dict[tuple[int, str], int] = {}

    def rule_out(self, lines: Mask, column: Sequence[int], level: np.int8) -> Mask:
        """Those of the lines that have a corner which the tests do not cover together. A box that could fall
        into more parts than are looked at is left alone: of that one the answer is unknown."""
        found = np.zeros(len(self._facts), bool)
        if not self._of.size:
            return found
        covered = self._together.alone(column, level) | self._together.may_share(column, level)
        for line in np.unique(self._of[~covered & lines[self._of]]).tolist():
            found[line] = self._is_small(line, column)
        return found

    @cached_property
    def _cuttable(self) -> list[tuple[str, ...]]:
        return [tuple(sorted(k for k in self._joins.along if is_divisible(f[k]))) for f in self._facts]

    @cached_property
    def _made(self) -> tuple[list[Facts], npt.NDArray[np.int64]]:
        corners, of = [], []
        for line, (facts, keys) in enumerate(zip(self._facts, self._cuttable, strict=True)):
            if not keys or not _is_free(facts, keys):
                continue
            for end in (0, 1):
                values = {key: _end(facts[key], end) for key in keys}
                if all(value is not None for value in values.values()):
                    corners.append(facts.including({k: v for k, v in values.items() if v is not None}))
                    of.append(line)
        return corners, np.array(of, np.int64)

    @property
    def _of(self) -> npt.NDArray[np.int64]:
        return self._made[1]

    @cached_property
    def _together(self) -> Together:
        corners, of = self._made
        limits = DistinctLimits(corners, {b.says: b for test in self._tests for b in test.binding})
        return Together(corners, self._tests, self._joins, limits, self._fits[:, of])

    def _is_small(self, line: int, column: Sequence[int]) -> bool:
        """True of a box that joining can look through whole, however it cuts it."""
        steps = []
        for key in self._cuttable[line]:
            value = self._facts[line][key]
            drawn = sum(self._times_drawn(test, key) for test in column)
            steps.append(len(value) if isinstance(value, frozenset) else 4 * drawn + 1)
        looks = 2 * prod(steps)
        size = sum(len(self._tests[test].binding) for test in column)
        return looks < MOST_CELLS and looks * (3 * size + 20 * len(column)) < MOST_WORK

    def _times_drawn(self, test: int, key: str) -> int:
        """How often the limits of a test, or their conditions, name a variable; each draws two ends at
        most."""
        if (test, key) not in self._drawn:
            said: list[Condition] = [
                condition
                for each in self._tests[test].binding
                for condition in (
                    Condition(each.variable, each.limit.allowed),
                    *each.limit.when,
                    *(c for exemption in each.limit.unless for c in exemption),
                )
            ]
            self._drawn[test, key] = sum(each.variable == key for each in said)
        return self._drawn[test, key]


def _is_free(facts: Facts, keys: Sequence[str]) -> bool:
    """True where all lowest values go together, and all highest: sides of a joint are bound to each other."""
    sides = [key for key in keys if key in THICKNESSES]
    return not sides or (len(sides) == 1 and not facts.is_only(ALIKE, "yes"))


def _end(value: Stated, end: int) -> Stated | None:
    """The lowest or the highest of a value; `None` for an end that is open, which lies outside it."""
    if isinstance(value, frozenset):
        return frozenset({sorted(value)[-end]})
    assert isinstance(value, Interval)
    bound, is_open = ((value.low, value.low_open), (value.high, value.high_open))[end]
    return None if bound is None or is_open else Interval.point(bound)
