"""What an entry is as it is stored: one text, or several where several choices are claimed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Entry = str | Sequence[str]
Entries = Mapping[str, Entry]
LONGEST = 400
"""Characters an entry may have; no reader is asked about a longer one."""


def pieces(entry: Entry) -> list[str]:
    """The texts of an entry that may hold several choices, blanks left out; none for one that is too long to
    be read."""
    if len(entry if isinstance(entry, str) else "".join(entry)) > LONGEST:
        return []
    texts = entry.split(";") if isinstance(entry, str) else entry
    return [text.strip() for text in texts if text.strip()]
