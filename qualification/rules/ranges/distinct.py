"""Distinct limits against distinct values: what the engine says of each pair, spread over many welds.

A verdict of a limit depends on the value of its own variable and on whether the limit speaks; that in turn on
the values its conditions read. Both are asked of the limit itself, once for each combination that occurs.
Numbers against an interval are sorted into inside and outside by the places of all ends in one order, which
is exact; the engine then says what inside and outside amount to.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Generic, TypeVar

import numpy as np
import numpy.typing as npt

from ..core.facts import Facts
from ..core.values import NOT_APPLICABLE, Absent, Interval, Stated
from ..variables.absence import has_none
from ..variables.limits import Condition, Limit, Truth
from .said import Binding, reads

Item = TypeVar("Item")
Places = npt.NDArray[np.int64]
Gate = tuple[npt.NDArray[np.int8], tuple[int, ...]]
"""Whether a limit speaks of each weld, and the answers that occur."""
OPEN_END = np.int64(1 << 40)
NOBODY = "nobody states this"
CLASH = np.int8(127)
"""A value of a shape that the limit cannot be held against: left to the engine, which says so."""
FEW = 24
"""Up to so many different numbers it is quicker to ask the engine for each."""


class Interned(Generic[Item]):
    """Equal things under one number, in the order they came."""

    def __init__(self) -> None:
        self.kept: list[Item] = []
        self._numbers: dict[Hashable, int] = {}

    def of(self, key: Hashable, item: Item) -> int:
        number = self._numbers.setdefault(key, len(self.kept))
        if number == len(self.kept):
            self.kept.append(item)
        return number


class Column:
    """One variable over all welds: its distinct values, and which of them each weld has."""

    def __init__(self, facts: Sequence[Facts], key: str) -> None:
        numbers: dict[Stated, int] = {}
        ids = [numbers.setdefault(each[key], len(numbers)) for each in facts]
        self.ids: Places = np.array(ids, np.int64)
        self.values = list(numbers)
        self._facts, self._key = facts, key
        self._ends: dict[object, int] = {}
        self._low: Places | None = None

    @cached_property
    def telling(self) -> Places:
        """As `ids`, with a number of its own for `n/a` where other entries say that the weld has none."""
        marked = self.values.index(NOT_APPLICABLE) if NOT_APPLICABLE in self.values else -1
        found = self.ids.copy()
        for n in np.flatnonzero(found == marked).tolist():
            if has_none(self._key, self._facts[n]):
                found[n] = len(self.values)
        return found

    def inside(self, allowed: Interval) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
        """Which of the distinct values are numbers, and which of those lie within."""
        if self._low is None:
            self._low, self._high = self._places()
        low, high = self._place(allowed, low=True), self._place(allowed, low=False)
        return self._numbers, (self._low >= low) & (self._high <= high)

    def _places(self) -> tuple[Places, Places]:
        spans = [value if isinstance(value, Interval) else None for value in self.values]
        self._numbers = np.array([span is not None for span in spans], bool)
        self._sorted = sorted(
            {end for span in spans if span for end in (span.low, span.high) if end is not None}
        )
        self._ends = {end: 4 * n for n, end in enumerate(self._sorted)}
        low = [self._place(span, low=True) if span else 0 for span in spans]
        high = [self._place(span, low=False) if span else 0 for span in spans]
        return np.array(low, np.int64), np.array(high, np.int64)

    def _place(self, span: Interval, *, low: bool) -> int:
        """The place of an end in the order of all ends of the column: an open end lies just inside it, an end
        between two places between them."""
        end, is_open = (span.low, span.low_open) if low else (span.high, span.high_open)
        if end is None:
            return int(-OPEN_END if low else OPEN_END)
        place = self._ends.get(end)
        if place is None:
            # Nothing of the column stands between two of its ends, so open or not is the same.
            return 4 * bisect_left(self._sorted, end) - 2
        return place + (1 if low else -1) * is_open


class DistinctLimits:
    """The verdicts of distinct limits over all welds, each worked out when it is first wanted."""

    def __init__(self, facts: Sequence[Facts], limits: Mapping[Hashable, Binding]) -> None:
        self._facts, self._limits = facts, limits
        self._columns: dict[str, Column] = {}
        self._speaks: dict[Hashable, Gate] = {}
        self._cores: dict[Hashable, _Core] = {}
        self._rows: dict[Hashable, npt.NDArray[np.int8]] = {}

    def __iter__(self) -> Iterator[Hashable]:
        return iter(self._limits)

    def limit(self, says: Hashable) -> Binding:
        return self._limits[says]

    def verdicts(self, wanted: Sequence[Hashable]) -> npt.NDArray[np.int8]:
        """A row for each of the limits, a column for each weld."""
        return np.stack([self._row(says) for says in wanted])

    def _row(self, says: Hashable) -> npt.NDArray[np.int8]:
        if says not in self._rows:
            binding = self._limits[says]
            limit, column = binding.limit, self._column(binding.variable)
            core = self._core(binding, column)
            speaks, present = self._gate(limit)
            core.answer(present)
            self._rows[says] = core.verdicts[speaks, column.ids]
        return self._rows[says]

    def _core(self, binding: Binding, column: Column) -> _Core:
        if binding.core not in self._cores:
            self._cores[binding.core] = _Core(binding.limit, column)
        return self._cores[binding.core]

    def _column(self, key: str) -> Column:
        if key not in self._columns:
            self._columns[key] = Column(self._facts, key)
        return self._columns[key]

    def _gate(self, limit: Limit) -> Gate:
        """Whether the limit speaks of each weld."""
        key = (limit.when, limit.unless)
        if key not in self._speaks:
            self._speaks[key] = self._asked_whether(limit)
        return self._speaks[key]

    def _asked_whether(self, limit: Limit) -> Gate:
        """Asked once for each combination of the values that the conditions read."""
        keys = reads(limit)
        if not keys:
            return np.full(len(self._facts), Truth.YES.value, np.int8), (Truth.YES.value,)
        columns = [self._column(key) for key in keys]
        together = columns[0].telling
        for column in columns[1:]:
            together = together * (len(column.values) + 1) + column.telling
        _, first, back = np.unique(together, return_index=True, return_inverse=True)
        found = [_speaks(limit, self._facts[n]) for n in first]
        return np.array(found, np.int8)[back.reshape(-1)], tuple(dict.fromkeys(found))


def _speaks(limit: Limit, facts: Facts) -> int:
    try:
        return limit.speaks(facts)[0].value
    except TypeError:
        return len(Truth)


class _Core:
    """Verdicts of a limit for each distinct value: a row for each of not speaking, perhaps, speaking, and for
    a condition that cannot be held against its value. Only rows that some weld wants are asked for."""

    def __init__(self, limit: Limit, column: Column) -> None:
        self._limit, self._column = limit, column
        self._asked = {len(Truth)}
        self.verdicts = np.full((len(Truth) + 1, len(column.values)), CLASH)

    def answer(self, wanted: Iterable[int]) -> None:
        """Ask for the rows of these truths that were not asked for."""
        for truth in wanted:
            if truth not in self._asked:
                self._asked.add(truth)
                self.verdicts[truth] = _of_values(_made_up(self._limit, Truth(truth)), self._column)


def _of_values(limit: Limit, column: Column) -> npt.NDArray[np.int8]:
    if not isinstance(limit.allowed, Interval) or len(column.values) <= FEW:
        return np.array([_asked(limit, value) for value in column.values], np.int8)
    numbers, inside = column.inside(limit.allowed)
    found = np.empty(len(column.values), np.int8)
    for group in (numbers & inside, numbers & ~inside):
        at = np.flatnonzero(group)
        if len(at):
            found[at] = _asked(limit, column.values[at[0]])
    for n in np.flatnonzero(~numbers):
        found[n] = _asked(limit, column.values[n])
    return found


def _asked(limit: Limit, value: Stated) -> int:
    facts = Facts({} if value is Absent.MISSING else {limit.variable: value})
    try:
        return int(limit.judge(facts).verdict)
    except TypeError:
        return int(CLASH)


def _made_up(limit: Limit, truth: Truth) -> Limit:
    """The limit as it is where it speaks, may speak, or does not."""
    waits = (Condition(NOBODY, frozenset()),)
    return replace(
        limit, when=waits if truth is Truth.UNKNOWN else (), unless=((),) if truth is Truth.NO else ()
    )
