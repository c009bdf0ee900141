"""Which code editions this installation has tables for, and which of them the shop uses."""

import tomllib
from pathlib import Path

from qualification.models import Shop
from qualification.rules.later_edition import LaterEdition
from qualification.rules.prequalified import FILE as PREQUALIFIED
from qualification.rules.schema import TableError
from qualification.rules.tables import edition

TABLES = Path(__file__).resolve().parent / "rules" / "tables"


def available_editions(tables: Path = TABLES) -> list[tuple[str, str]]:
    """Return (key, name) of each edition: its folder's name, and what its edition.toml calls it."""
    editions = []
    for sheet in sorted(tables.glob("*/edition.toml")):
        head = tomllib.loads(sheet.read_text(encoding="utf-8"))
        editions.append((sheet.parent.name, f"{head['code']}, {head['edition']}"))
    return editions


def editions_for_welders() -> list[tuple[str, str]]:
    """The editions that say what a welder's test qualifies, as `available_editions`."""
    return _with_file("welder")


def editions_with_prequalified() -> list[tuple[str, str]]:
    """The editions that know procedures without a test, as `available_editions`."""
    return _with_file(PREQUALIFIED)


def _with_file(stem: str) -> list[tuple[str, str]]:
    """Asked of the folders: to read the tables of every edition would cost the first page half a second, and
    the loader refuses a file an edition does not declare."""
    return [(key, name) for key, name in available_editions() if (TABLES / key / f"{stem}.toml").exists()]


def editions_used() -> list[tuple[str, str]]:
    """The editions the shop works to, as `available_editions`; all there are until it has chosen."""
    chosen = set(Shop.current().editions_used)
    available = available_editions()
    return [each for each in available if each[0] in chosen] or available


def later_edition(key: str) -> LaterEdition | None:
    """What is known of the edition after that one; None where nothing is, or its tables are missing."""
    try:
        return edition(key).more.get("later")
    except TableError:
        return None
