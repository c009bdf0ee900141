"""ISO designations of fillers: those that follow from a filler of the catalogue, and one spelling for all."""

from __future__ import annotations

from functools import lru_cache

from . import schema
from .findings import Citation
from .schema import CITED, Column, Place, read_row, required
from .terms import FOLDER, catalogue_file, catalogue_sources

FILE = "iso_fillers.toml"
ROW: dict[str, Column] = {**CITED, "fillers": required(schema.keys), "name": required(schema.text)}


@lru_cache(maxsize=1)
def designations() -> dict[str, tuple[str, Citation]]:
    """Designation and where it comes from, by the key of the filler. Raises TableError for one named twice."""
    found: dict[str, tuple[str, Citation]] = {}
    sources = catalogue_sources()
    for index, item in enumerate(schema.row_list(catalogue_file(FILE).get("designation"), Place(FOLDER, FILE)), start=1):
        place = Place(FOLDER, FILE, f"designation {index}")
        row = read_row(item, ROW, place)
        cited = schema.citation(row, "ISO filler standard", "", sources, place)
        for filler in row["fillers"]:
            if filler in found:
                raise place.fail(f"{filler!r} has a designation already")
            found[filler] = (row["name"], cited)
    return found


def written(text: str) -> str:
    """One spelling for a designation as typed: that of the table where it stands there, else capitals."""
    plain = " ".join(text.split()).upper()
    return _spellings().get(plain, plain)


@lru_cache(maxsize=1)
def _spellings() -> dict[str, str]:
    return {name.upper(): name for name, _ in designations().values()}
