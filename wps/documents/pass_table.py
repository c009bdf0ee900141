"""The log of a coupon's passes as a table of columns with their units in the heads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from wps.documents.columns import cell_of, unit_of
from wps.documents.settings_table import Setting


@dataclass(frozen=True)
class PassTable:
    """Heads as (label, units), and a cell for each head in every row."""

    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[Setting, ...], ...]


def pass_table(log: Mapping[str, Any] | None) -> PassTable:
    """The table of what `log_content` gives; empty where no pass is recorded."""
    if not log or not log["rows"]:
        return PassTable((), ())
    units = [unit_of([words for words in column if words]) for column in zip(*log["rows"], strict=True)]
    return PassTable(
        tuple(zip(log["heads"], units, strict=True)),
        tuple(
            tuple(cell_of(words, unit) for words, unit in zip(row, units, strict=True)) for row in log["rows"]
        ),
    )
