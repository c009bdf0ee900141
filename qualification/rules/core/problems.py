"""A problem with what was typed: which field, and what to do about it. Not a verdict of a code."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    key: str
    """Variable the message belongs to."""
    message: str
    """What is wrong with the entry and how to put it right."""
    line: int | None = None
    """Process line, counted from 0; `None` for the joint."""
