"""The rows of an edition in the order of the book, and what a number typed beside one means."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from qualification.rules.editions import loader
from qualification.rules.editions.sheet_rows import SheetRow, numbered_rows, place_cited, place_shown
from qualification.rules.tabular.book_order import book_order, heading_of
from qualification.rules.tabular.overlay import Path, rows_of

ASME = "asme_ix_2023"


@cache
def rows(key: str = ASME) -> tuple[SheetRow, ...]:
    return numbered_rows(loader.edition(key), loader.shipped_files(key))


def row_of(*numbers: tuple[Path, str]) -> SheetRow:
    return replace(rows()[0], numbers=numbers)


PAIR = row_of((("most", "us"), "1/8 in"), (("most", "si"), "3 mm"))
ALONE = row_of((("months",), "6"))
SEVERAL = row_of((("low", "us"), "1/16 in"), (("low", "si"), "1.5 mm"), (("high_factor",), "2"))
WORDS = row_of()


@pytest.mark.parametrize(
    "clauses",
    [
        ["QG-105.2", "QW-153.1(a), (b)", "QW-403.9", "QW-403.10", "QW-404.4"],
        ["1.2", "6.2", "6.10.2", "6.10.3.5", "10.12", "Table 5.1", "Table 6.10"],
    ],
)
def test_clauses_stand_as_the_book_has_them(clauses: list[str]) -> None:
    turned = [*clauses[2:], *clauses[:2]]
    assert sorted(turned, key=book_order) == clauses


@pytest.mark.parametrize(
    ("clause", "heading"),
    [
        ("QW-403.10(a)", "QW-403"),
        ("QW-153.1(a), (b)", "QW-153"),
        ("6.10.3.5", "6.10"),
        ("7", "7"),
        ("Table 6.7, 6.11", "Table 6.7"),
        ("Annex H", "Annex"),
        ("3 Part D", "3 Part D"),
    ],
)
def test_a_clause_stands_under_its_heading(clause: str, heading: str) -> None:
    assert heading_of(clause) == heading


@pytest.mark.parametrize("key", sorted(loader.editions()))
def test_every_row_stands_on_the_sheet_once_and_each_heading_in_one_place(key: str) -> None:
    on_sheet = rows(key)
    stored = {(file.removesuffix(".toml"), path) for file, path, _ in rows_of(loader.shipped_files(key))}
    assert {(row.words.file, row.words.path) for row in on_sheet} == stored
    assert [row.number for row in on_sheet] == list(range(1, len(stored) + 1))
    headings = [row.heading for row in on_sheet]
    runs = [name for place, name in enumerate(headings) if place == 0 or headings[place - 1] != name]
    assert len(runs) == len(set(runs))


def test_a_cited_row_is_found_on_the_sheet() -> None:
    places = {place_shown(row.words) for row in rows()}
    edition = loader.edition(ASME)
    for row in (*edition.procedure, *edition.welder):
        assert place_cited(row.citation.row) in places
    assert place_cited("bands.toml, groove_thickness row 2") == "bands, groove_thickness 2"
    assert place_cited("acceptance.toml, check 1 (6.10.3.5 (a))") == "acceptance, check 1"


@pytest.mark.parametrize("typed", ["y", "Same", " = ", "OK"])
def test_a_plain_yes_confirms_any_row(typed: str) -> None:
    assert all(row.says_the_same(typed) for row in (PAIR, ALONE, SEVERAL, WORDS))


@pytest.mark.parametrize(
    ("row", "typed", "same"),
    [
        (PAIR, "1/8", True),
        (PAIR, "0.125 in", True),
        (PAIR, "1/8in", True),
        (PAIR, "3 mm", True),
        (PAIR, "3", True),
        (PAIR, "3 in", False),
        (PAIR, "1/8 mm", False),
        (PAIR, "3/32", False),
        (PAIR, "3.01 mm", False),
        (PAIR, "no", False),
        (ALONE, "6", True),
        (ALONE, "6.0", True),
        (ALONE, "5", False),
        (SEVERAL, "2", False),
        (SEVERAL, "1/16 in", False),
        (WORDS, "1/8 in", False),
    ],
)
def test_a_number_confirms_only_the_one_number_of_its_row(row: SheetRow, typed: str, same: bool) -> None:
    assert row.says_the_same(typed) is same


@pytest.mark.parametrize(
    ("row", "typed", "place"),
    [
        (PAIR, "3/32 in", ("most", "us")),
        (PAIR, "2 mm", ("most", "si")),
        (PAIR, "2", None),
        (PAIR, "two", None),
        (ALONE, "5", ("months",)),
        (SEVERAL, "3/32 in", None),
        (WORDS, "5", None),
    ],
)
def test_a_number_that_differs_goes_where_it_is_certain(
    row: SheetRow, typed: str, place: Path | None
) -> None:
    assert row.place_for(typed) == place
