"""Which code editions this installation has tables for, and which of them the shop uses."""

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from qualification.codes.own_tables import (
    is_own,
    published,
    published_records,
    published_with,
    stored_edition,
)
from qualification.models import OwnEdition, Shop
from qualification.rules.ranges.prequalified import FILE as PREQUALIFIED

TABLES = Path(__file__).resolve().parents[1] / "rules" / "tables"
PAIRS = Path(__file__).with_name("welder_editions.toml")


def available_editions(tables: Path = TABLES) -> list[tuple[str, str]]:
    """Return (key, name) of each edition that may be chosen: those that ship, and those the shop published
    itself."""
    return [*shipped_editions(tables), *published()]


def shipped_editions(tables: Path = TABLES) -> list[tuple[str, str]]:
    """Those that ship: the folder's name, and what its edition.toml calls it; content lists last, so that
    the first is one by which something is judged."""
    heads = _heads(tables)
    ordered = sorted(heads, key=lambda key: (bool(heads[key].get("records")), key))
    return [(key, f"{heads[key]['code']}, {heads[key]['edition']}") for key in ordered]


def _heads(tables: Path = TABLES) -> dict[str, dict[str, Any]]:
    """What each edition's edition.toml says, by the folder's name; read once, and anew when one is added,
    changed or taken away."""
    sheets = sorted(tables.glob("*/edition.toml"))
    return _heads_read(tuple((sheet, sheet.stat().st_mtime_ns) for sheet in sheets))


@lru_cache(maxsize=4)
def _heads_read(sheets: tuple[tuple[Path, int], ...]) -> dict[str, dict[str, Any]]:
    return {sheet.parent.name: tomllib.loads(sheet.read_text(encoding="utf-8")) for sheet, _ in sheets}


PROCEDURE, WELDER = "procedure", "welder"
"""The files of an edition that say what a procedure test, and a welder's test, qualifies."""


def editions_with(stem: str) -> list[tuple[str, str]]:
    """The editions a record of that side may be written under, as `available_editions`: those with rules for
    it, and behind them those that only say what it has to state."""
    return [*_with_file(stem), *content_lists(stem)]


def content_lists(stem: str = "") -> list[tuple[str, str]]:
    """The editions that only say what records of that side, or of any, have to state, as
    `available_editions`. Nothing is judged under them."""
    of = {key: head.get("records", []) for key, head in _heads().items()} | published_records()
    return [each for each in available_editions() if of[each[0]] and (not stem or stem in of[each[0]])]


def as_choices(editions: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Editions as a form offers them, content lists marked as such."""
    lists = dict(content_lists())
    return [(key, f"{name} (content list only)" if key in lists else name) for key, name in editions]


def editions_for_procedures() -> list[tuple[str, str]]:
    """The editions procedures may be written under: those that say which are good, by tests or without, and
    content lists; as `available_editions`."""
    good = {*dict(editions_with(PROCEDURE)), *dict(editions_with_prequalified())}
    return [each for each in available_editions() if each[0] in good]


def editions_for_welders() -> list[tuple[str, str]]:
    """The editions that say what a welder's test qualifies, as `available_editions`."""
    return _with_file(WELDER)


def edition_for_welders(key: str) -> str:
    """The edition under which the welder of a procedure coupon is qualified: the same where it has rules for
    welders, else the one its code names for them; empty where there is none."""
    with_rules = dict(editions_for_welders())
    if key in with_rules:
        return key
    named = tomllib.loads(PAIRS.read_text(encoding="utf-8"))["pair"]
    return next((pair["welder"] for pair in named if pair["procedure"] == key), "")


def default_edition(stem: str) -> str:
    """The edition a new test starts under, for `procedure` or `welder`; empty where the shop named none that
    has such rules."""
    shop = Shop.current()
    chosen = shop.code_edition
    if stem != PROCEDURE:
        chosen = shop.welder_edition or edition_for_welders(chosen)
    return chosen if chosen in dict(editions_with(stem)) else ""


def is_iso(key: str) -> bool:
    """Whether an edition is of an ISO standard, whose own names and symbols its records bear."""
    return stored_edition(key)[0].family == "iso" if is_own(key) else key.startswith(("iso", "en_"))


def edition_name(key: str) -> str:
    """What an edition is called, also one that was withdrawn; its key where its tables are not installed."""
    if is_own(key):
        own = OwnEdition.objects.filter(key=key).first()
        gone = own is not None and own.state == OwnEdition.State.WITHDRAWN
        return f"{own.name} (withdrawn)" if own and gone else own.name if own else key
    return dict(shipped_editions()).get(key, key)


def editions_with_prequalified() -> list[tuple[str, str]]:
    """The editions that know procedures without a test, as `available_editions`."""
    return _with_file(PREQUALIFIED)


def _with_file(stem: str) -> list[tuple[str, str]]:
    """Asked of the folders: to read the tables of every edition would cost the first page half a second, and
    the loader refuses a file an edition does not declare."""
    shipped = [(key, name) for key, name in shipped_editions() if (TABLES / key / f"{stem}.toml").exists()]
    return [*shipped, *published_with(stem)]


def editions_used() -> list[tuple[str, str]]:
    """The editions the shop works to, as `available_editions`; all there are until it has chosen."""
    chosen = set(Shop.current().editions_used)
    available = available_editions()
    return [each for each in available if each[0] in chosen] or available
