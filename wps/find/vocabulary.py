"""Every word of the records in memory, so that parts of words and close spellings are found quickly."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from string import ascii_lowercase, digits

from rapidfuzz import process
from rapidfuzz.distance import OSA

MOST_SPELLINGS, MOST_CLOSE = 40, 6
SHORTEST_INSIDE, LONG = 3, 7
"""Letters from which a word is found inside another one, and from which two of its letters may be slips."""
_SIGNS = ascii_lowercase + digits + "./"


class Vocabulary:
    """Words in order, and as one text in which parts of words are searched."""

    def __init__(self, words: Iterable[str]) -> None:
        self.words = sorted(words)
        self._known = frozenset(self.words)
        self._letters = [word for word in self.words if word.isalpha()]
        self._text = "\n".join(["", *self.words, ""])

    def containing(self, word: str) -> list[str]:
        """Words that are the one asked for, begin with it or hold it, in this order."""
        found = dict.fromkeys(self._beginning(word))
        if len(word) >= SHORTEST_INSIDE:
            at = self._text.find(word)
            while at >= 0 and len(found) < MOST_SPELLINGS:
                first, last = self._text.rfind("\n", 0, at) + 1, self._text.find("\n", at)
                found[self._text[first:last]] = None
                at = self._text.find(word, last)
        return list(found)

    def _beginning(self, word: str) -> list[str]:
        at = bisect_left(self.words, word)
        near = self.words[at : at + MOST_SPELLINGS]
        return [each for each in near if each.startswith(word)]

    def like(self, word: str) -> list[str]:
        """Words with a letter more, less, another or turned round; two in a long word. The closest first."""
        if len(word) < SHORTEST_INSIDE:
            return []
        if not word.isalpha():
            # A shop has a number for each of its welds, but few words: numbers are looked up, not compared.
            return sorted(each for each in _one_slip(word) if each in self._known)[:MOST_CLOSE]
        most = 1 if len(word) < LONG else 2
        rated = process.extract(word, self._letters, scorer=OSA.distance, score_cutoff=most, limit=MOST_CLOSE)
        return [other for other, _, _ in rated if other != word]


def _one_slip(word: str) -> set[str]:
    """Every spelling one slip away."""
    cuts = [(word[:n], word[n:]) for n in range(len(word) + 1)]
    found = {before + after[1:] for before, after in cuts if after}
    found |= {before + after[1] + after[0] + after[2:] for before, after in cuts if len(after) > 1}
    found |= {before + sign + after[1:] for before, after in cuts if after for sign in _SIGNS}
    found |= {before + sign + after for before, after in cuts for sign in _SIGNS}
    return found - {word, ""}
