"""A message with named places, found again in a sentence that was made by it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

PLACE = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True)
class Pattern:
    """A message such as `Covered by {TESTS}.`. A place in capitals takes what people wrote and is never told
    in another language; the others hold words that are."""

    literals: tuple[str, ...]
    places: tuple[str, ...]
    said: str
    """The message in the other language, with the same places."""

    @classmethod
    def of(cls, message: str, said: str) -> Pattern:
        parts = PLACE.split(message)
        return cls(tuple(parts[::2]), tuple(parts[1::2]), said)

    @cached_property
    def weight(self) -> int:
        """How much of it is fixed: of two that fit, the one with more says more."""
        return sum(map(len, self.literals))

    def found_in(self, text: str) -> Iterator[dict[str, str]]:
        """What stands in its places, in each way it can be read; nothing in a text of another message."""
        first, last = self.literals[0], self.literals[-1]
        if len(text) <= self.weight or not text.startswith(first) or not text.endswith(last):
            return
        inner, between = text[len(first) : len(text) - len(last)], self.literals[1:-1]
        found = _each_place(inner, between[0]) if len(between) == 1 else _from_both_ends(inner, between)
        yield from (dict(zip(self.places, parts, strict=True)) for parts in found)


def _each_place(text: str, literal: str) -> Iterator[list[str]]:
    """The two sides of a literal wherever it stands, the longest first part before the others: `Backing gas
    flow` is one name."""
    at = text.rfind(literal, 1, len(text) - 1)
    while at > 0:
        yield [text[:at], text[at + len(literal) :]]
        at = text.rfind(literal, 1, at)


def _from_both_ends(text: str, between: tuple[str, ...]) -> Iterator[list[str]]:
    """Read from the left, then from the right where that differs."""
    from_left = _from_left(text, between)
    if from_left is not None:
        yield from_left
        from_right = _from_right(text, between)
        if from_right is not None and from_right != from_left:
            yield from_right


def _from_left(text: str, between: tuple[str, ...]) -> list[str] | None:
    found = []
    for literal in between:
        at = text.find(literal, 1)
        if at < 0:
            return None
        found.append(text[:at])
        text = text[at + len(literal) :]
    return [*found, text] if text else None


def _from_right(text: str, between: tuple[str, ...]) -> list[str] | None:
    found = []
    for literal in reversed(between):
        at = text.rfind(literal, 0, len(text) - 1)
        if at < 0:
            return None
        found.append(text[at + len(literal) :])
        text = text[:at]
    return [text, *reversed(found)] if text else None
