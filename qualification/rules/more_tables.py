"""Readers of an edition's further files: each turns one parsed file into frozen tables or raises
TableError."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from . import (
    a_numbers,
    acceptance_tables,
    content_tables,
    grouping_tables,
    later_edition,
    prequalified,
    specimen_tables,
    validity_tables,
)
from .findings import Source
from .schema import Place

Reader = Callable[[Mapping[str, Any], str, str, Mapping[str, Source], Place], Any]
"""(parsed file, code, edition, sources, place) -> tables."""

READERS: dict[str, Reader] = {
    "acceptance.toml": acceptance_tables.read_acceptance,
    "a_numbers.toml": a_numbers.read_a_numbers,
    "base_metals.toml": grouping_tables.read_base_metals,
    "content.toml": content_tables.read_content,
    "continuity.toml": validity_tables.read_keeping,
    "fillers.toml": grouping_tables.read_fillers,
    "later.toml": later_edition.read_later,
    "prequalified.toml": prequalified.read_prequalified,
    "specimens.toml": specimen_tables.read_specimens,
}
RARE = frozenset({"content.toml", "later.toml", "prequalified.toml"})
"""Files that an edition which does not name them is not missing."""
