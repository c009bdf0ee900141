"""What the program says, in the language of the reader.

Records, snapshots and findings hold English words: they are hashed, compared and derived again, so they may
not change with who reads them. Their words are told in another language when a paper or a page prints them:
the message that made a sentence is found again in it, and what stands in its places is told in turn. What no
message made was typed by somebody, and stays as it is.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from qualification.rules.core.words import within_sentence

from .languages import ENGLISH, language_now
from .neutral import dates, decimals, has_unit, is_neutral, words_of
from .patterns import Pattern

LOCALE = Path(__file__).resolve().parent.parent / "locale"
DOMAIN = "told"
DEEPEST = 8
"""How deep sentences lie in one another at most."""
SENTENCE = re.compile(r"(?<=[.!?]) (?=[A-Z“])")
_untold: ContextVar[set[str] | None] = ContextVar("untold", default=None)

LABEL, CLAUSE = "label", "CLAUSE"
CLAUSE_WORDS = frozenset(
    ("note", "notes", "Note", "Table", "Tables", "table", "tables", "Figure", "figure", "figures", "Part")
    + ("Annex", "Form", "form", "item", "items", "footnote", "and", "to", "of", "bend", "fabrication")
    + ("Qualification", "WPSs", "welder's", *"abcdefgh")
)
"""Words that stand in the numbers of clauses, which no language changes."""
ONE_WORD = frozenset(("N", "MARK", "NUMBER", "REVISION", "YEAR"))
"""Places for a number or a mark without a small letter: `weld {MARK}` is not found in `weld type`."""
WELDER = "WELDER"
"""A name, which is none where the program has a message for it: `process: GMAW, GTAW` is of no welder."""
NUMBERED = frozenset(("DAY", "TEST", "TESTS", "SPEC", "TRIAL", "WHEN"))
"""Places that hold a number or a day at least, so that `{PERSON}, to {DAY}` is not found in `sound, to the
root`."""
ARTICLES = ("a ", "an ", "the ")
"""What no number or day begins with: `{label} on {TESTS}` is not found in `on a coupon under 1/2 in`."""
SHORT = frozenset(("NAME", "GROUP", "N", "RECORD"))
"""Places for a name that ends before a colon, so that `Face bend {NAME}` does not swallow what is said
of it."""
TITLE = "TITLE"
"""The place of a whole text that somebody typed: it is found before the text is parted, so that no piece of
it is told."""
SEPARATORS = ("; ", ", ", " or ", " and ")
"""What parts the items of a list; the message of each says how the other language does."""

Told = tuple[str, bool]
"""The words in the other language, and whether all of them are."""


class Catalogue:
    """The messages of one language. A context keeps apart what English says with one word: the label `Groove`
    from the kind of weld."""

    def __init__(self, messages: dict[str, str], language: str) -> None:
        self.language = language
        self.plain = {key: said for key, said in messages.items() if "{" not in key}
        self.patterns = sorted(
            (Pattern.of(key, said) for key, said in messages.items() if "{" in key),
            key=lambda each: (-each.weight, sum(place.isupper() for place in each.places)),
        )
        self.titled = [each for each in self.patterns if TITLE in each.places]
        self._by_ends: dict[tuple[str, str, str, str], list[Pattern]] = {}
        self.labelled = messages.get("{label}: {value}", "{label}: {value}")
        self.joined = {sep: messages[f"{{a}}{sep}{{b}}"].format(a="", b="") for sep in SEPARATORS}

    def within(self, words: str) -> str:
        """Words in the middle of a sentence; German nouns keep their capital."""
        return words if self.language == "de" else within_sentence(words)

    @lru_cache(maxsize=20000)  # noqa: B019 - a language has one catalogue, for as long as the program runs
    def tell(self, text: str, with_unit: bool, context: str = "", depth: int = 0) -> Told:
        """The text in this language, `with_unit` where its decimals are measures."""
        found = self._label(text) if context == LABEL else self._message(text, context)
        if found is not None:
            return found, True
        if is_neutral(text):
            return dates(decimals(text) if with_unit else text, self.language), True
        if " of side " in text and (found := self._label(text)) is not None:
            return found, True
        if depth < DEEPEST:
            for way in (self._typed, self._stated, self._sentences, self._lists, self._by_pattern):
                if (said := way(text, with_unit, context, depth)) is not None:
                    return said, True
        return text, False

    def has_message(self, text: str) -> bool:
        """Whether the program says exactly this."""
        return self._message(text, LABEL) is not None

    def _message(self, text: str, context: str) -> str | None:
        if context and (said := self._plain(text, f"{context}\x04")) is not None:
            return said
        return self._plain(text, "")

    def _plain(self, text: str, before: str) -> str | None:
        if before + text in self.plain:
            return self.plain[before + text]
        first, rest = text[:1], text[1:]
        if first.islower() and (said := self.plain.get(before + first.upper() + rest)):
            return self.within(said)
        if first.isupper() and (said := self.plain.get(before + first.lower() + rest)):
            return said[:1].upper() + said[1:]
        return None

    def _all(self, parts: Sequence[str], with_unit: bool, context: str, depth: int) -> list[str] | None:
        found = []
        for part in parts:
            words, known = self.tell(part, with_unit, context, depth + 1)
            if not known:
                return None
            found.append(words)
        return found

    def _typed(self, text: str, with_unit: bool, context: str, depth: int) -> str | None:
        """What somebody typed, behind words that say what it is."""
        for pattern in self.titled:
            for found in pattern.found_in(text):
                if (said := self._filled(pattern, found, with_unit, context, depth)) is not None:
                    return said
        return None

    def _stated(self, text: str, with_unit: bool, context: str, depth: int) -> str | None:
        """The label of a variable and what is stated of it: a label may hold an `or` or a comma itself."""
        label, colon, value = text.partition(": ")
        said = self._label(label) if colon else None
        if said is None:
            return None
        told_value, known = self.tell(value, with_unit, context, depth + 1)
        return self.labelled.format(label=said, value=told_value) if known else None

    def _sentences(self, text: str, with_unit: bool, context: str, depth: int) -> str | None:
        parts = SENTENCE.split(text)
        said = self._all(parts, with_unit, context, depth) if len(parts) > 1 else None
        return " ".join(said) if said else None

    def _lists(self, text: str, with_unit: bool, context: str, depth: int) -> str | None:
        for separator, joined in self.joined.items():
            parts = _parted(text, separator)
            if len(parts) > 1 and (said := self._all(parts, with_unit, context, depth)) is not None:
                return joined.join(said)
        return None

    def _by_pattern(self, text: str, with_unit: bool, context: str, depth: int) -> str | None:
        other = text[:1].swapcase() + text[1:]
        for pattern in self._ending_as(text, other):
            head, tail = pattern.literals[0], pattern.literals[-1]
            for start in (text, other):
                # Asked here, since most patterns end at this and a call takes longer than the question.
                if not (start.startswith(head) and start.endswith(tail)):
                    continue
                for found in pattern.found_in(start):
                    if (said := self._filled(pattern, found, with_unit, context, depth)) is not None:
                        if start is text:
                            return said
                        return said[:1].upper() + said[1:] if text[:1].isupper() else self.within(said)
        return None

    def _ending_as(self, text: str, other: str) -> list[Pattern]:
        """The patterns whose fixed words begin or end with the letters of the text, in their order."""
        ends = text[:1], other[:1], text[-1:], other[-1:]
        if ends not in self._by_ends:
            first, last = {*ends[:2], ""}, {*ends[2:], ""}
            self._by_ends[ends] = [
                each
                for each in self.patterns
                if each.literals[0][:1] in first and each.literals[-1][-1:] in last
            ]
        return self._by_ends[ends]

    def _filled(
        self, pattern: Pattern, found: dict[str, str], with_unit: bool, context: str, depth: int
    ) -> str | None:
        words: dict[str, str] = {}
        for place, text in found.items():
            said: str | None
            if place.startswith(CLAUSE):
                said = text if CLAUSE_WORDS.issuperset(words_of(text)) else None
            elif place in ONE_WORD:
                said = text if " " not in text and text == text.upper() else None
            elif place in NUMBERED:
                is_one = any(map(str.isdigit, text)) and not text.startswith(ARTICLES) and "; " not in text
                is_one = is_one and not (place == "TEST" and ", " in text)
                said = dates(text, self.language) if is_one else None
            elif place == WELDER and self._label(text) is not None or place in SHORT and ": " in text:
                said = None
            elif place.isupper():
                said = dates(text, self.language)
            elif place == LABEL:
                said = self._label(text)
            else:
                inner = LABEL if place == f"{LABEL}s" else context
                said, known = self.tell(text, with_unit, inner, depth + 1)
                said = said if known else None
            if said is None:
                return None
            words[place] = said
        return pattern.said.format(**words)

    def _label(self, text: str) -> str | None:
        """The label of a variable, with its side; records approved long ago part it by a comma."""
        if (said := self._message(text, LABEL)) is not None:
            return said
        for parted in (" of ", ", "):
            label, found, side = text.rpartition(parted)
            of_side = self.plain.get(f"side\x04{side}") if found else None
            said = self._message(label, LABEL) if of_side else None
            if said:
                return f"{said} {of_side}"
        return None


def _parted(text: str, separator: str) -> list[str]:
    """The items of a list; what stands in parentheses stays with the item before it."""
    items: list[str] = []
    for part in text.split(separator):
        if items and items[-1].count("(") > items[-1].count(")"):
            items[-1] += separator + part
        else:
            items.append(part)
    return items


@cache
def catalogue(language: str) -> Catalogue:
    """The messages of the language. Raises FileNotFoundError for one that has none."""
    found = gettext.translation(DOMAIN, LOCALE, [language])
    return Catalogue({key: said for key, said in found._catalog.items() if key}, language)  # type: ignore[attr-defined]


def told(words: Any, context: str = "") -> Any:
    """Words of the program in the language that speaks now; a list of them, each; a day as its figures.
    `context` is `label` for the name of a variable."""
    if isinstance(words, list | tuple):
        return [told(each, context) for each in words]
    text = words.isoformat() if isinstance(words, date) else str(words or "")
    language = language_now()
    if language == ENGLISH or not text.strip():
        return text
    said, known = catalogue(language).tell(text.strip(), has_unit(text), context)
    if not known and (found := _untold.get()) is not None:
        found.add(text.strip())
    return said


def told_number(words: Any) -> str:
    """A bare number of a table whose head has the unit."""
    return told_decimals(str(told(words)))


def told_decimals(text: str) -> str:
    """The text as it is, with the decimal sign of the language."""
    return text if language_now() == ENGLISH else decimals(text)


def told_within(words: Any) -> str:
    """A name in the middle of a sentence."""
    said, language = str(told(words)), language_now()
    if language == ENGLISH:
        return said.lower()
    return catalogue(language).within(said)


def told_label_within(words: str) -> str:
    """The label of a variable in the middle of a sentence."""
    language = language_now()
    if language == ENGLISH:
        return within_sentence(words)
    return catalogue(language).within(str(told(words, LABEL)))


def told_or(words: Sequence[str]) -> str:
    """Names of which any will do, in the middle of a sentence."""
    return listed([told_within(each) for each in words], " or ")


def told_source(words: str) -> str:
    """The title of a source, which keeps the language of its page, and when it was read."""
    title, read, day = words.rpartition(", read ")
    return f"{title}, {told(read[2:] + day)}" if title else words


def told_list(words: Sequence[str], context: str = "") -> str:
    """Each of them, with semicolons between."""
    return listed(told(words, context))


def listed(words: Sequence[str], separator: str = "; ") -> str:
    """Words of the reader's language, with the separator as that language sets it."""
    language = language_now()
    return (separator if language == ENGLISH else catalogue(language).joined[separator]).join(words)


def told_low(words: Any) -> str:
    """A state in the middle of a sentence: it begins small in every language."""
    text, language = str(words or ""), language_now()
    if language == ENGLISH:
        return text.lower()
    small = text[:1].lower() + text[1:]  # a message of its own where the word keeps its capital, as nouns do
    said = str(told(text))
    return catalogue(language).plain.get(small) or said[:1].lower() + said[1:]


@contextmanager
def untold() -> Iterator[set[str]]:
    """Collects what was to be told in another language and no message was found for."""
    found: set[str] = set()
    token = _untold.set(found)
    try:
        yield found
    finally:
        _untold.reset(token)
