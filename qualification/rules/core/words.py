"""Small turns of language that need to know nothing of what is said."""

from __future__ import annotations

from collections.abc import Sequence


def within_sentence(label: str) -> str:
    """A label in the middle of a sentence: `included angle`, but `F-Number` and `PWHT temperature` as they
    are."""
    return label[:1].lower() + label[1:] if label[1:2].islower() else label


def said_together(words: Sequence[str]) -> str:
    """`one`, `one and two`, `one, two and three`; empty for none."""
    *before, last = words or ("",)
    return f"{', '.join(before)} and {last}" if before else last
