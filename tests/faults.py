"""What a harness finds not to hold."""

from __future__ import annotations

from threading import Lock


class Faults:
    """Sentences, added from any thread; told in the end, or at once where somebody watches a long run."""

    def __init__(self, *, at_once: bool = False) -> None:
        self.said: list[str] = []
        self._at_once, self._lock = at_once, Lock()

    def __len__(self) -> int:
        return len(self.said)

    def add(self, *sentences: str) -> None:
        with self._lock:
            self.said += sentences
        if self._at_once:
            for each in sentences:
                print(f"== {each}", flush=True)

    def told(self) -> int:
        """Print what was not told yet, and how many there are; the status of the command."""
        if not self._at_once:
            for each in sorted(set(self.said)):
                print(f"== {self.said.count(each)} times {each}")
        print(f"faults: {len(self.said) or 'none'}")
        return 1 if self.said else 0
