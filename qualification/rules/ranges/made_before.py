"""Limits made before: coupons that are made up for one weld differ in few values, and most rows read none of
those.

What a row says of a tested line turns on the values it reads and on nothing else. So the values read are
noted, and where all of them are the same again, so is the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping

from ..core.facts import Facts
from ..core.values import Stated
from ..variables.limits import Limit

Limits = tuple[Limit, ...]


class Watched(Facts):
    """Facts that note what is read of them."""

    __slots__ = ("is_read_whole", "read")

    def __init__(self, facts: Facts) -> None:
        super().__init__(facts)
        self.read: dict[str, None] = {}
        self.is_read_whole = False

    def __getitem__(self, key: str) -> Stated:
        self.read[key] = None
        return super().__getitem__(key)

    def __contains__(self, key: object) -> bool:
        self.read[str(key)] = None
        return super().__contains__(key)

    def given(self, key: str) -> bool:
        self.read[key] = None
        return super().given(key)

    def __iter__(self) -> Iterator[str]:
        self.is_read_whole = True
        return super().__iter__()

    def __len__(self) -> int:
        self.is_read_whole = True
        return super().__len__()

    def __eq__(self, other: object) -> bool:
        self.is_read_whole = True
        return super().__eq__(other)

    def __hash__(self) -> int:
        self.is_read_whole = True
        return super().__hash__()

    def including(self, more: Mapping[str, Stated]) -> Facts:
        self.is_read_whole = True
        return super().including(more)


class MadeBefore:
    """The limits of each row, by the values that it read. To be kept as long as one question is worked on:
    what a key names has to be all that decides beside the facts."""

    def __init__(self) -> None:
        self._made: dict[Hashable, dict[tuple[str, ...], dict[tuple[Stated, ...], Limits]]] = {}

    def of(self, key: Hashable, facts: Facts, make: Callable[[Facts], Limits]) -> Limits:
        """What `make` says of the facts."""
        by_read = self._made.setdefault(key, {})
        for read, by_values in by_read.items():
            if (found := by_values.get(tuple(facts[each] for each in read))) is not None:
                return found
        watched = Watched(facts)
        made = make(watched)
        if not watched.is_read_whole:
            read = tuple(watched.read)
            by_read.setdefault(read, {})[tuple(facts[each] for each in read)] = made
        return made
