"""The share of each edition's rows that a public page states may only rise; each page says when it was
read."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from qualification.rules.editions import loader
from qualification.rules.tabular.edition import ROOT, read_sources
from qualification.rules.tabular.overlay import rows_of
from qualification.rules.tabular.schema import TableError

DATA = Path(__file__).parent.parent / "cases" / "editions" / "confirmed_share.toml"
HELD: list[dict[str, Any]] = tomllib.loads(DATA.read_text("utf-8"))["edition"]


def has_fallen(confirmed: int, rows: int, held: dict[str, Any]) -> bool:
    """Compared as fractions, without a division."""
    return confirmed * int(held["rows"]) < int(held["confirmed"]) * rows


def test_every_edition_is_held_to_its_share() -> None:
    assert [each["key"] for each in HELD] == sorted(loader.editions())


@pytest.mark.parametrize("held", HELD, ids=lambda held: held["key"])
def test_the_confirmed_share_has_not_fallen(held: dict[str, Any]) -> None:
    # Rows that say what a code's list does not name hold no number.
    rows = [row for _, path, row in rows_of(loader.shipped_files(held["key"])) if path[0] != "silent"]
    confirmed = sum(row["provenance"] == "published" for row in rows)
    assert not has_fallen(confirmed, len(rows), held), (
        f"{confirmed} of {len(rows)} rows are confirmed now, {held['confirmed']} of {held['rows']} were. Give"
        f" the new rows a public source, or write in {DATA.name} why the share falls."
    )


def test_the_share_is_held_at_the_row() -> None:
    held = {"confirmed": 20, "rows": 100}
    assert not has_fallen(20, 100, held)
    assert not has_fallen(21, 105, held)
    assert has_fallen(20, 101, held)
    assert has_fallen(19, 100, held)


def test_every_public_page_says_when_it_was_read() -> None:
    """Files that several editions share bring pages of their own."""
    unread = [
        (path.parent.name, each["key"])
        for path in sorted(ROOT.rglob("*.toml"))
        for each in tomllib.loads(path.read_text("utf-8")).get("source", [])
        if isinstance(each, dict) and "url" in each and type(each.get("read")) is not date
    ]
    assert unread == []


def test_a_page_and_a_day_are_told_with_the_source() -> None:
    page = {"key": "A", "title": "Trade magazine", "url": "https://example.org/a", "page": "12"}
    source = read_sources("invented", {"source": [{**page, "read": date(2031, 4, 7)}]})["A"]
    assert source.words == "Trade magazine, page 12, read 2031-04-07"
    named = read_sources("invented", {"source": [{**page, "title": "A book, page 12"}]})["A"]
    assert named.words == "A book, page 12"
    with pytest.raises(TableError, match="expected a day"):
        read_sources("invented", {"source": [{**page, "read": "2031-04-07"}]})
