"""The tables of a shop's own edition: TOML as stored, parsed, and built by the same strict loader as those
that ship."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any

import tomli_w

from qualification.models.own_edition import OwnEdition
from qualification.rules.editions import loader
from qualification.rules.editions.table_readers import READERS
from qualification.rules.tabular.edition import Edition, RawEdition
from qualification.rules.tabular.schema import TableError

PREFIX = "own_"
"""Keys of a shop's own editions begin so, and no folder of the program does."""
HEAD, SOURCES = ALWAYS = "edition.toml", "sources.toml"
RULES = ("procedure.toml", "welder.toml", "prequalified.toml")
"""Files of rows of rules: one clause, one variable, one kind of rule."""
NAMED = ("bands.toml", "covers.toml")
"""Files of tables that have names, which rules refer to."""
KNOWN = (HEAD, SOURCES, *RULES, *NAMED, *(file for file in READERS if file not in RULES))
LONGEST = 1_000_000
"""Characters of one file; the longest that ships has a tenth of it."""


def is_own(key: str) -> bool:
    """Whether a key names an edition of the shop's own."""
    return key.startswith(PREFIX)


def as_text(body: Mapping[str, Any]) -> str:
    """A parsed file as TOML."""
    return tomli_w.dumps(body)


def as_texts(files: RawEdition) -> dict[str, str]:
    """Parsed files as they are stored."""
    return {name: as_text(body) for name, body in files.items()}


def parsed(name: str, text: str) -> dict[str, Any]:
    """A file with exact decimals. Raises TableError for what is not TOML."""
    if len(text) > LONGEST:
        raise TableError(f"{name}: has {len(text)} characters; a table has {LONGEST} or fewer")
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError) as error:  # a day that no calendar has is no TOMLDecodeError
        raise TableError(f"{name}: {error}") from error


def parsed_all(texts: Mapping[str, str]) -> dict[str, dict[str, Any]]:
    """Stored files, parsed."""
    return {name: parsed(name, text) for name, text in texts.items()}


def build(key: str, files: RawEdition) -> Edition:
    """The edition of those tables. Raises TableError naming file and row."""
    return loader.build(key, files, with_checks=True)


def files_of(own: OwnEdition) -> dict[str, dict[str, Any]]:
    """Its tables, parsed; a copy to be changed."""
    return parsed_all(own.files)


def stored_edition(key: str) -> tuple[Edition, RawEdition]:
    """The edition and its tables as stored, whatever its state. Raises TableError where there is none."""
    fingerprint = OwnEdition.objects.filter(key=key).values_list("fingerprint", flat=True).first()
    if fingerprint is None:
        raise TableError(f"there is no edition {key!r} among the shop's own")
    return _stored(key, fingerprint)


@lru_cache(maxsize=16)
def _stored(key: str, fingerprint: str) -> tuple[Edition, RawEdition]:
    """By fingerprint, so that another process's change, or a restored backup, is seen at once."""
    files = parsed_all(OwnEdition.objects.get(key=key).files)
    made = build(key, files)
    if made.fingerprint != fingerprint:
        raise TableError(f"{key}: the tables were changed past the program; their fingerprint is another")
    return made, files


def published() -> list[tuple[str, str]]:
    """Key and name of each edition that may be chosen."""
    return list(OwnEdition.objects.filter(state=OwnEdition.State.PUBLISHED).values_list("key", "name"))


def published_with(stem: str) -> list[tuple[str, str]]:
    """Those of them that have the file named without its ending."""
    return [
        (each.key, each.name)
        for each in OwnEdition.objects.filter(state=OwnEdition.State.PUBLISHED)
        if f"{stem}.toml" in each.files
    ]


def published_records() -> dict[str, list[str]]:
    """Of each that may be chosen the sides whose records it is a content list of; empty where it has
    rules."""
    return {
        each.key: parsed(HEAD, each.files[HEAD]).get("records", [])
        for each in OwnEdition.objects.filter(state=OwnEdition.State.PUBLISHED)
    }


def published_editions() -> dict[str, Edition]:
    """Those of them whose tables can be trusted, for the machine interface."""
    return {key: stored_edition(key)[0] for key, _ in published()}
