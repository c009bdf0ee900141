"""The catalogue of base metals and filler metals: facts that hold whatever code is in force.

What an edition of a code makes of them (its group numbers, its minimum strengths) stands in that edition's
tables; see `grouping_tables.py`. The catalogue is read from `tables/catalogue/` and refused as a whole when a
row cannot be trusted.
"""

from __future__ import annotations

import difflib
import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from ..core.findings import Provenance, Source
from ..tabular import edition, schema
from ..tabular.schema import Column, TableError, TablePlace, read_row, required
from . import cored_wires
from .catalogue_columns import filler_specification, processes_of, specifications_of
from .catalogue_items import FAMILIES, FORMS
from .catalogue_items import Filler as Filler
from .catalogue_items import Metal as Metal
from .catalogue_items import Origin as Origin
from .group_names import GroupName, read_group
from .iso_designations import bare_designation
from .spelling import (
    claimed_kinds,
    filler_readings,
    hyphenated,
    is_of_astm,
    joined,
    metal_form,
    metal_readings,
    two_names,
    two_names_of_metal,
    written_plain,
)

FOLDER = "catalogue"


@dataclass(frozen=True)
class MetalName:
    """A metal as named by a person: which one it is, and what is written around it."""

    metal: Metal
    temper: str
    specification: str = ""
    """Specification written before it, in capitals: `SA-312`."""

    @property
    def words(self) -> str:
        """`6061, temper T6`; `316L, specification SA-312`."""
        temper = f", temper {self.temper}" if self.temper else ""
        specification = f", specification {self.specification}" if self.specification else ""
        return f"{self.metal.key}{temper}{specification}"


@dataclass(frozen=True)
class Catalogue:
    metals: Mapping[str, Metal]
    fillers: Mapping[str, Filler]
    sources: Mapping[str, Source]
    metal_names: Mapping[str, str]
    """Keys by every compared form of a name."""
    short_names: tuple[tuple[str, str], ...]
    """Short names of metals that are a group's as well, each with the metal's key."""
    filler_names: Mapping[str, str]
    """Keys by name with its hyphens, and by the form without them where that stands for one filler only."""
    cored: tuple[tuple[re.Pattern[str], Filler], ...]
    """Patterns of names that are read by a rule, each with a filler that lacks its own name."""
    fingerprint: str
    """SHA-256 over the parsed files."""


ORIGIN: dict[str, Column] = {
    "provenance": required(schema.one_of("published", "memory")),
    "source": schema.keys,
    "remark": schema.text,
}
"""Columns of every row of the catalogue: how far its facts are confirmed."""

METAL: dict[str, Column] = {
    **ORIGIN,
    "key": required(schema.text),
    "family": required(schema.one_of(*FAMILIES)),
    "cast": schema.yes_no,
    "alloying": required(schema.text),
    "heat_treatable": schema.yes_no,
    "magnesium": schema.number,
    "aliases": schema.keys,
    "short": schema.keys,
    "specifications": specifications_of,
    "density": schema.number,
    "melting": schema.pair_interval("temperature"),
}
FILLER: dict[str, Column] = {
    **ORIGIN,
    "keys": required(schema.keys),
    "family": required(schema.one_of(*FAMILIES)),
    "specification": required(filler_specification),
    "form": required(schema.one_of(*FORMS)),
    "processes": required(processes_of),
    "magnesium": schema.number,
    "aliases": schema.keys,
}


def origin(row: Mapping[str, Any], sources: Mapping[str, Source], place: TablePlace) -> Origin:
    """Raises TableError for an unlisted source, or `published` without one."""
    named = row["source"] or ()
    for key in named:
        if key not in sources:
            raise place.fail(f"source {key!r} is not listed in sources.toml")
    if row["provenance"] == Provenance.PUBLISHED and not named:
        raise place.fail("marked published, but names no source")
    found = tuple(sources[key] for key in named)
    return Origin(Provenance(row["provenance"]), found, row["remark"] or "", f"{place.file}, {place.row}")


def rows_of(raw: Mapping[str, Any], table: str, place: TablePlace) -> list[Mapping[str, Any]]:
    """The entries of `[[table]]`, nothing else standing in the file."""
    if set(raw) != {table} or not isinstance(raw[table], list) or not raw[table]:
        raise place.fail(f"expected nothing but [[{table}]] entries")
    return raw[table]


