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
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from . import schema, tables
from .designations import filler_readings, hyphenated, joined, metal_form, metal_readings
from .findings import Provenance, Source
from .schema import Column, PairInterval, Place, TableError, read_row, required
from .variables import PROCESSES

FOLDER = "catalogue"
FAMILIES = (
    "aluminium",
    "carbon steel",
    "low-alloy steel",
    "stainless austenitic",
    "stainless duplex",
    "stainless ferritic/martensitic",
    "nickel",
    "copper",
    "titanium",
    "zirconium",
)
FORMS = ("solid", "metal_cored", "flux_cored", "covered")


@dataclass(frozen=True)
class Origin:
    """Where a row of the catalogue comes from."""

    provenance: Provenance
    sources: tuple[Source, ...]
    remark: str
    row: str


@dataclass(frozen=True)
class Metal:
    key: str
    family: str
    cast: bool
    alloying: str
    """Main alloying elements by nominal percentage, in words."""
    heat_treatable: bool | None
    """True when heat treatment hardens it; `None` where the question is not put."""
    magnesium: Decimal | None
    """Nominal percentage, aluminium alloys only."""
    aliases: tuple[str, ...]
    specifications: tuple[str, ...]
    """Product specifications it is usually bought to, for example `B209`."""
    density: Decimal | None
    """In g/cm³."""
    melting: PairInterval | None
    """Solidus to liquidus, temperature in canonical units."""
    origin: Origin

    @property
    def series(self) -> str:
        """First digit of a wrought aluminium alloy (`6` of 6061); empty for everything else."""
        return _series(self.key) if self.family == "aluminium" and not self.cast else ""


@dataclass(frozen=True)
class Filler:
    key: str
    """Its classification, for example `ER5356`."""
    family: str
    specification: str
    form: str
    """One of FORMS."""
    processes: tuple[str, ...]
    """The processes it is made for."""
    magnesium: Decimal | None
    """Nominal percentage, aluminium fillers only."""
    aliases: tuple[str, ...]
    origin: Origin

    @property
    def series(self) -> str:
        """First digit of an aluminium filler (`4` of ER4043); empty for everything else."""
        return _series(self.key) if self.family == "aluminium" else ""


@dataclass(frozen=True)
class MetalName:
    """A metal as named by a person: which one it is, and the temper written behind it."""

    metal: Metal
    temper: str


@dataclass(frozen=True)
class Catalogue:
    metals: Mapping[str, Metal]
    fillers: Mapping[str, Filler]
    sources: Mapping[str, Source]
    metal_names: Mapping[str, str]
    """Keys by every compared form of a name."""
    filler_names: Mapping[str, str]
    """Keys by name with its hyphens, and by the form without them where that stands for one filler only."""
    fingerprint: str
    """SHA-256 over the parsed files."""


def _series(key: str) -> str:
    match = re.search(r"\d{4}$", key)
    return match[0][0] if match else ""


def _processes(raw: Any, place: Place) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    strange = sorted(set(found) - set(PROCESSES))
    if strange:
        raise place.fail(f"{strange[0]!r} is not one of {', '.join(PROCESSES)}")
    return found


def _specifications(raw: Any, place: Place) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    for item in found:
        if not re.fullmatch(r"[AB]\d{2,3}|API 5L", item):
            raise place.fail(f"{item!r} is not a specification such as B209")
    return found


def _sfa(raw: Any, place: Place) -> str:
    found = schema.text(raw, place)
    if not re.fullmatch(r"SFA-5\.\d{1,2}", found):
        raise place.fail(f"{raw!r} is not a filler specification such as SFA-5.10")
    return found


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
    "specifications": _specifications,
    "density": schema.number,
    "melting": schema.pair_interval("temperature"),
}
FILLER: dict[str, Column] = {
    **ORIGIN,
    "keys": required(schema.keys),
    "family": required(schema.one_of(*FAMILIES)),
    "specification": required(_sfa),
    "form": required(schema.one_of(*FORMS)),
    "processes": required(_processes),
    "magnesium": schema.number,
    "aliases": schema.keys,
}


def origin(row: Mapping[str, Any], sources: Mapping[str, Source], place: Place) -> Origin:
    """Raises TableError for an unlisted source, or `published` without one."""
    named = row["source"] or ()
    for key in named:
        if key not in sources:
            raise place.fail(f"source {key!r} is not listed in sources.toml")
    if row["provenance"] == Provenance.PUBLISHED and not named:
        raise place.fail("marked published, but names no source")
    found = tuple(sources[key] for key in named)
    return Origin(Provenance(row["provenance"]), found, row["remark"] or "", f"{place.file}, {place.row}")


