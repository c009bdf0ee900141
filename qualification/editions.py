"""Which code editions this installation has tables for."""

import tomllib
from pathlib import Path

TABLES = Path(__file__).resolve().parent / "rules" / "tables"


def available_editions(tables: Path = TABLES) -> list[tuple[str, str]]:
    """Return (key, name) of each edition: its folder's name, and what its edition.toml calls it."""
    editions = []
    for sheet in sorted(tables.glob("*/edition.toml")):
        head = tomllib.loads(sheet.read_text(encoding="utf-8"))
        editions.append((sheet.parent.name, f"{head['code']}, {head['edition']}"))
    return editions
