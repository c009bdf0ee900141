"""How much work something is: the calls the interpreter makes, which no busy machine makes more of."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

A_SECOND = 4_000_000
"""Calls that an interpreter of today makes in about a second."""


def calls_of(act: Callable[[], object]) -> int:
    """Calls of functions, Python's and built-in ones, while `act` runs."""
    calls = 0

    def count(_frame: FrameType, event: str, _of: Any) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(count)
    try:
        act()
    finally:
        sys.setprofile(before)
    return calls
