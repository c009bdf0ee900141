"""Loads an edition: its folder of tables checked as a whole and built, or refused with file and row.

An edition without some of the files of `tabular/edition.py` says so in edition.toml (`without`, or `files`
for those it has); a file that is declared and missing, or there and not declared, is refused. Further files
are listed in `table_readers.READERS`, each read by the module named beside it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from typing import Any

from ..core.facts import Side
from ..core.findings import Provenance, Source
from ..ranges.kinds.basic import KINDS
from ..tabular import covers, rulebook, schema
from ..tabular.bands import read_bands
from ..tabular.edition import FAMILIES, ROOT, Edition, Part, RawEdition, read_files, read_sources
from ..tabular.overlay import TableVerification, laid_over, rows_of
from ..tabular.schema import Book, Column, TableError, TablePlace, read_row, required
from ..variables.definition import PROCESSES
from ..variables.metal_systems import SYSTEMS
from .cross_checks import cross_check
from .table_readers import RARE, READERS


def _processes(raw: Any, place: TablePlace) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    if set(found) - set(PROCESSES):
        raise place.fail(f"{raw!r} names a process that is not one of {', '.join(PROCESSES)}")
    return found


def _records(raw: Any, place: TablePlace) -> tuple[str, ...]:
    return tuple(schema.one_of(*Side)(key, place) for key in schema.keys(raw, place))


def _variables(raw: Any, place: TablePlace) -> frozenset[str]:
    return frozenset(schema.known_variable(key, place) for key in schema.keys(raw, place))


EDITION: dict[str, Column] = {
    "code": required(schema.text),
    "edition": required(schema.text),
    "title": required(schema.text),
    "family": required(schema.one_of(*FAMILIES)),
    "metal_groups": schema.one_of(*SYSTEMS),
    "processes": required(_processes),
    "files": schema.keys,
    "without": schema.keys,
    "records": _records,
    "joins_procedure": _variables,
    "joins_welder": _variables,
    "apart_procedure": _variables,
    "mixes_procedure": _variables,
    "apart_welder": _variables,
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


_beside: ContextVar[Mapping[str, Edition] | None] = ContextVar("editions_beside", default=None)


@contextmanager
def beside(further: Mapping[str, Edition]) -> Iterator[None]:
    """Let `known_edition` know further editions beside those that ship, by identifier: a shop's own."""
    token = _beside.set({**(_beside.get() or {}), **further})
    try:
        yield
    finally:
        _beside.reset(token)


def known_editions() -> tuple[str, ...]:
    """Identifiers of the editions that ship, and of those beside them."""
    return (*editions(), *sorted(_beside.get() or {}))


def known_edition(name: str) -> Edition:
    """As `edition`, also of one beside those that ship."""
    return (_beside.get() or {}).get(name) or edition(name)


@cache
def shipped_files(name: str) -> RawEdition:
    """The parsed files of an edition that ships with the program: read once, and not to be changed."""
    return read_files(ROOT / name)


def edition_checked(
    name: str, checks: Sequence[TableVerification]
) -> tuple[Edition, tuple[TableVerification, ...]]:
    """The edition with a shop's checks laid over its tables, and the checks that no longer match their row.

    Raises TableError when the edition is absent, or when a correction leaves tables that cannot be trusted.
    """
    shipped = edition(name)
    if not checks:
        return shipped, ()
    files, stale = laid_over(shipped_files(name), checks)
    return build(name, files, with_checks=True, like=shipped), stale


def build(name: str, files: RawEdition, *, with_checks: bool = False, like: Edition | None = None) -> Edition:
    """Check the parsed files and build the edition. Raises TableError naming file and row.

    `with_checks`: a shop's checks are laid over the files; without them no row may claim that a shop made
    one. `like`: an edition built without checks; what it has of the very same files (objects) is not read
    again.
    """
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
        records=head["records"] or (),
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
        book = Book(self.head["code"], self.head["edition"], self.sources)
        place = TablePlace(self.name, file, book=book)
        if file in ("procedure.toml", "welder.toml"):
            kinds = {key: kind.schema for key, kind in KINDS.items()}
            return rulebook.read_rows(body, place, kinds)
        if file == "bands.toml":
            return read_bands(body, place)
        if file == "covers.toml":
            return {table: covers.read_table(table, rows, place.at(table)) for table, rows in body.items()}
        if file in READERS:
            return READERS[file](body, place)
        return self.sources if file == "sources.toml" else self.head


ALWAYS = ("edition.toml", "sources.toml")
OF_A_LIST = ("content.toml", "later.toml", "scope.toml")
"""What an edition without rules may have beside them."""
CORE = (*ALWAYS, "procedure.toml", "welder.toml", "bands.toml", "covers.toml")


def _refuse_claimed_checks(name: str, files: RawEdition) -> None:
    for file, path, row in rows_of(files):
        if row["provenance"] == Provenance.SHOP:
            number = int(path[-1]) + 1 if isinstance(path[-1], int) else ""
            raise TablePlace(name, file, f"row {number} ({row['clause']})").fail(
                "'shop' is a provenance that only the shop's own checks give"
            )


def _declared(name: str, files: RawEdition, known: Sequence[str]) -> tuple[dict[str, Any], frozenset[str]]:
    """The head of the edition, and the files it is made of. Raises TableError for one too many or too few."""
    for file in files:
        if file not in known:
            raise TableError(f"{name}/{file}: not a file an edition has; it has {', '.join(sorted(known))}")
    if "edition.toml" not in files:
        raise TableError(f"{name}/edition.toml: the file is missing")
    place = TablePlace(name, "edition.toml")
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
    _has_rules_or_a_list(head, declared, place)
    return head, frozenset(declared)


def _has_rules_or_a_list(head: Mapping[str, Any], declared: set[str], place: TablePlace) -> None:
    """Without any rule an edition is a list of what records have to state, and says of which records."""
    if declared & {"procedure.toml", "welder.toml"}:
        if head["records"]:
            raise place.fail("names records, which only an edition that is a content list does")
        return
    if "content.toml" not in declared:
        raise place.fail("an edition needs procedure.toml, welder.toml or both, or content.toml")
    if not head["records"]:
        raise place.fail(f"a content list says of which records it is: {', '.join(Side)}")
    if more := sorted(declared - {*ALWAYS, *OF_A_LIST}):
        raise place.fail(f"a content list has no rule that could use {', '.join(more)}")


def _as_text(body: Mapping[str, Any]) -> str:
    return json.dumps(body, sort_keys=True, default=str)


def _fingerprint(parts: Mapping[str, Part]) -> str:
    """Over the same text as that of all files at once, `_as_text(files)`, put together from the texts of
    each."""
    whole = "{" + ", ".join(f"{json.dumps(file)}: {parts[file].text}" for file in sorted(parts)) + "}"
    return hashlib.sha256(whole.encode()).hexdigest()
