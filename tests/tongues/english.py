"""English left on a page or paper of another language: words that only the English messages have, apart from
what people typed and what stands in an element that says it is English."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from django.apps import apps
from django.db import models
from lxml import html

from qualification.codes.editions import available_editions
from qualification.models import AuditEntry
from qualification.rules.variables.registry import registry
from qualification.tongues.neutral import is_neutral
from qualification.tongues.told import catalogue as told_by
from tests.tongues.catalogues import DOMAINS, ROOT, catalogue
from tests.tongues.table_sentences import table_sentences

SMALL = frozenset(
    ("the", "of", "is", "are", "and", "not", "for", "with", "to", "by", "this", "that", "from", "which")
    + ("yes", "it", "its", "were", "has", "have", "what", "who", "when", "where", "under", "be", "may", "can")
)
"""Small words that make a sentence English; none is a word of French or German."""
NAMES = frozenset(("pwht", "hz", "lb", "sfa", "wpq", "bytes", "item", "note", "part", "english", "bw", "fw"))
"""Terms and clauses of the codes, units; bytes are so in German."""
PROGRAM = "Coupon to Paper"
WORD = re.compile(r"[^\W\d_]{2,}(?:['’-][^\W\d_]+)*")
TITLE = re.compile(r'\btitle = "((?:[^"\\]|\\.)*)"')
KEY = re.compile(r"\b[A-Z]+(?:_[A-Z]+)+\b")
"""What a standard names so, such as NO_SIGNING_CERTIFICATE_FOUND."""
PLACE = re.compile(r"%\(\w+\)s|\{\w+\}|<[^>]*>|&\w+;")
QUOTED = re.compile(r"«[^»]*»|„[^“]*“")
"""What is to be typed as it is."""
SPOKEN = ("placeholder", "title", "aria-label", "alt", "data-label", "data-said")
"""Attributes whose words somebody reads or hears."""
SILENT = "ancestor::script or ancestor::style or ancestor::textarea"
BY_PROGRAM = frozenset(
    ("AuditEntry", "SearchEntry", "SearchWord", "SearchPlace", "KeptAnswer", "KeptStandings", "ChangeMark")
    + ("BackgroundTask", "Permission", "Group", "ImportColumns", "SearchDue", "Rejudging", "FileCheck")
)
"""Models whose words the program wrote."""
OF_PROGRAM = frozenset(("snapshot", "analysis", "report", "obstacles", "kind", "settings", "password"))


def words_in(text: str) -> set[str]:
    return {each.lower().replace("’", "'") for each in WORD.findall(KEY.sub(" ", PLACE.sub(" ", text)))}


@cache
def only_english(language: str) -> frozenset[str]:
    """Words of English messages that no message of the language has."""
    english, own = set(SMALL), set()
    for domain in DOMAINS:
        for message in catalogue(language, domain):
            if message.id:
                ids = message.id if isinstance(message.id, list | tuple) else (message.id,)
                said = message.string if isinstance(message.string, list | tuple) else (message.string,)
                english.update(*map(words_in, ids))
                own.update(*map(words_in, said))
    for text in table_sentences():
        english |= words_in(text)
    for variable in registry().values():
        english |= words_in(variable.label) | words_in(variable.help)
    return frozenset(english - (own - SMALL) - NAMES)


def names_and_typed(language: str) -> list[str]:
    """What stands as it is in every language, the longest first: what people typed into the database, names
    of editions and titles of sources. What the program has a message for is none of it."""
    found = {name for _, name in available_editions()} | set(_titles_of_sources())
    found |= set(AuditEntry.objects.values_list("record_name", flat=True))  # as the trail keeps them
    for model in apps.get_models():
        if model._meta.app_label in ("qualification", "wps", "auth") and model.__name__ not in BY_PROGRAM:
            names = [field.name for field in model._meta.concrete_fields if _holds_words(field)]
            for row in model._default_manager.values_list(*names) if names else ():
                for value in row:
                    found.update(_texts(value))
    words = told_by(language)
    kept = (each for each in found if is_neutral(each) or not words.has_message(each))
    return sorted(kept, key=len, reverse=True)


@cache
def _titles_of_sources() -> frozenset[str]:
    files = (path for path in (ROOT / "qualification/rules/tables").rglob("*.toml"))
    return frozenset(title for path in files for title in TITLE.findall(path.read_text("utf-8")))


def _holds_words(field: models.Field) -> bool:
    kinds = (models.CharField, models.TextField, models.JSONField)
    return isinstance(field, kinds) and not field.choices and field.name not in OF_PROGRAM


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for each in value.values():
            yield from _texts(each)
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each)
    elif isinstance(value, str):
        of_a_table = re.findall(r'= "([^"\n]+)"$', value, re.MULTILINE)
        typed = (*value.splitlines(), *of_a_table)
        for line in typed:
            text = " ".join(line.split())
            if WORD.search(text):
                yield text


def texts_of(page: str) -> Iterator[str]:
    """What a page says, text by text; pieces marked as of another language are left out."""
    tree = html.fromstring(re.sub(r"^\s*<!DOCTYPE html>", "", page, flags=re.IGNORECASE))
    own = f"ancestor-or-self::*[@lang][1]/@lang='{tree.get('lang')}'"
    for text in tree.xpath(f"//text()[not({SILENT}) and {own}]"):
        yield " ".join(str(text).split())
    for name in SPOKEN:
        yield from map(str, tree.xpath(f"//*[@{name} and {own}]/@{name}"))
    yield from map(str, tree.xpath("//input[@type='submit' or @type='button']/@value"))


def english_in(page: str, language: str, typed: list[str]) -> dict[str, set[str]]:
    """Each text of the page with words that only English has, and those words."""
    foreign, found = only_english(language), {}
    for text in filter(None, texts_of(page)):
        if text not in found and words_in(text) & foreign:
            left = QUOTED.sub(" ", text.replace(PROGRAM, ""))
            for each in typed:
                if each.casefold() in left.casefold():
                    left = re.sub(rf"(?<!\w){re.escape(each)}(?!\w)", " ", left, flags=re.IGNORECASE)
            if words := words_in(left) & foreign:
                found[text] = words
    return found
