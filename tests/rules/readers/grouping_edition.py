"""An edition put together from the tables of metals, fillers and weld metal alone, for tests of these."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from qualification.rules.editions.loader import shipped_files
from qualification.rules.editions.table_readers import READERS
from qualification.rules.tabular.edition import Edition, read_sources
from qualification.rules.tabular.schema import Book, TablePlace
from qualification.rules.variables.metal_systems import SYSTEMS

NAME = "asme_ix_2023"
FILES = ("base_metals.toml", "fillers.toml", "a_numbers.toml")


def _read(file: str, raw: Mapping[str, Any], files: Mapping[str, Mapping[str, Any]]) -> Any:
    head = files["edition.toml"]
    book = Book(head["code"], head["edition"], read_sources(NAME, files["sources.toml"]))
    return READERS[file](raw, TablePlace(NAME, file, book=book))


def _edition(files: Mapping[str, Mapping[str, Any]]) -> Edition:
    head = files["edition.toml"]
    return Edition(
        id=NAME,
        code=head["code"],
        edition=head["edition"],
        title=head["title"],
        processes=tuple(head["processes"]),
        joins_procedure=frozenset(),
        joins_welder=frozenset(),
        sources=read_sources(NAME, files["sources.toml"]),
        procedure=(),
        welder=(),
        bands={},
        covers={},
        fingerprint="",
        family=head["family"],
        metals=SYSTEMS[head["metal_groups"]],
        more={file.removesuffix(".toml"): _read(file, files[file], files) for file in FILES},
    )


SECTION_IX_FILES = shipped_files(NAME)
SECTION_IX = _edition(SECTION_IX_FILES)


def edition_with(file: str, raw: Mapping[str, Any]) -> Edition:
    """Section IX with one of the three files changed. Raises TableError as the real loader would."""
    return replace(
        SECTION_IX, more={**SECTION_IX.more, file.removesuffix(".toml"): _read(file, raw, SECTION_IX_FILES)}
    )
