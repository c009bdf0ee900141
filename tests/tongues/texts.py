"""Words in templates that no message holds, and words that make a sentence English."""

from __future__ import annotations

import re
from pathlib import Path

COMMENT = re.compile(
    r"\{% comment %\}.*?\{% endcomment %\}|\{#.*?#\}"
    r"|\{% block (?:main_class|find_value) %\}.*?\{% endblock %\}|Coupon to Paper|Français",
    re.DOTALL,
)
MESSAGE = re.compile(r"\{% blocktranslate .*?\{% endblocktranslate %\}", re.DOTALL)
TAG = re.compile(r"\{%.*?%\}|\{\{.*?\}\}")
SPOKEN = re.compile(r"\b(?:alt|title|aria-label|placeholder|data-label)=\"([^\"]*)\"")
QUOTED = re.compile(r"\|default:\"([^\"]*)\"|pluralize")
HANDED_ON = re.compile(r"\{% (?:include|with) [^%]*?\w=\"([^\"]*[a-z] [^\"]*|[A-Z][a-z][^\"]*)\"(?!\|)")
"""Words that a template hands to a partial."""
ELEMENT = re.compile(r"<[^>]*>", re.DOTALL)
WORD = re.compile(r"[A-Za-z]{2,}")
ENGLISH = frozenset(
    ("the", "of", "is", "are", "and", "not", "for", "with", "to", "by", "this", "that", "from", "which", "no")
    + ("yes", "it", "its", "were", "has", "have", "what", "who", "when", "where", "under", "be", "may", "can")
)
"""Small words that make a sentence English; none is a word of French or German."""
NO_WORDS = frozenset(("mm", "XLSX", "English", "Deutsch", "SHA", "DOCTYPE", "html", "utf", "nbsp"))


def literal_words(template: Path) -> list[str]:
    """Words that a template says by itself, in English only."""
    text = MESSAGE.sub(" ", COMMENT.sub(" ", template.read_text("utf-8")))
    spoken = [*QUOTED.findall(text), *HANDED_ON.findall(text)]
    text = TAG.sub("\x00", text)
    spoken += SPOKEN.findall(text)
    left = " ".join([ELEMENT.sub(" ", text), *spoken])
    return sorted({word for word in WORD.findall(left) if word not in NO_WORDS})


def english_words(text: str) -> set[str]:
    """The small English words of a text; the letters in a document's code, such as BE3FT-FDX9D, are none."""
    return ENGLISH & set(re.findall(r"\b[a-z']+\b", text.replace("Coupon to Paper", "").lower()))