@lru_cache(maxsize=1)
def catalogue() -> Catalogue:
    """The catalogue that ships with the program. Raises TableError when it cannot be trusted."""
    return build_catalogue(edition.read_files(edition.ROOT / FOLDER))


def build_catalogue(files: Mapping[str, Mapping[str, Any]]) -> Catalogue:
    """Check the parsed files and build the catalogue. Raises TableError naming file and row."""
    for file in ("sources.toml", "base_metals.toml", "fillers.toml"):
        if file not in files:
            raise TableError(f"{FOLDER}/{file}: the file is missing")
    sources = edition.read_sources(FOLDER, files["sources.toml"])
    metals = _metals(files["base_metals.toml"], sources)
    fillers = _fillers(files["fillers.toml"], sources)
    return Catalogue(
        metals=metals,
        fillers=fillers,
        sources=sources,
        metal_names=_metal_names(metals),
        short_names=tuple(
            (written_plain(name), metal.key) for metal in metals.values() for name in metal.short
        ),
        filler_names=_filler_names(fillers),
        cored=_cored(files.get(cored_wires.FILE, {}), fillers, sources),
        fingerprint=hashlib.sha256(json.dumps(files, sort_keys=True, default=str).encode()).hexdigest(),
    )


def _metals(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> dict[str, Metal]:
    found: dict[str, Metal] = {}
    whole = TablePlace(FOLDER, "base_metals.toml")
    for item, place in schema.numbered(rows_of(raw, "metal", whole), whole, "metal", "key"):
        row = read_row(item, METAL, place)
        if row["key"] in found:
            raise place.fail("is listed twice")
        _check_magnesium(row, place)
        found[row["key"]] = Metal(
            key=row["key"],
            family=row["family"],
            cast=bool(row["cast"]),
            alloying=row["alloying"],
            heat_treatable=row["heat_treatable"],
            magnesium=row["magnesium"],
            aliases=row["aliases"] or (),
            short=row["short"] or (),
            specifications=row["specifications"] or (),
            density=row["density"],
            melting=row["melting"],
            origin=origin(row, sources, place),
        )
    return found


def _check_magnesium(row: Mapping[str, Any], place: TablePlace) -> None:
    # Advice on fillers turns on it, so an alloy without it would silently be advised as if it held none.
    if (row["magnesium"] is None) == (row["family"] == "aluminium"):
        raise place.fail("magnesium has to be stated for aluminium, and for aluminium only")


def _fillers(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> dict[str, Filler]:
    found: dict[str, Filler] = {}
    for index, item in enumerate(rows_of(raw, "filler", TablePlace(FOLDER, "fillers.toml")), start=1):
        place = TablePlace(
            FOLDER, "fillers.toml", f"filler {index} ({', '.join(map(str, item.get('keys', [])[:3]))})"
        )
        row = read_row(item, FILLER, place)
        _check_magnesium(row, place)
        if row["aliases"] and len(row["keys"]) > 1:
            raise place.fail("aliases need a row with a single key")
        for key in row["keys"]:
            if key in found:
                raise place.fail(f"{key!r} is listed twice")
            found[key] = Filler(
                key=key,
                family=row["family"],
                specification=row["specification"],
                form=row["form"],
                processes=row["processes"],
                magnesium=row["magnesium"],
                aliases=row["aliases"] or (),
                origin=origin(row, sources, place),
            )
    return found


def _cored(
    raw: Mapping[str, Any], fillers: Mapping[str, Filler], sources: Mapping[str, Source]
) -> tuple[tuple[re.Pattern[str], Filler], ...]:
    found = []
    for kind in cored_wires.read_cored_kinds(raw, FOLDER, ORIGIN) if raw else ():
        if kind.like not in fillers:
            raise kind.place.fail(f"{kind.like!r} is not a filler of the catalogue")
        filler = replace(
            fillers[kind.like],
            key="",
            specification=cored_wires.SPECIFICATION,
            form=kind.form,
            aliases=(),
            origin=origin(kind.row, sources, kind.place),
            like=kind.like,
        )
        found.append((kind.pattern, filler))
    return tuple(found)


def _metal_names(metals: Mapping[str, Metal]) -> dict[str, str]:
    names: dict[str, str] = {}
    for metal in metals.values():
        spellings = [metal.key, *metal.aliases]
        # A specification number is the same with and without the S that a boiler code puts before it.
        spellings += [s[1:] for s in spellings if re.match(r"S[AB]-\d", s)]
        for spelling in spellings:
            _name(names, metal_form(spelling), metal.key, "base_metals.toml")
    return names


def _filler_names(fillers: Mapping[str, Filler]) -> dict[str, str]:
    names: dict[str, str] = {}
    loose: dict[str, set[str]] = {}
    for filler in fillers.values():
        for spelling in (filler.key, *filler.aliases):
            _name(names, hyphenated(spelling), filler.key, "fillers.toml")
            loose.setdefault(joined(spelling), set()).add(filler.key)
    # A name written without its hyphen is taken only where it cannot mean two fillers.
    return {**{form: next(iter(keys)) for form, keys in loose.items() if len(keys) == 1}, **names}


def _name(names: dict[str, str], form: str, key: str, file: str) -> None:
    if names.setdefault(form, key) != key:
        raise TableError(f"{FOLDER}/{file}: the name {form!r} stands for {names[form]!r} and for {key!r}")


@lru_cache(maxsize=4096)
def read_metal(text: str) -> MetalName | None:
    """The metal a text names, whatever its case, spaces and hyphens, with the temper split off (`6061-T6`).

    `None` when the catalogue does not know it: a name is never guessed. What words beside the name say of its
    kind has to be true: `AISI 1060` is a steel, not the aluminum 1060.
    """
    if names := two_names_of_metal(text):
        found = [read_metal(name) for name in names]
        one, two = found
        return one if one and two and one.metal is two.metal and two.temper in ("", one.temper) else None
    known, claimed = catalogue(), claimed_kinds(text)
    for reading in metal_readings(text):
        key = known.metal_names.get(reading.form)
        if key is None:
            continue
        metal = known.metals[key]
        if reading.specification and reading.specification not in metal.specifications:
            continue
        if metal.family == "aluminium":
            if is_of_astm(text) and not reading.specification:
                continue
        elif reading.temper:
            continue
        if claimed and not claimed & _kinds(metal):
            continue
        return MetalName(metal, reading.temper, reading.written)
    return None


def _kinds(metal: Metal) -> frozenset[str]:
    """What words may say of a metal: a stainless steel is a steel as well."""
    if metal.family == "aluminium":
        return frozenset({"aluminium"})
    kinds = {"stainless", "steel"} if metal.family.startswith("stainless") else set()
    return frozenset(kinds | ({"steel"} if metal.family.endswith("steel") else set()))


def group_named(text: str) -> GroupName | None:
    """The group of metals that is written in place of a metal; see `group_names.py`. Raises GroupError."""
    return read_group(text, catalogue().short_names)


def find_metal(text: str) -> Metal | None:
    """The metal a text names; as `read_metal`, without the temper."""
    return found.metal if (found := read_metal(text)) else None


@lru_cache(maxsize=4096)
def find_filler(text: str) -> Filler | None:
    """The filler a text names, however it is written; `None` when it is not known, or two names are not of
    one."""
    found, names = _filler_of_one_name(text), two_names(text)
    if found is None and len(names) == 2:
        both = [_filler_of_one_name(name) for name in names]
        found = both[0] if both[0] is both[1] else None
    if found is None and (bare := bare_designation(text)) != text:
        found = _filler_of_one_name(bare)
    return found


def _filler_of_one_name(text: str) -> Filler | None:
    known = catalogue()
    for name, specification in filler_readings(text):
        key = known.filler_names.get(hyphenated(name)) or known.filler_names.get(joined(name))
        if key is not None and specification in ("", known.fillers[key].specification):
            return known.fillers[key]
        cored = next((filler for pattern, filler in known.cored if pattern.fullmatch(name)), None)
        if cored is not None and specification in ("", cored.specification):
            return replace(cored, key=name.replace("NI", "Ni"))
    return None


def nearest_metals(text: str, most: int = 3) -> tuple[str, ...]:
    """Keys of the metals whose names come closest, for a message about a name that was not found."""
    return _nearest([each.form for each in metal_readings(text)], catalogue().metal_names, most)


def nearest_fillers(text: str, most: int = 3) -> tuple[str, ...]:
    """Keys of the fillers whose names come closest; a size written behind the name does not disturb."""
    forms = [joined(name) for part in (*text.split()[:1], text) for name, _ in filler_readings(part)]
    return _nearest(forms, catalogue().filler_names, most)


def _nearest(forms: list[str], names: Mapping[str, str], most: int) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for form in dict.fromkeys(forms):
        for close in difflib.get_close_matches(form, names, n=most * 2, cutoff=0.7):
            found.setdefault(names[close])
    return tuple(found)[:most]
