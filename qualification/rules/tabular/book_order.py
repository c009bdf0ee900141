"""The order in which a book has its clauses, so that somebody who turns its pages meets each row in turn."""

from __future__ import annotations

import re

_PIECES = re.compile(r"\d+|[A-Za-z]+")
_HEADING = re.compile(r"\d+ Part [A-Z]|[A-Za-z]*[ -]?\d+(?:\.\d+)?|[A-Za-z]+")
_DOTTED = re.compile(r"(?:QG|QW|QB)-\d+")

Key = tuple[tuple[int, int, str], ...]


def book_order(clause: str) -> Key:
    """Sorts clauses as the book has them: numbers by size (QW-403.9 before QW-403.10), bare numbers before
    words (7.4.2 before Table 2). A row that names several clauses stands at its first."""
    first = clause.split(",")[0]
    return tuple(
        (0, int(piece), "") if piece.isdigit() else (1, 0, piece.casefold())
        for piece in _PIECES.findall(first)
    )


def heading_of(clause: str) -> str:
    """The heading of the book under which a clause stands: `QW-403` of `QW-403.10(a)`, `6.10` of `6.10.3.5`,
    `Table 6.7`, `3 Part D`."""
    first = clause.split(",")[0].strip()
    found = _DOTTED.match(first) or _HEADING.match(first)
    return found[0] if found else first
