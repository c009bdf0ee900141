"""Each regular expression takes time in proportion to the text, also on texts made to be hard for it."""

from __future__ import annotations

import re
from time import process_time

import pytest

from tests.inputs.patterns import Found, every_pattern, hard_texts

LENGTHS = (8, 12, 16, 20, 24, 28, 32, 64, 128, 256, 512, 1024, 2048, 4096, 8192)
LONG_ENOUGH = 0.004
"""Seconds that a clock of processor time measures well. What takes less at the greatest length, twice what an
entry may have, has not grown by the square of it: that would take seconds."""


def _seconds(found: Found, text: str) -> float:
    began = process_time()
    found.run(text)
    return process_time() - began


def _more_than_twice(found: Found, half: str, whole: str) -> float:
    """How many times as long the text of twice the length takes; zero where that is in proportion."""
    pairs = [(_seconds(found, half), _seconds(found, whole)) for _ in range(4)]
    once, twice = (min(column) for column in zip(*pairs, strict=True))
    times = twice / max(once, 1e-6)
    return times if twice >= LONG_ENOUGH and times > 2.9 else 0.0


def grows(found: Found) -> str:
    """What makes the pattern take more than in proportion, empty where nothing does."""
    for start, pump, end in hard_texts(found):
        for length in LENGTHS:
            half, whole = (start + pump * (count // len(pump) + 1) + end for count in (length // 2, length))
            if _seconds(found, whole) < LONG_ENOUGH:
                continue
            # Other programs slow a stretch of seconds down: what grows does so each time one looks.
            times = [_more_than_twice(found, half, whole) for _ in range(3)]
            if all(times):
                return f"{pump!r} × {length} behind {start!r}: {min(times):.1f} times as long"
    return ""


@pytest.mark.parametrize("pattern", [r"\d+x", r"(\d+)*x", r".*?(\d+)x", r"\(\s*([^)]+?)\s*\)"])
def test_patterns_that_grow_are_found(pattern: str) -> None:
    assert grows(Found("here", re.compile(pattern), "search"))


@pytest.mark.parametrize("pattern", [r"(?<!\d)\d++x?", r"[A-Z]{1,8}", r"a,b"])
def test_patterns_that_do_not_grow_are_not(pattern: str) -> None:
    assert not grows(Found("here", re.compile(pattern), "search"))


def test_every_pattern_takes_time_in_proportion_to_the_text() -> None:
    found = every_pattern()
    assert len(found) > 90
    growing = {f"{each.where} ({each.method})": why for each in found if (why := grows(each))}
    assert not growing, "\n".join(f"{where}: {why}" for where, why in growing.items())
