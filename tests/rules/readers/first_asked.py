"""Which case noticed which change of a code table, written down so that it is asked first the next time.

The list saves time and decides nothing: a case that notices no longer is followed by all the others, and a
change that is not on the list is looked for among them from the start. `tests/rules/write_first_asked.py`
writes it anew, which takes some minutes and is worth it when the tests of the changes have become slow.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

FILE = Path(__file__).parent.parent / "cases" / "first_asked.json"


def mark(*parts: object) -> str:
    """A short name of one change, which stays when rows are added above it."""
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:8]


@cache
def first_asked() -> Mapping[str, Mapping[str, str]]:
    """By edition and change, the name of the case that noticed it."""
    return json.loads(FILE.read_text(encoding="utf-8"))
