"""What was worked out before, kept by everything it was worked out of, so that nothing stored can make it
stale."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Found = TypeVar("Found")


class Remembered(Generic[Found]):
    """At most so many answers, those asked for last. An answer has to be frozen: it is handed to
    everybody."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[Hashable, Found] = OrderedDict()
        self._lock = Lock()

    def of(self, key: Hashable, work_out: Callable[[], Found]) -> Found:
        """The answer under that key; worked out when it is not at hand."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        found = work_out()
        with self._lock:
            self._kept[key] = found
            while len(self._kept) > self.most:
                self._kept.popitem(last=False)
        return found

    def forget(self) -> None:
        with self._lock:
            self._kept.clear()
