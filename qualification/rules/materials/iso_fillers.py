"""ISO designations of fillers: those that follow from a filler of the catalogue, and one spelling for all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ..core.findings import Citation
from ..tabular import schema
from ..tabular.schema import CITED, Book, Column, TablePlace, read_row, required
from .terms import FOLDER, catalogue_file, catalogue_sources

FILE = "iso_fillers.toml"
ROW: dict[str, Column] = {
    **CITED,
    "fillers": required(schema.keys),
    "name": required(schema.text),
    "beside_others": schema.yes_no,
}


@dataclass(frozen=True)
class Designation:
    """A designation of a filler, and where it comes from."""

    name: str
    citation: Citation
    beside_others: bool
    """The filler may bear others too (by the other system of the standard, or with strength, gas and impact),
    so one stated on a record is not held against this one."""


@lru_cache(maxsize=1)
def designations() -> dict[str, tuple[Designation, ...]]:
    """Designations by the key of the filler. Raises TableError for one that is the only one and has a
    second."""
    found: dict[str, tuple[Designation, ...]] = {}
    whole = TablePlace(FOLDER, FILE, book=Book("ISO filler standard", "", catalogue_sources()))
    for item, place in schema.numbered(catalogue_file(FILE).get("designation"), whole, "designation"):
        row = read_row(item, ROW, place)
        made = Designation(
            row["name"],
            schema.citation(row, place),
            bool(row["beside_others"]),
        )
        for filler in row["fillers"]:
            before = found.get(filler, ())
            if before and not (made.beside_others and all(each.beside_others for each in before)):
                raise place.fail(f"{filler!r} has a designation already")
            found[filler] = (*before, made)
    return found


def written(text: str) -> str:
    """One spelling for a designation as typed: that of the table where it stands there, else capitals."""
    plain = " ".join(text.split()).upper()
    return _spellings().get(plain, plain)


@lru_cache(maxsize=1)
def _spellings() -> dict[str, str]:
    return {each.name.upper(): each.name for named in designations().values() for each in named}
