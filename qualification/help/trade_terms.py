"""The terms of the trade in three languages, each with where it was read."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("trade_terms.toml")


@dataclass(frozen=True)
class Source:
    """Where a term was read."""

    title: str
    url: str


@dataclass(frozen=True)
class TradeTerm:
    """One term; a source of `None` says that it is from memory."""

    en: str
    fr: str
    de: str
    fr_source: Source | None
    de_source: Source | None
    note: str = ""


@cache
def trade_terms() -> tuple[TradeTerm, ...]:
    """Every term, in the order of the file. Raises KeyError for a source that is not described."""
    read = tomllib.loads(FILE.read_text("utf-8"))
    sources: dict[str, Source | None] = {key: Source(*words) for key, words in read["sources"].items()}
    sources[""] = None
    return tuple(
        TradeTerm(
            each["en"],
            each["fr"],
            each["de"],
            sources[each["fr_from"]],
            sources[each["de_from"]],
            each.get("note", ""),
        )
        for each in read["term"]
    )
