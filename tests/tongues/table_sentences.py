"""Sentences of the tables, the help and the glossary, as a page says them: one after the other."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from qualification.tongues.told import SENTENCE
from tests.tongues.catalogues import ROOT

FOLDERS = ("qualification/rules/tables", "qualification/help")
KEYS = frozenset(("because", "remark", "says", "text", "short", "example", "why", "sentence", "open"))
"""Keys whose values are whole sentences on a page."""
TITLED = frozenset(("subjects.toml",))
"""Files whose titles are ours; those of sources keep the language of their pages."""
NOT_SENTENCES = frozenset(("trade_terms.toml",))


def _said_in(value: Any, wanted: frozenset[str], key: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for each, inner in value.items():
            yield from _said_in(inner, wanted, each)
    elif isinstance(value, list):
        for inner in value:
            yield from _said_in(inner, wanted, key)
    elif isinstance(value, str) and key in wanted and " " in value:
        yield from SENTENCE.split(value)


def said_in(path: Path) -> Iterator[str]:
    wanted = KEYS | {"title"} if path.name in TITLED else KEYS
    return _said_in(tomllib.loads(path.read_text("utf-8")), wanted)


@cache
def table_sentences() -> frozenset[str]:
    """Each sentence once, however many rows and editions say it."""
    files = (path for folder in FOLDERS for path in (ROOT / folder).rglob("*.toml"))
    return frozenset(said for path in files if path.name not in NOT_SENTENCES for said in said_in(path))
