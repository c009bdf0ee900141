"""Readers of an edition's further files: each turns one parsed file into frozen tables or raises
TableError."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ..materials import a_numbers, grouping_tables
from ..ranges import prequalified
from ..required import items
from ..tabular import freedoms, scope, successor_edition
from ..tabular.schema import TablePlace
from ..testing import specimen_tables
from ..testing.acceptance import tables
from ..welders import validity_tables

Reader = Callable[[Mapping[str, Any], TablePlace], Any]
"""(parsed file, place) -> tables."""

READERS: dict[str, Reader] = {
    "acceptance.toml": tables.read_acceptance,
    "a_numbers.toml": a_numbers.read_a_numbers,
    "base_metals.toml": grouping_tables.read_base_metals,
    "content.toml": items.read_content,
    "continuity.toml": validity_tables.read_keeping,
    "fillers.toml": grouping_tables.read_fillers,
    "free.toml": freedoms.read_freedoms,
    "later.toml": successor_edition.read_later,
    "prequalified.toml": prequalified.read_prequalified,
    "scope.toml": scope.read_scope,
    "specimens.toml": specimen_tables.read_specimens,
}
RARE = frozenset({"content.toml", "free.toml", "later.toml", "prequalified.toml", "scope.toml"})
"""Files that an edition which does not name them is not missing."""
