"""JSON from a file somebody brought, read within limits: what goes beyond them is refused in words."""

from __future__ import annotations

import json
from typing import Any

LARGEST = 20_000_000
"""Bytes of JSON."""
DEEPEST = 60
"""Lists and objects within one another; records have about ten."""
LONGEST_NUMBER = 40
"""Digits of a number."""
MOST_VALUES = 2_000_000


class NotBounded(ValueError):
    """The JSON is none, or goes beyond a limit; the message says which, as the rest of “it ...”."""


def read_json(content: bytes) -> Any:
    """The value. Raises NotBounded; nothing else, whatever the bytes are."""
    if len(content) > LARGEST:
        raise NotBounded(f"has more than {LARGEST // 1_000_000} MB")
    try:
        found = json.loads(
            content.decode("utf-8"),
            parse_int=_whole,
            parse_float=_number,
            parse_constant=_no_constant,
        )
    except NotBounded:
        raise
    except RecursionError as error:
        raise NotBounded(f"is nested deeper than {DEEPEST} levels") from error
    except ValueError as error:
        raise NotBounded("is not JSON") from error
    _look_through(found)
    return found


def _whole(text: str) -> int:
    if len(text) > LONGEST_NUMBER:
        raise NotBounded(f"has a number of {len(text)} digits")
    return int(text)


def _number(text: str) -> float:
    if len(text) > LONGEST_NUMBER:
        raise NotBounded(f"has a number of {len(text)} digits")
    found = float(text)
    if found in (float("inf"), float("-inf")):
        raise NotBounded("has a number too large to be read")
    return found


def _no_constant(text: str) -> float:
    raise NotBounded(f"has {text} in place of a number")


def _look_through(found: Any) -> None:
    """Level by level, so that nesting costs no stack."""
    level, count = [found], 0
    for _ in range(DEEPEST):
        if not level:
            return
        count += len(level)
        if count > MOST_VALUES:
            raise NotBounded(f"has more than {MOST_VALUES} values")
        below: list[Any] = []
        for each in level:
            if isinstance(each, str):
                _look_at_text(each)
            elif isinstance(each, list):
                below += each
            elif isinstance(each, dict):
                below += each.keys()
                below += each.values()
        level = below
    if level:
        raise NotBounded(f"is nested deeper than {DEEPEST} levels")


def _look_at_text(text: str) -> None:
    if "\x00" in text:
        raise NotBounded("has a character in a text that no text can have")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise NotBounded("has half a character in a text") from error
