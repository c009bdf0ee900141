"""What was worked out before, kept by everything it was worked out of, so that nothing stored can make it
stale."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from random import Random
from threading import Lock
from typing import Generic, TypeVar

Found = TypeVar("Found")


class Remembered(Generic[Found]):
    """At most so many answers. An answer has to be frozen: it is handed to everybody.

    Where there is no room the answer to make way is drawn by lot: were it the one asked for longest ago, one
    record more than there is room for, read in order again and again, would find nothing at hand.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: dict[Hashable, Found] = {}
        self._keys: list[Hashable] = []
        self._lot = Random(0)
        self._lock = Lock()

    def of(self, key: Hashable, work_out: Callable[[], Found]) -> Found:
        """The answer under that key; worked out when it is not at hand."""
        with self._lock:
            if key in self._kept:
                return self._kept[key]
        found = work_out()
        with self._lock:
            if key not in self._kept:
                self._make_way(key)
            self._kept[key] = found
        return found

    def at_hand(self, key: Hashable) -> Found | None:
        """The answer under that key, where it is at hand."""
        with self._lock:
            return self._kept.get(key)

    def _make_way(self, key: Hashable) -> None:
        if len(self._keys) < self.most:
            self._keys.append(key)
            return
        place = self._lot.randrange(len(self._keys))
        del self._kept[self._keys[place]]
        self._keys[place] = key

    def forget(self) -> None:
        with self._lock:
            self._kept.clear()
            self._keys.clear()
