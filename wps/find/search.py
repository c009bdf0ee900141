"""The search: every word somewhere in what is found; names before other words, what is in force before what
was superseded; close spellings apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import connection
from django.db.models import Exists, OuterRef, QuerySet

from qualification.records.change_marks import mark_of
from wps.find.index import AT_ONCE, bring_up_to_date
from wps.find.vocabulary import Vocabulary
from wps.find.words import asked_words, words_of
from wps.models import SearchDue, SearchEntry, SearchPlace, SearchWord

MOST = 50
"""Hits shown; more are counted as more."""
FEW = 5
"""Hits below which close spellings are looked for."""
MOST_WORDS, MANY = 8, 2000


@dataclass(frozen=True)
class Hit:
    """One thing found."""

    entry: SearchEntry
    where: tuple[str, str] | None
    """Label and text in which a word of the search stands, where it is not in the name."""


@dataclass(frozen=True)
class Found:
    """What a search found."""

    hits: tuple[Hit, ...]
    has_more: bool
    close: tuple[str, ...]
    """Searches in a close spelling that find something, where the words as they were typed find little."""
    unread: int = 0
    """Rows whose words are not read yet: so many came in at once that a search does not wait for them."""

    @property
    def kinds(self) -> list[tuple[str, int]]:
        """How many of each kind, in the order of the hits."""
        counts: dict[str, int] = {}
        for hit in self.hits:
            counts[hit.entry.kind] = counts.get(hit.entry.kind, 0) + 1
        return list(counts.items())


def find(text: str, kind: str = "") -> Found:
    """Search for the words of a text; brings what is searched up to date first, up to a number of rows."""
    bring_up_to_date(AT_ONCE)
    unread = SearchDue.objects.count()
    asked = asked_words(text)[:MOST_WORDS]
    if not asked:
        return Found((), False, (), unread)
    known = _vocabulary()
    spelled = [known.containing(word) for word in asked]
    hits = _hits(spelled, kind) if all(spelled) else []
    close = _close(asked, spelled, known) if len(hits) < FEW else ()
    return Found(tuple(hits[:MOST]), len(hits) > MOST, close, unread)


_kept: dict[str, tuple[object, Vocabulary]] = {}


def _vocabulary() -> Vocabulary:
    """Every word there is, kept in memory as long as none is added."""
    name, table = str(connection.settings_dict["NAME"]), SearchWord._meta.db_table
    mark = mark_of(connection, only=frozenset({table}))
    kept = _kept.get(name)
    if kept is None or mark is None or kept[0] != mark:
        kept = (mark, Vocabulary(SearchWord.objects.values_list("word", flat=True)))
        _kept[name] = kept
    return kept[1]


def _hits(spelled: Sequence[Sequence[str]], kind: str) -> list[Hit]:
    driver = min(spelled, key=_how_many) if len(spelled) > 1 else spelled[0]
    others = [words for words in spelled if words is not driver]
    # The word as typed first, newest first, in the order of the index; then those that hold it, in none. So
    # neither sorts more than it shows.
    first = _places(driver[:1], others, kind).order_by("-rank", "-entry_id")
    found = list(first.values_list("entry_id", "word", "rank")[: MOST + 1])
    if len(found) <= MOST and driver[1:]:
        rest = _places(driver[1:], others, kind).order_by()
        found += rest.values_list("entry_id", "word", "rank")[: 2 * MOST]
    exact = {words[0] for words in spelled}
    order: dict[int, tuple[int, bool]] = {}
    for entry, word, rank in found:
        order[entry] = max(order.get(entry, (-9, False)), (rank, word in exact))
    ids = sorted(order, key=lambda entry: (-order[entry][0], not order[entry][1], -entry))[: MOST + 1]
    entries = SearchEntry.objects.in_bulk(ids)
    wanted = {word for words in spelled for word in words}
    return [Hit(entries[pk], _where(entries[pk], wanted)) for pk in ids if pk in entries]


def _places(words: Sequence[str], others: Sequence[Sequence[str]], kind: str) -> QuerySet[SearchPlace]:
    """Places of any of the words whose entries hold one of each of the others as well."""
    places = SearchPlace.objects.filter(word__in=words)
    for each in others:
        holds = SearchPlace.objects.filter(entry=OuterRef("entry"), word__in=each).order_by()
        places = places.filter(Exists(holds))
    return places.filter(entry__kind=kind) if kind else places


def _how_many(words: Sequence[str]) -> int:
    """Places of any of the words, counted no further than it takes to call them many."""
    return SearchPlace.objects.filter(word__in=words).order_by()[:MANY].count()


def _find_something(spelled: Sequence[Sequence[str]]) -> bool:
    driver = min(spelled, key=_how_many)
    return _places(driver, [words for words in spelled if words is not driver], "").order_by().exists()


def _where(entry: SearchEntry, wanted: set[str]) -> tuple[str, str] | None:
    if not wanted.isdisjoint(words_of(entry.title)):
        return None
    for label, text in entry.said:
        if not wanted.isdisjoint(words_of(text)):
            return label, _around(text, wanted)
    return None


def _around(text: str, wanted: set[str]) -> str:
    """So much of a long text as shows the word."""
    parts = text.split()
    at = next((n for n, part in enumerate(parts) if not wanted.isdisjoint(words_of(part))), 0)
    first, last = max(0, at - 8), at + 12
    return f"{'… ' if first else ''}{' '.join(parts[first:last])}{' …' if last < len(parts) else ''}"


def _close(asked: Sequence[str], spelled: Sequence[Sequence[str]], known: Vocabulary) -> tuple[str, ...]:
    """Up to six searches with one word in a close spelling, two where no word is known; only such as find
    something."""
    found: list[str] = []
    alike = [known.like(word) for word in asked]
    # Where a word is in no record at all, it is the one with the slip.
    unknown = [n for n, words in enumerate(spelled) if not words]
    for place in unknown or range(len(asked)):
        for other in alike[place]:
            others = [[other] if n == place else words for n, words in enumerate(spelled)]
            others = [words or alike[n][:1] for n, words in enumerate(others)]
            if all(others) and _find_something(others):
                said = (words[0] if not spelled[n] else asked[n] for n, words in enumerate(others))
                found.append(" ".join(other if n == place else text for n, text in enumerate(said)))
    return tuple(dict.fromkeys(found))[:6]
