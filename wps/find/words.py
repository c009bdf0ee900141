"""Words as they are looked up: small letters without accents; `AL-04` is found as `al04`, `al` and `04`."""

from __future__ import annotations

import re
import unicodedata

LONGEST_WORD = 60
_WORD = re.compile(r"[^\W_]+(?:[-./_][^\W_]+)*")
_APART = re.compile(r"[-._/]")


def words_of(text: str) -> dict[str, None]:
    """The words of a text in their order, each once: whole, without hyphens, and in its parts."""
    found: dict[str, None] = {}
    for match in _WORD.finditer(plain(text)):
        whole = match[0]
        for word in (joined(whole), *(_APART.split(whole) if _APART.search(whole) else ())):
            if word:
                found[word[:LONGEST_WORD]] = None
    return found


def asked_words(text: str) -> list[str]:
    """The words of a search: `AL-04` is one."""
    return list(dict.fromkeys(joined(match[0])[:LONGEST_WORD] for match in _WORD.finditer(plain(text))))


def joined(word: str) -> str:
    """One word without the signs that people leave out; fractions and decimals keep theirs."""
    return word.replace("-", "").replace("_", "")


def plain(text: str) -> str:
    """Small letters without accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in apart if not unicodedata.combining(sign))
