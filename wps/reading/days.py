"""Days as lists write them: `2026-11-28`, `28.11.2026`, `28 Nov 2026`, and `03/04/2026` where the rest of the
column says which comes first."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

_MONTHS = {
    name: number
    for number, name in enumerate(
        ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), start=1
    )
}
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?")
_NUMBERS = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})")
_DAY_NAME = re.compile(r"(\d{1,2})[\s.-]*([A-Za-z]{3})[a-z]*\.?[\s,.-]*(\d{4})")
_NAME_DAY = re.compile(r"([A-Za-z]{3})[a-z]*\.?[\s.-]*(\d{1,2})[\s,.-]+(\d{4})")


class NotADay(ValueError):
    """The text is not one day; the message says how to write it."""


def day_comes_first(texts: Iterable[str]) -> bool | None:
    """Whether the numbers of a column name the day before the month, as far as one of them can only be read
    one way; `None` where none tells, or where they contradict each other."""
    found = set()
    for text in texts:
        parts = _NUMBERS.fullmatch(text.strip())
        if parts and (int(parts[1]) > 12) != (int(parts[3]) > 12):
            found.add(int(parts[1]) > 12)
    return found.pop() if len(found) == 1 else None


def read_day(text: str, day_first: bool | None = None) -> date:
    """The day. Raises NotADay."""
    plain = text.strip()
    try:
        if parts := _ISO.fullmatch(plain):
            return date(int(parts[1]), int(parts[2]), int(parts[3]))
        if parts := _NUMBERS.fullmatch(plain):
            return _of_numbers(plain, int(parts[1]), parts[2], int(parts[3]), parts[4], day_first)
        if parts := _DAY_NAME.fullmatch(plain):
            return date(int(parts[3]), _MONTHS[parts[2].lower()], int(parts[1]))
        if parts := _NAME_DAY.fullmatch(plain):
            return date(int(parts[3]), _MONTHS[parts[1].lower()], int(parts[2]))
    except NotADay:
        raise
    except (ValueError, KeyError) as error:
        raise NotADay(f"“{text}” is not a day of the calendar.") from error
    raise NotADay(f"“{text}” is not a day. Write year, month and day, such as 2026-11-28.")


def _of_numbers(text: str, first: int, sign: str, second: int, year: str, day_first: bool | None) -> date:
    whole = int(year) if len(year) == 4 else 2000 + int(year)
    if sign == ".":
        return date(whole, second, first)
    if first > 12 or second > 12:
        return date(whole, second, first) if first > 12 else date(whole, first, second)
    if first == second:
        return date(whole, first, second)
    if day_first is None:
        one, other = date(whole, second, first), date(whole, first, second)
        raise NotADay(f"“{text}” can be {one} or {other}. Write it as one of them.")
    return date(whole, second, first) if day_first else date(whole, first, second)
