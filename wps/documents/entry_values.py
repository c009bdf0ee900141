"""One entry of a record as papers print it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from qualification.rules.entries.settings_rows import KEY as BY_SIZE
from qualification.rules.variables.definition import ValueKind
from qualification.rules.variables.registry import registry

IN_TWO_UNITS = re.compile(r"^(?P<first>.*?) \((?P<other>[^()]*)\)$")
UNIT_SPELLINGS = frozenset(
    "in inch mm cm m ft ipm fpm od a v hz deg f c k cfh scfh l lpm min kj j mpm to s".split()  # noqa: SIM905
)
SHORT = 24
"""Letters of a value that no line breaks."""
WORDS_AND_NUMBERS = re.compile(r"[^\W\d_]+|\d+")


@dataclass(frozen=True)
class Value:
    """What is printed of an entry: its words, the other unit smaller, and what was typed where the words do
    not repeat it."""

    text: str
    other: str = ""
    typed: str = ""
    is_written: bool = field(default=False, compare=False)
    """True where the text is what somebody wrote, which no language changes. The side that is the `same` as
    another says the same as that one, and nobody wrote it."""

    @property
    def is_short(self) -> bool:
        """Whether it stands on one line, number and unit together."""
        return len(self.text) <= SHORT and not self.typed


WRITTEN = frozenset((ValueKind.TEXT, ValueKind.METAL, ValueKind.FILLER, ValueKind.DESIGNATION))


def is_written(row: Mapping[str, Any]) -> bool:
    """Whether the words of an entry are those that were typed."""
    variable = registry().get(row.get("key", ""))
    is_of_words = variable is not None and variable.kind in WRITTEN and variable.key != BY_SIZE
    return is_of_words and row["state"] == "stated" and row["words"] == row["typed"]


def value_of(row: Mapping[str, Any]) -> Value:
    """An entry as it is printed. What cannot be read stands as it was typed, with what is wrong behind it."""
    words, typed = row["words"], row["typed"]
    if row["state"] == "unread":
        return Value(words, typed=typed)
    kept = typed if row["is_read"] or row["is_number"] else ""
    if _repeats(words, kept):
        kept = ""
    match = IN_TWO_UNITS.match(words) if row["is_number"] else None
    if match:
        return Value(match["first"], match["other"], kept)
    return Value(words, typed=kept, is_written=is_written(row))


def _repeats(words: str, typed: str) -> bool:
    """Whether words say all that was typed: a trade size such as NPS 2 is not said by its diameter."""
    said = set(WORDS_AND_NUMBERS.findall(words.casefold()))
    new = {each for each in WORDS_AND_NUMBERS.findall(typed.casefold()) if each not in said}
    return typed.casefold() in ("same", "none") or new <= UNIT_SPELLINGS
