"""One question about a checked file and its answer."""

from __future__ import annotations

from dataclasses import dataclass

GOOD, BAD, OPEN = "covered", "not_covered", "unknown"
"""Shapes of verdicts, as pages show them."""


@dataclass(frozen=True)
class ReportLine:
    """A question, the shape of its answer, and the answer in words."""

    label: str
    verdict: str
    words: str
    details: tuple[str, ...] = ()
