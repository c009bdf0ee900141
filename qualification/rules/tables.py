"""The strict loader: one folder of TOML files per edition of a code, turned into frozen tables or refused.

Files of an edition:
  edition.toml     what it is, which processes, which system of metal groups, which variables join across
  tests,
                   and which further files it has
  sources.toml     the public pages its numbers were read on
  procedure.toml   variables of procedure qualification, a row per clause (`rulebook.py`)
  welder.toml      variables of welder qualification
  bands.toml       answers by band of a number (`bands.py`)
  covers.toml      which tested choice covers which (`covers.py`)
and those listed in `more_tables.READERS`, each read by the module named beside it. An edition without some
of them says so in edition.toml (`without`, or `files` for those it has); a file that is declared and missing,
or there and not declared, is refused. A file that says `shared = "name"` begins with the rows of
`tables/<the file's own name>/name.toml`, which several editions share.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from . import covers, rulebook, schema
from .bands import BandTable, read_bands
from .covers import CoverTable
from .cross_checks import cross_check
from .findings import Provenance, Source
from .metal_systems import SYSTEMS, MetalSystem
from .overlay import Check, laid_over, rows_of
from .rulebook import RuleRow
from .schema import Column, Place, TableError, read_row, required
from .variables import PROCESSES

ROOT = Path(__file__).with_name("tables")
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
    parts: Mapping[str, Part] = field(default_factory=dict, repr=False, compare=False)
    """By file name, for building another edition of which most files are the same."""

    @property
    def speaks(self) -> frozenset[str]:
        """The family and the system of metal groups, for `Variable.asked_by`."""
        return frozenset({self.family, *([self.metals.stem] if self.metals else [])})

    def has(self, file: str) -> bool:
        """True when the edition has that further file, named without its ending."""
        return file in self.more

    @property
    def name(self) -> str:
        return f"{self.code}, {self.edition}"


def _processes(raw: Any, place: Place) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    if set(found) - set(PROCESSES):
        raise place.fail(f"{raw!r} names a process that is not one of {', '.join(PROCESSES)}")
    return found


def _variables(raw: Any, place: Place) -> frozenset[str]:
    return frozenset(schema.known_variable(key, place) for key in schema.keys(raw, place))


FAMILIES = ("asme", "aws", "iso", "navy", "other")
EDITION: dict[str, Column] = {
    "code": required(schema.text),
    "edition": required(schema.text),
    "title": required(schema.text),
    "family": required(schema.one_of(*FAMILIES)),
    "metal_groups": schema.one_of(*SYSTEMS),
    "processes": required(_processes),
    "files": schema.keys,
    "without": schema.keys,
    "joins_procedure": _variables,
    "joins_welder": _variables,
    "apart_procedure": _variables,
    "mixes_procedure": _variables,
    "apart_welder": _variables,
}
SOURCE: dict[str, Column] = {
    "key": required(schema.text),
    "title": required(schema.text),
    "url": required(schema.text),
}


def editions() -> tuple[str, ...]:
    """Identifiers of all editions that ship with the program."""
    return tuple(sorted(p.parent.name for p in ROOT.glob("*/edition.toml")))


@cache
def edition(name: str) -> Edition:
    """The edition in the folder of that name. Raises TableError when it is absent or cannot be trusted."""
    if name not in editions():
        raise TableError(f"there is no edition {name!r}; there are {', '.join(editions()) or 'none'}")
    return build(name, shipped_files(name))


@cache
def shipped_files(name: str) -> RawEdition:
    """The parsed files of an edition that ships with the program: read once, and not to be changed."""
    return read_files(ROOT / name)


def edition_checked(name: str, checks: Sequence[Check]) -> tuple[Edition, tuple[Check, ...]]:
    """The edition with a shop's checks laid over its tables, and the checks that no longer match their row.

    Raises TableError when the edition is absent, or when a correction leaves tables that cannot be trusted.
    """
    shipped = edition(name)
    if not checks:
        return shipped, ()
    files, stale = laid_over(shipped_files(name), checks)
    return build(name, files, with_checks=True, like=shipped), stale


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
        raise Place(edition, file).fail(f"there is no table {body[SHARED]!r} to share")
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


def build(name: str, files: RawEdition, *, with_checks: bool = False, like: Edition | None = None) -> Edition:
    """Check the parsed files and build the edition. Raises TableError naming file and row.

    `with_checks`: a shop's checks are laid over the files; without them no row may claim that a shop made
    one. `like`: an edition built without checks; what it has of the very same files (objects) is not read
    again.
    """
    from .more_tables import RARE, READERS

    head, declared = _declared(
        name, files, [*CORE, *(file for file in READERS if file not in RARE or file in files)]
    )
    kept = _kept(files, like)
    if not with_checks:
        _refuse_claimed_checks(name, {file: body for file, body in files.items() if file not in kept})
    sources = (
        kept["sources.toml"].read if "sources.toml" in kept else read_sources(name, files["sources.toml"])
    )
    reading = _Reading(name, head, sources)
    parts = {
        file: kept[file] if file in kept else Part(body, reading.of(file, body), _as_text(body))
        for file, body in files.items()
    }

    def read(file: str, without: Any) -> Any:
        return parts[file].read if file in declared else without

    made = Edition(
        id=name,
        code=head["code"],
        edition=head["edition"],
        title=head["title"],
        processes=head["processes"],
        joins_procedure=head["joins_procedure"] or frozenset(),
        joins_welder=head["joins_welder"] or frozenset(),
        sources=sources,
        procedure=read("procedure.toml", ()),
        welder=read("welder.toml", ()),
        bands=read("bands.toml", {}),
        covers=read("covers.toml", {}),
        more={file.removesuffix(".toml"): parts[file].read for file in READERS if file in declared},
        fingerprint=_fingerprint(parts),
        apart_procedure=head["apart_procedure"] or frozenset(),
        mixes_procedure=head["mixes_procedure"] or frozenset(),
        apart_welder=head["apart_welder"] or frozenset(),
        family=head["family"],
        metals=SYSTEMS[head["metal_groups"]] if head["metal_groups"] else None,
        parts=parts,
    )
    cross_check(made)
    return made


def _kept(files: RawEdition, like: Edition | None) -> Mapping[str, Part]:
    """Parts that need not be read again. What head and sources say goes into the rows of every other file."""
    if like is None:
        return {}
    kept = {file: part for file, part in like.parts.items() if files.get(file) is part.parsed}
    return kept if kept.keys() >= set(ALWAYS) else {}


@dataclass(frozen=True)
class _Reading:
    """Reads the files of one edition, each by its own reader."""

    name: str
    head: Mapping[str, Any]
    sources: Mapping[str, Source]

    def of(self, file: str, body: Mapping[str, Any]) -> Any:
        from .kinds import KINDS  # kinds read editions, so these cannot stand at the top
        from .more_tables import READERS

        code, edition_words, place = self.head["code"], self.head["edition"], Place(self.name, file)
        if file in ("procedure.toml", "welder.toml"):
            kinds = {key: kind.schema for key, kind in KINDS.items()}
            return rulebook.read_rows(body, code, edition_words, self.sources, place, kinds)
        if file == "bands.toml":
            return read_bands(self.name, body, self.head, self.sources)
        if file == "covers.toml":
            return _covers(self.name, body, self.head, self.sources)
        if file in READERS:
            return READERS[file](body, code, edition_words, self.sources, place)
        return self.sources if file == "sources.toml" else self.head


ALWAYS = ("edition.toml", "sources.toml")
CORE = (*ALWAYS, "procedure.toml", "welder.toml", "bands.toml", "covers.toml")


def _refuse_claimed_checks(name: str, files: RawEdition) -> None:
    for file, path, row in rows_of(files):
        if row["provenance"] == Provenance.SHOP:
            number = int(path[-1]) + 1 if isinstance(path[-1], int) else ""
            raise Place(name, file, f"row {number} ({row['clause']})").fail(
                "'shop' is a provenance that only the shop's own checks give"
            )


def _declared(name: str, files: RawEdition, known: Sequence[str]) -> tuple[dict[str, Any], frozenset[str]]:
    """The head of the edition, and the files it is made of. Raises TableError for one too many or too few."""
    for file in files:
        if file not in known:
            raise TableError(f"{name}/{file}: not a file an edition has; it has {', '.join(sorted(known))}")
    if "edition.toml" not in files:
        raise TableError(f"{name}/edition.toml: the file is missing")
    place = Place(name, "edition.toml")
    head = read_row(files["edition.toml"], EDITION, place)
    if head["files"] and head["without"]:
        raise place.fail("gives both files and without; one says the other")
    optional = [file for file in known if file not in ALWAYS]
    named = head["files"] or head["without"] or ()
    strange = [file for file in named if file not in optional]
    if strange:
        raise place.fail(
            f"{strange[0]!r} is not a file an edition may have or lack; those are {', '.join(optional)}"
        )
    declared = {
        *ALWAYS,
        *(head["files"] if head["files"] else [file for file in optional if file not in named]),
    }
    for file in known:
        if file in declared and file not in files:
            raise TableError(f"{name}/{file}: the file is missing")
        if file in files and file not in declared:
            raise TableError(f"{name}/{file}: edition.toml says that the edition has no such file")
    if not declared & {"procedure.toml", "welder.toml"}:
        raise place.fail("an edition needs procedure.toml, welder.toml or both")
    return head, frozenset(declared)


def read_sources(name: str, raw: Mapping[str, Any]) -> dict[str, Source]:
    """The public pages of a folder's sources.toml, by key. Raises TableError for a repeated key or no web
    address."""
    found: dict[str, Source] = {}
    if set(raw) != {"source"}:
        raise Place(name, SOURCES).fail("expected nothing but [[source]] entries")
    for index, item in enumerate(schema.row_list(raw["source"], Place(name, SOURCES)), start=1):
        place = Place(name, SOURCES, f"source {index}")
        row = read_row(item, SOURCE, place)
        if row["key"] in found:
            raise place.fail(f"{row['key']!r} is listed twice")
        if not row["url"].startswith(("https://", "http://")):
            raise place.fail(f"{row['url']!r} is not a web address")
        found[row["key"]] = Source(**row)
    return found


def _covers(
    name: str, raw: Mapping[str, Any], head: Mapping[str, Any], sources: Mapping[str, Source]
) -> dict[str, CoverTable]:
    return {
        table: covers.read_table(
            table, rows, head["code"], head["edition"], sources, Place(name, "covers.toml", table)
        )
        for table, rows in raw.items()
    }


def _as_text(body: Mapping[str, Any]) -> str:
    return json.dumps(body, sort_keys=True, default=str)


def _fingerprint(parts: Mapping[str, Part]) -> str:
    """Over the same text as that of all files at once, `_as_text(files)`, put together from the texts of
    each."""
    whole = "{" + ", ".join(f"{json.dumps(file)}: {parts[file].text}" for file in sorted(parts)) + "}"
    return hashlib.sha256(whole.encode()).hexdigest()
