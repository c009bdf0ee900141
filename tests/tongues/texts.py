"""Words in templates that no message holds, and words of pages that read alike in two languages."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from lxml import html

from qualification.tongues.neutral import is_neutral

COMMENT = re.compile(r"\{% comment %\}.*?\{% endcomment %\}|\{#.*?#\}", re.DOTALL)
MESSAGE = re.compile(r"\{% blocktranslate .*?\{% endblocktranslate %\}", re.DOTALL)
TAG = re.compile(r"\{%.*?%\}|\{\{.*?\}\}")
SPOKEN = re.compile(r"\b(?:alt|title|aria-label|placeholder|content)=\"([^\"]*)\"")
QUOTED = re.compile(r"\|default:\"([^\"]*)\"|pluralize")
ELEMENT = re.compile(r"<[^>]*>", re.DOTALL)
WORD = re.compile(r"[A-Za-z]{2,}")
NO_WORDS = frozenset(("mm", "SHA", "DOCTYPE", "html", "utf", "nbsp"))


def literal_words(template: Path) -> list[str]:
    """Words that a template says by itself, in English only."""
    text = MESSAGE.sub(" ", COMMENT.sub(" ", template.read_text("utf-8")))
    spoken = list(QUOTED.findall(text))
    text = TAG.sub("\x00", text)
    spoken += [each for each in SPOKEN.findall(text) if not each.startswith("asset:")]
    left = " ".join([ELEMENT.sub(" ", text), *spoken])
    return sorted({word for word in WORD.findall(left) if word not in NO_WORDS})


def said_alike(one: str, other: str, written: Iterable[str]) -> list[str]:
    """Texts of a paper that read the same in both languages, and are neither numbers and designations nor
    what somebody wrote."""
    allowed = " ".join(written)
    first, second = _texts(one), set(_texts(other))
    return [
        each
        for each in dict.fromkeys(first)
        if each in second and not is_neutral(each) and each not in allowed
    ]


def _texts(page: str) -> list[str]:
    tree = html.fromstring(page)
    nodes = tree.xpath("//body//text()[not(ancestor::style)] | //@aria-label | //@alt | //title/text()")
    return [folded for each in nodes if (folded := " ".join(str(each).split()))]
