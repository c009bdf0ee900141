"""What was worked out of the database, kept between requests while nothing it rests on has changed."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Generic, TypeVar

from django.db import connection

from qualification.codes.editions_in_force import is_supposing
from qualification.records.change_marks import mark_of, marks_of_welders

Found = TypeVar("Found")


class AnswerCache(Generic[Found]):
    """At most so many things, those asked for last; all are dropped when anything changes that decides what
    is qualified, or in the `tables` named; changes of those `without` are left out (`change_marks.py`). What
    a key names has to hold all else that the thing depends on, such as the day."""

    def __init__(
        self, most: int, tables: frozenset[str] | None = None, without: frozenset[str] = frozenset()
    ) -> None:
        self.most, self._tables, self._without = most, tables, without
        self._mark: Hashable = None
        self._kept: OrderedDict[Hashable, Found] = OrderedDict()
        self._lock = Lock()

    def of(self, key: Hashable, work_out: Callable[[], Found]) -> Found:
        """The thing under that key; worked out when it is not at hand, or may not be."""
        # The mark is read first: what changes while it is worked out makes it look older than it is.
        mark = None if is_supposing() else mark_of(connection, self._tables, self._without)
        if mark is None:
            return work_out()
        with self._lock:
            if self._mark != mark:
                self._mark = mark
                self._kept.clear()
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        found = work_out()
        with self._lock:
            if self._mark == mark:
                self._kept[key] = found
                while len(self._kept) > self.most:
                    self._kept.popitem(last=False)
        return found

    def forget(self) -> None:
        """Drop everything at hand."""
        with self._lock:
            self._mark = None
            self._kept.clear()


class KeptByWelder(Generic[Found]):
    """As `AnswerCache`, a thing for each welder: a line in the log of one leaves the others be."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[Hashable, tuple[Hashable, dict[int, tuple[str, Found]]]] = OrderedDict()
        self._lock = Lock()

    def of(
        self, key: Hashable, welders: Sequence[int], work_out: Callable[[list[int]], dict[int, Found]]
    ) -> dict[int, Found]:
        """What is at hand for these welders, by their ids; the rest is worked out together."""
        told = None if is_supposing() else marks_of_welders(connection, welders)
        if told is None:
            return work_out(list(welders))
        shared, own = told
        with self._lock:
            mark, at_hand = self._kept.get(key, (None, {}))
        if mark != shared:
            at_hand = {}
        found = {pk: at_hand[pk][1] for pk in welders if pk in at_hand and at_hand[pk][0] == own[pk]}
        if missing := [pk for pk in welders if pk not in found]:
            found |= work_out(missing)
        with self._lock:
            self._kept[key] = (shared, at_hand | {pk: (own[pk], found[pk]) for pk in welders})
            self._kept.move_to_end(key)
            while len(self._kept) > self.most:
                self._kept.popitem(last=False)
        return found

    def forget(self) -> None:
        """Drop everything at hand."""
        with self._lock:
            self._kept.clear()
