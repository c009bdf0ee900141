"""What an edition of a code is, and the reading of its folder of TOML files; `editions/loader.py` builds it.

Files of an edition:
  edition.toml     what it is, which processes, which system of metal groups, which variables join across
                   tests, and which further files it has
  sources.toml     the public pages its numbers were read on
  procedure.toml   variables of procedure qualification, a row per clause (`rulebook.py`)
  welder.toml      variables of welder qualification
  bands.toml       answers by band of a number (`bands.py`)
  covers.toml      which tested choice covers which (`covers.py`)
A file that says `shared = "name"` begins with the rows of `tables/<the file's own name>/name.toml`, which
several editions share.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from ..core.findings import Source
from ..variables.metal_systems import MetalSystem
from . import schema
from .bands import BandTable
from .covers import CoverTable
from .decisions import Decision
from .rulebook import RuleRow
from .schema import Column, TableError, TablePlace, read_row, required
from .source_hosts import refusal_of

ROOT = Path(__file__).parents[1] / "tables"
RawEdition = Mapping[str, Mapping[str, Any]]
"""Parsed TOML by file name."""


@dataclass(frozen=True)
class Part:
    """One file of an edition: as parsed, as read, and as text, of which the fingerprint is taken."""

    parsed: Mapping[str, Any]
    read: Any
    text: str


@dataclass(frozen=True)
class Edition:
    """One edition of one code, complete and checked."""

    id: str
    """Folder name, for example `asme_ix_2023`."""
    code: str
    edition: str
    title: str
    processes: tuple[str, ...]
    joins_procedure: frozenset[str]
    """Variables over which the ranges of several procedure tests join."""
    joins_welder: frozenset[str]
    sources: Mapping[str, Source]
    procedure: tuple[RuleRow, ...]
    welder: tuple[RuleRow, ...]
    bands: Mapping[str, BandTable]
    covers: Mapping[str, CoverTable]
    more: Mapping[str, Any]
    """What the readers of further files made of them, by file stem."""
    fingerprint: str
    """SHA-256 over the parsed tables: names exactly which numbers a verdict was given on."""
    apart_procedure: frozenset[str] = frozenset()
    """Variables of one weld that different procedure tests may each cover, where they agree in all else."""
    mixes_procedure: frozenset[str] = frozenset()
    """Variables holding pairs of groups: two tests of one group each, with itself, also cover the mix of
    both."""
    apart_welder: frozenset[str] = frozenset()
    """Variables of one weld that different tests of a welder may each cover, where they agree in all else."""
    family: str = "other"
    """Family of codes it belongs to; decides which variables its records ask for."""
    metals: MetalSystem | None = None
    """The system by which it groups base metals."""
    records: tuple[str, ...] = ()
    """Sides whose records a content list is of; empty where the edition has rules."""
    decisions: tuple[Decision, ...] = field(default=(), compare=False)
    """Answers of the shop's responsible person where these tables have no rule; no part of them."""
    parts: Mapping[str, Part] = field(default_factory=dict, repr=False, compare=False)
    """By file name, for building another edition of which most files are the same."""

    @property
    def speaks(self) -> frozenset[str]:
        """The family and the system of metal groups, for `Variable.asked_by`."""
        return frozenset({self.family, *([self.metals.stem] if self.metals else [])})

    def has(self, file: str) -> bool:
        """True when the edition has that further file, named without its ending."""
        return file in self.more

    def with_decisions(self, decisions: Sequence[Decision]) -> Edition:
        """The edition with these answers beside those it has."""
        return replace(self, decisions=(*self.decisions, *decisions)) if decisions else self

    @property
    def is_content_list(self) -> bool:
        """True where it only says what a record has to state, so that nothing is judged under it."""
        return not self.procedure and not self.welder

    @property
    def name(self) -> str:
        return f"{self.code}, {self.edition}"


FAMILIES = ("asme", "aws", "iso", "navy", "other")
SOURCE: dict[str, Column] = {
    "key": required(schema.text),
    "title": required(schema.text),
    "url": required(schema.text),
    "page": schema.text,
    "read": schema.day,
}


def read_files(folder: Path) -> dict[str, dict[str, Any]]:
    """The folder's TOML files, parsed with exact decimals. Raises TableError for a file that is not TOML."""
    files = {
        path.name: _with_shared_rows(folder.name, path.name, _parsed(path))
        for path in sorted(folder.glob("*.toml"))
    }
    if "source" in files.get(SOURCES, {}):
        own = files[SOURCES]["source"]
        brought = [each for file, body in files.items() if file != SOURCES for each in body.pop("source", [])]
        named = {each.get("key") for each in own if isinstance(each, dict)}
        files[SOURCES] = {
            **files[SOURCES],
            "source": [*own, *(each for each in brought if each["key"] not in named)],
        }
    return files


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8"), parse_float=Decimal)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise TableError(f"{path.parent.name}/{path.name}: {error}") from error


SOURCES = "sources.toml"
SHARED = "shared"
"""Key by which a file of an edition names the file under `tables/<its own name>/` whose rows it begins
with."""


def _with_shared_rows(edition: str, file: str, body: dict[str, Any]) -> dict[str, Any]:
    """The file, behind the rows that several editions share. Those bring their [[source]] entries along."""
    if SHARED not in body:
        return body
    path = ROOT / file.removesuffix(".toml") / f"{body[SHARED]}.toml"
    if not path.is_file():
        raise TablePlace(edition, file).fail(f"there is no table {body[SHARED]!r} to share")
    shared, own = _parsed(path), {key: value for key, value in body.items() if key != SHARED}
    return {key: _joined(shared.get(key), own.get(key)) for key in {**shared, **own}}


def _joined(shared: Any, own: Any) -> Any:
    if shared is None or own is None:
        return own if shared is None else shared
    return (
        [*shared, *own]
        if isinstance(shared, list)
        else {**shared, **own, "row": [*shared.get("row", []), *own.get("row", [])]}
    )


def read_sources(name: str, raw: Mapping[str, Any]) -> dict[str, Source]:
    """The public pages of a folder's sources.toml, by key. Raises TableError for a repeated key or no web
    address."""
    found: dict[str, Source] = {}
    whole = TablePlace(name, SOURCES)
    if set(raw) != {"source"}:
        raise whole.fail("expected nothing but [[source]] entries")
    if raw["source"] == []:
        return found  # a shop's own edition may rest on its book alone
    for item, place in schema.numbered(raw["source"], whole, "source"):
        row = read_row(item, SOURCE, place)
        if row["key"] in found:
            raise place.fail(f"{row['key']!r} is listed twice")
        if not row["url"].startswith(("https://", "http://")):
            raise place.fail(f"{row['url']!r} is not a web address")
        if refusal := refusal_of(row["url"]):
            raise place.fail(refusal)
        found[row["key"]] = Source(**{**row, "page": row["page"] or ""})
    return found
