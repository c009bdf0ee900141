"""Which code editions this installation has tables for."""

import tomllib
from pathlib import Path

TABLES = Path(__file__).resolve().parent / "rules" / "tables"


def available_editions(tables: Path = TABLES) -> list[tuple[str, str]]:
    """Return (key, title) of each edition: the folder's name, and the title its edition.toml gives."""
    editions = []
    for sheet in sorted(tables.glob("*/edition.toml")):
        title = tomllib.loads(sheet.read_text(encoding="utf-8")).get("title", sheet.parent.name)
        editions.append((sheet.parent.name, str(title)))
    return editions
