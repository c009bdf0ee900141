"""The next number in a shop's own series."""

from __future__ import annotations

from collections.abc import Iterable


def next_number(taken: Iterable[str], first: str) -> str:
    """The number after the highest of the series that was used last: `W-009` after `W-008`, however the shop
    writes its numbers. `first` where there is none to continue."""
    numbers = list(taken)
    counted = [
        (number.removesuffix(digits), int(digits), len(digits))
        for number in numbers
        if (digits := _digits_behind(number))
    ]
    if not counted:
        return first
    series = counted[-1][0]
    highest, width = max((count, width) for prefix, count, width in counted if prefix == series)
    return f"{series}{highest + 1:0{width}d}"


def _digits_behind(number: str) -> str:
    return number[len(number.rstrip("0123456789")) :]