def rows_of(raw: Mapping[str, Any], table: str, place: Place) -> list[Mapping[str, Any]]:
    """The entries of `[[table]]`, nothing else standing in the file."""
    if set(raw) != {table} or not isinstance(raw[table], list) or not raw[table]:
        raise place.fail(f"expected nothing but [[{table}]] entries")
    return raw[table]


@lru_cache(maxsize=1)
def catalogue() -> Catalogue:
    """The catalogue that ships with the program. Raises TableError when it cannot be trusted."""
    return build_catalogue(tables.read_files(tables.ROOT / FOLDER))


def build_catalogue(files: Mapping[str, Mapping[str, Any]]) -> Catalogue:
    """Check the parsed files and build the catalogue. Raises TableError naming file and row."""
    for file in ("sources.toml", "base_metals.toml", "fillers.toml"):
        if file not in files:
            raise TableError(f"{FOLDER}/{file}: the file is missing")
    sources = tables.read_sources(FOLDER, files["sources.toml"])
    metals = _metals(files["base_metals.toml"], sources)
    fillers = _fillers(files["fillers.toml"], sources)
    return Catalogue(
        metals=metals,
        fillers=fillers,
        sources=sources,
        metal_names=_metal_names(metals),
        filler_names=_filler_names(fillers),
        fingerprint=hashlib.sha256(json.dumps(files, sort_keys=True, default=str).encode()).hexdigest(),
    )


def _metals(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> dict[str, Metal]:
    found: dict[str, Metal] = {}
    for index, item in enumerate(rows_of(raw, "metal", Place(FOLDER, "base_metals.toml")), start=1):
        place = Place(FOLDER, "base_metals.toml", f"metal {index} ({item.get('key', 'no key')})")
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
            specifications=row["specifications"] or (),
            density=row["density"],
            melting=row["melting"],
            origin=origin(row, sources, place),
        )
    return found


def _check_magnesium(row: Mapping[str, Any], place: Place) -> None:
    # Advice on fillers turns on it, so an alloy without it would silently be advised as if it held none.
    if (row["magnesium"] is None) == (row["family"] == "aluminium"):
        raise place.fail("magnesium has to be stated for aluminium, and for aluminium only")


def _fillers(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> dict[str, Filler]:
    found: dict[str, Filler] = {}
    for index, item in enumerate(rows_of(raw, "filler", Place(FOLDER, "fillers.toml")), start=1):
        place = Place(
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

    `None` when the catalogue does not know it: a name is never guessed.
    """
    known = catalogue()
    for form, specification, temper in metal_readings(text):
        key = known.metal_names.get(form)
        if key is None:
            continue
        metal = known.metals[key]
        if specification and specification not in metal.specifications:
            continue
        if temper and metal.family != "aluminium":
            continue
        return MetalName(metal, temper)
    return None


def find_metal(text: str) -> Metal | None:
    """The metal a text names; as `read_metal`, without the temper."""
    found = read_metal(text)
    return found.metal if found else None


@lru_cache(maxsize=4096)
def find_filler(text: str) -> Filler | None:
    """The filler a text names, whatever its case, spaces and hyphens; `None` when it is not known."""
    known = catalogue()
    for name, specification in filler_readings(text):
        key = known.filler_names.get(hyphenated(name)) or known.filler_names.get(joined(name))
        if key is not None and specification in ("", known.fillers[key].specification):
            return known.fillers[key]
    return None


def nearest_metals(text: str, most: int = 3) -> tuple[str, ...]:
    """Keys of the metals whose names come closest, for a message about a name that was not found."""
    known = catalogue()
    return _nearest([form for form, *_ in metal_readings(text)], known.metal_names, most)


def nearest_fillers(text: str, most: int = 3) -> tuple[str, ...]:
    """Keys of the fillers whose names come closest; a size written behind the name does not disturb."""
    known = catalogue()
    first_word = text.split()[:1]
    return _nearest(
        [joined(name) for part in (*first_word, text) for name, _ in filler_readings(part)],
        known.filler_names,
        most,
    )


def _nearest(forms: list[str], names: Mapping[str, str], most: int) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for form in dict.fromkeys(forms):
        for close in difflib.get_close_matches(form, names, n=most * 2, cutoff=0.7):
            found.setdefault(names[close])
    return tuple(found)[:most]
