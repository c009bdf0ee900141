"""Marks of two parts that stand close to the word before them, where French keeps a space.

French typography: a space that does not break before a colon and a semicolon, as the Lexique des règles
typographiques of the Imprimerie nationale has it (common practice)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from lxml import html

from tests.tongues.catalogues import ROOT
from tests.tongues.texts import english_words

CLOSE = re.compile(r"\S*[^\W\d_][)»”’]?[:;] \S+")
UNREAD = frozenset(("script", "style", "svg", "textarea", "code", "pre"))
INLINE = frozenset(("a", "abbr", "b", "em", "i", "span", "strong", "sub", "sup"))
SPOKEN = ("title", "aria-label", "alt", "placeholder", "data-label")


@cache
def names_of_sources() -> str:
    """The tables: titles of their sources keep the language of their pages."""
    return " ".join(path.read_text("utf-8") for path in (ROOT / "qualification/rules/tables").rglob("*.toml"))


def close_marks(page: str, typed: str) -> set[str]:
    """Each such mark of a page with the word before and after it, but for those of English sentences and
    those that stand in `typed`, which is all that somebody typed."""
    body = html.fromstring(re.sub(r"^\s*<!DOCTYPE html>", "", page)).find(".//body")
    blocks = " ".join("".join(_said(body)).split()).split("\x00")
    found = {mark for each in blocks if not english_words(each) for mark in CLOSE.findall(each)}
    return {mark for mark in found if mark not in typed and mark not in names_of_sources()}


def _said(element: html.HtmlElement) -> Iterator[str]:
    """The texts of an element, with a zero where the eye sees a new block."""
    if isinstance(element.tag, str) and element.tag not in UNREAD and element.get("lang") != "en":
        apart = "" if element.tag in INLINE else "\x00"
        yield from (f"\x00{element.get(name)}\x00" for name in SPOKEN if element.get(name))
        yield apart + (element.text or "")
        for each in element:
            yield from _said(each)
        yield apart
    yield element.tail or ""
