"""Designations of ISO filler standards that no filler of the catalogue bears: what their own rule says.

`G 42 4 M21 3Si1`, `E 42 4 B 42 H5`, `T 46 4 P M21 1 H5`, `EN ISO 14343-A: G 19 12 3 L Si`. The designation
says its standard, hence the filler group of ISO 9606-1, and its covering or core. How it is built stands in
`tables/catalogue/iso_filler_standards.toml`; what does not fit is no designation.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from ..core.findings import Citation
from ..tabular import schema
from ..tabular.schema import CITED, Book, Column, TablePlace, read_row, required
from .terms import FOLDER, catalogue_file, catalogue_sources

FILE = "iso_filler_standards.toml"
_ROW: dict[str, Column] = {
    **CITED,
    "standard": required(schema.text),
    "process": required(schema.text),
    "group": schema.text,
    "pattern": required(schema.text),
}
_STANDARD = re.compile(
    r"^(?:DIN )?(?:EN ?/? ?)?ISO ?(?P<number>\d{3,5})(?::\d{4})?(?: ?- ?(?P<system>[AB]))?\s*[-:]?\s*", re.I
)
_BEHIND = re.compile(r" ?\((?:EN )?ISO ?(?P<number>\d{3,5})(?:-[AB])?\)$", re.I)
_CHEMICAL = re.compile(r" ?\(?\bAl(?:Mg|Si|Mn|Cu|99)[\w.,()]*\)?$")
_LONGEST = 80


@dataclass(frozen=True)
class IsoFiller:
    """What a designation says."""

    name: str
    """With single spaces, without its standard."""
    standard: str
    process: str
    group: str
    """Filler group of ISO 9606-1; empty where it has none."""
    cover: str
    """Symbol of the covering or core; empty for a solid wire."""
    citation: Citation


@dataclass(frozen=True)
class _Standard:
    standard: str
    process: str
    group: str
    pattern: re.Pattern[str]
    citation: Citation


@lru_cache(maxsize=1)
def _standards() -> tuple[_Standard, ...]:
    """The rows of the table. Raises TableError."""
    whole, found = TablePlace(FOLDER, FILE, book=Book("ISO filler standard", "", catalogue_sources())), []
    for item, place in schema.numbered(catalogue_file(FILE).get("standard"), whole, "standard"):
        row = read_row(item, _ROW, place)
        try:
            pattern = re.compile(row["pattern"], re.IGNORECASE)
        except re.error as error:
            raise place.fail(str(error)) from error
        citation = schema.citation(row, place)
        found.append(_Standard(row["standard"], row["process"], row["group"] or "", pattern, citation))
    return tuple(found)


@lru_cache(maxsize=1024)
def read_iso_filler(text: str) -> IsoFiller | None:
    """What a designation of a filler says; `None` for a text that is none, or is none of the standard written
    before it."""
    plain = " ".join(text.split())
    if not plain or len(plain) > _LONGEST:
        return None
    before, behind = _STANDARD.match(plain), _BEHIND.search(plain)
    named = (before or behind)["number"] if before or behind else ""  # type: ignore[index]
    bare = _BEHIND.sub("", plain[before.end() :] if before else plain).strip()
    name = _CHEMICAL.sub("", bare).strip() or bare
    for row in _standards():
        if named and row.standard != f"ISO {named}":
            continue
        if match := row.pattern.fullmatch(name):
            cover = (match.groupdict().get("cover") or "").upper()
            return IsoFiller(name, row.standard, row.process, row.group, cover, row.citation)
    return None


def bare_designation(text: str) -> str:
    """The designation without its standard and chemical symbol; the text itself where it is none."""
    found = read_iso_filler(text)
    return found.name if found else text
