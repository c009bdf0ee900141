"""Every row of an edition's tables in words."""

from __future__ import annotations

import tomllib
from typing import Any

from qualification.rules.core.findings import Provenance
from qualification.rules.editions.loader import edition
from qualification.rules.editions.table_words import HEADINGS, NOT_ROWS, Table, tables_in_words
from qualification.rules.tabular.edition import ROOT

IX = "asme_ix_2023"


def table(file: str) -> Table:
    return next(each for each in tables_in_words(edition(IX)) if each.file == file)


def rows_in(raw: Any) -> int:
    """Entries with a clause, counted without the module under test."""
    if isinstance(raw, dict):
        return int("clause" in raw and "provenance" in raw) or sum(rows_in(value) for value in raw.values())
    return sum(rows_in(item) for item in raw) if isinstance(raw, list) else 0


def test_no_row_of_any_file_is_left_out() -> None:
    files = {path.stem: tomllib.loads(path.read_text("utf-8")) for path in (ROOT / IX).glob("*.toml")}
    files["content"] = tomllib.loads(
        (ROOT / "content" / f"{files['content']['shared']}.toml").read_text("utf-8")
    )
    shown = {each.file: len(each.rows) for each in tables_in_words(edition(IX))}
    assert shown == {stem: rows_in(raw) for stem, raw in files.items() if stem not in NOT_ROWS}
    assert set(shown) <= set(HEADINGS), "a new file needs a heading of its own"


def test_a_row_says_its_numbers_in_both_unit_systems_its_clause_and_its_sources() -> None:
    row = next(r for r in table("procedure").rows if r.clause == "QW-406.1")
    assert row.subject == "Lowest preheat"
    assert "Allowance: 100 °F (55 °C)" in [f"{c.name}: {c.words}" for c in row.columns]
    assert row.standing == "Essential for SMAW, SAW, GMAW, FCAW, GTAW"
    assert row.provenance == Provenance.PUBLISHED.value
    assert all(source["url"].startswith("http") for source in row.sources)


def test_bands_covers_and_specimens_are_said_in_words() -> None:
    bands = [(r.subject, c.name, c.words) for r in table("bands").rows for c in r.columns]
    assert ("Groove thickness", "Band", "at least 1-1/2 in (38 mm), up to 6 in (150 mm)") in bands
    covers = [(r.subject, c.name, c.words) for r in table("covers").rows for c in r.columns]
    assert ("Position: tested 1G", "Covers", "Flat") in covers
    tests = [(r.clause, c.name, c.words) for r in table("specimens").rows for c in r.columns]
    assert ("QW-451.1", "Asked", "2 face bends and 2 root bends") in tests


def test_no_key_of_the_files_is_shown_raw() -> None:
    shown = [
        text
        for each in tables_in_words(edition(IX))
        for row in each.rows
        for text in (row.subject, *(c.words for c in row.columns))
    ]
    assert [text for text in shown if "_" in text or "{" in text or text == ""] == []


def test_rows_are_counted_by_where_they_were_read() -> None:
    each = table("continuity")
    assert each.count(Provenance.PUBLISHED) + each.count(Provenance.MEMORY) == len(each.rows)
    assert each.count(Provenance.SHOP) == 0
