"""Cored wires by the open classification of A5.36, which has too many names to list: `E71T1-C1A0-CS1`.

Rows of `tables/catalogue/cored_wires.toml` read the names of one kind each; `catalogue.py` makes a filler of
one, which keeps its own name and takes the groups of the listed filler it is like.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..tabular import schema
from ..tabular.schema import Column, TablePlace, read_row, required

FILE = "cored_wires.toml"
SPECIFICATION = "SFA-5.36"


@dataclass(frozen=True)
class CoredKind:
    """Wires of one kind."""

    pattern: re.Pattern[str]
    like: str
    """Key of the listed filler with the same deposit."""
    form: str
    row: Mapping[str, Any]
    place: TablePlace


def read_cored_kinds(raw: Mapping[str, Any], folder: str, origin: Mapping[str, Column]) -> list[CoredKind]:
    """The rows of the file. Raises TableError."""
    columns = {
        **origin,
        "pattern": required(schema.text),
        "like": required(schema.text),
        "form": required(schema.one_of("flux_cored", "metal_cored")),
    }
    found = []
    for item, place in schema.numbered(raw.get("wire"), TablePlace(folder, FILE), "wire"):
        row = read_row(item, columns, place)
        try:
            pattern = re.compile(row["pattern"])
        except re.error as error:
            raise place.fail(str(error)) from error
        found.append(CoredKind(pattern, row["like"], row["form"], row, place))
    return found
