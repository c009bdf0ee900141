"""Whose paper a scan is, told by the name of its file: the number of a record, with or without its revision,
and whatever stands around it. A name that fits two numbers, or none, is nobody's."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

SUFFIX = re.compile(r"\.(pdf|png|jpe?g)$", re.IGNORECASE)
BETWEEN = re.compile(r"[\s_\-\u2010-\u2015\u2212/\\:*?\"<>|]+")
"""Signs that do not matter: blanks, strokes, and those that no file name can have."""
REVISION = re.compile(r"(?:revision|rev|r)[\s._-]*\d{1,3}(?![^\W_])")


def bare(text: str) -> str:
    """The letters and digits that make a number the same however it is written."""
    return BETWEEN.sub("", unicodedata.normalize("NFKC", text).casefold())


class Numbers:
    """The numbers that names of files are held against."""

    def __init__(self, numbers: Iterable[str]) -> None:
        self.by_bare: dict[str, set[str]] = {}
        for number in numbers:
            if key := bare(number):
                self.by_bare.setdefault(key, set()).add(number)

    def fitting(self, filename: str) -> list[str]:
        """The numbers that the name fits: one where it is plain whose it is. Where one stands inside a longer
        one, the longer is meant."""
        found = [
            (start, end, numbers)
            for start, end, part in _parts(SUFFIX.sub("", filename))
            if (numbers := self.by_bare.get(bare(part)))
        ]
        kept = [
            (start, end, numbers)
            for start, end, numbers in found
            if not any(
                other_start < end and start < other_end and other_end - other_start > end - start
                for other_start, other_end, _ in found
            )
        ]
        return sorted({number for _, _, numbers in kept for number in numbers})


def _parts(name: str) -> Iterator[tuple[int, int, str]]:
    """Every part of the name that could be a whole number, with where it stands."""
    text = unicodedata.normalize("NFKC", name).casefold()
    places = range(len(text) + 1)
    starts = [at for at in places[:-1] if not BETWEEN.match(text[at]) and _parts_at(text, at)]
    ends = [at for at in places[1:] if not BETWEEN.match(text[at - 1]) and _ends_at(text, at)]
    return ((start, end, text[start:end]) for start in starts for end in ends if start < end)


def _parts_at(text: str, at: int) -> bool:
    """Whether one word ends and another may begin there; a decimal point does not end one."""
    if at in (0, len(text)):
        return True
    before, after = text[at - 1], text[at]
    if after == "." or before == ".":
        around = text[at - 1 : at + 2] if after == "." else text[max(0, at - 2) : at + 1]
        return not re.fullmatch(r"\d\.\d", around)
    return not (before.isalnum() and after.isalnum())


def _ends_at(text: str, at: int) -> bool:
    return _parts_at(text, at) or REVISION.match(text, at) is not None
