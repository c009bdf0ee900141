"""The page that lists every number of a code edition."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes.editions import shipped_editions
from qualification.models import Shop
from qualification.rules.editions import loader
from qualification.rules.editions.table_words import tables_in_words
from qualification.rules.tabular.schema import TableError
from qualification.views import code_tables


def rows(answer: Any) -> list[Any]:
    return [row for each in answer.context["shown"] for row in each.table.rows]


def test_every_row_is_listed_and_counted(reader_client: Client) -> None:
    answer = reader_client.get(reverse("code_tables"))
    listed = [row for table in tables_in_words(loader.edition("asme_ix_2023")) for row in table.rows]
    assert len(rows(answer)) == len(listed) == answer.context["total"]
    published = sum(row.provenance == "published" for row in listed)
    memory = sum(row.provenance == "memory" for row in listed)
    assert published + memory == len(listed)
    assertContains(
        answer,
        f"{published} of {len(listed)} rows have a public source, {memory} are from memory and unverified",
    )
    assertContains(answer, "ASME BPVC Section IX, 2023")
    assertContains(answer, "The governing code decides")


def test_a_row_shows_words_numbers_clause_and_source(reader_client: Client) -> None:
    answer = reader_client.get(reverse("code_tables"), {"clause": "QW-406.1"})
    assertContains(answer, "The lowest preheat may lie up to 100 °F (55 °C) below the tested preheat.")
    assertContains(answer, "100 °F (55 °C)")
    assertContains(answer, "Essential for SMAW")
    (row,) = rows(answer)
    assertContains(answer, f'href="{row.sources[0]["url"].replace("&", "&amp;")}"')


@pytest.mark.parametrize(
    "query",
    [
        {"provenance": "memory"},
        {"provenance": "published"},
        {"clause": "qw-451"},
        {"table": "acceptance"},
        {"clause": "QW-4", "provenance": "memory", "table": "covers"},
    ],
)
def test_rows_are_found_by_provenance_clause_and_table(query: dict[str, str], reader_client: Client) -> None:
    answer = reader_client.get(reverse("code_tables"), query)
    found = rows(answer)
    assert 0 < len(found) < answer.context["total"]
    for row in found:
        assert row.provenance == query.get("provenance", row.provenance)
        assert row.file == query.get("table", row.file)
        assert any(
            part.strip().casefold().startswith(query.get("clause", "").casefold())
            for part in row.clause.split(",")
        )
    assertContains(answer, f"{answer.context['found']} of {answer.context['total']} rows fit.")


def test_a_filter_that_fits_nothing_says_so(reader_client: Client) -> None:
    assertContains(reader_client.get(reverse("code_tables"), {"clause": "QB-100"}), "No row fits.")
    assertContains(reader_client.get(reverse("code_tables"), {"provenance": "shop"}), "No row fits.")


def test_the_shops_edition_is_shown_unless_another_is_asked_for(
    reader_client: Client, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed = [("asme_ix_2023", "ASME BPVC Section IX, 2023"), ("ex1_2031", "EX-1, 2031")]
    monkeypatch.setattr(code_tables, "available_editions", lambda: installed)
    asked: list[str] = []
    real = code_tables.in_force
    monkeypatch.setattr(code_tables, "in_force", lambda key: asked.append(key) or real("asme_ix_2023"))
    monkeypatch.setattr(code_tables, "stale_checks", lambda key: [])
    shop.code_edition = "ex1_2031"
    shop.save()
    answer = reader_client.get(reverse("code_tables"))
    assert set(asked) == {"ex1_2031"}
    assertContains(answer, '<option value="ex1_2031" selected>EX-1, 2031</option>')
    asked.clear()
    reader_client.get(reverse("code_tables"), {"edition": "asme_ix_2023"})
    assert set(asked) == {"asme_ix_2023"}


def test_tables_that_cannot_be_trusted_are_not_shown(
    reader_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(key: str) -> None:
        raise TableError(f"{key}/bands.toml, groove_thickness row 2: overlaps the row before it")

    monkeypatch.setattr(code_tables, "in_force", refuse)
    answer = reader_client.get(reverse("code_tables"))
    assertContains(answer, "These tables cannot be trusted")
    assertContains(answer, "groove_thickness row 2: overlaps the row before it")
    assertNotContains(answer, "<table")


def test_without_any_edition_the_page_says_so(
    reader_client: Client, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(code_tables, "available_editions", list)
    assertContains(reader_client.get(reverse("code_tables")), "No code edition is installed.")


def test_a_later_edition_is_named_with_what_is_known_of_it(reader_client: Client) -> None:
    answer = reader_client.get(reverse("code_tables"), {"edition": "iso_15614_2_2005"})
    assertContains(answer, "There is a later edition, ISO 15614-2, 2025. These ranges are not of it.")
    assertContains(answer, "is on none of the public pages found")
    without = reader_client.get(reverse("code_tables"), {"edition": "aws_d1_2_2014"})
    assertNotContains(without, "There is a later edition")
    assertContains(without, "No later edition was found on public pages searched on 2026-11-29.")
    assertContains(without, "Ask the publisher or the customer before work begins")


def test_a_long_find_is_paged_and_the_pages_together_hold_every_row(reader_client: Client) -> None:
    query = {"edition": "asme_ix_2023", "provenance": "published"}
    first = reader_client.get(reverse("code_tables"), query)
    pages = first.context["page"].paginator.num_pages
    assert pages > 1
    assertContains(first, "Next rows")
    found = [
        (row.file, row.place)
        for number in range(1, pages + 1)
        for row in rows(reader_client.get(reverse("code_tables"), {**query, "page": f"{number}"}))
    ]
    assert len(found) == len(set(found)) == first.context["found"]


def test_rows_are_found_by_words_in_any_order(reader_client: Client) -> None:
    query = {"edition": "asme_ix_2023", "q": "tested LOWEST preheat", "clause": "QW-406.1"}
    assertContains(reader_client.get(reverse("code_tables"), query), "lowest preheat may lie up to 100")
    assertContains(
        reader_client.get(reverse("code_tables"), {**query, "q": "preheat of another kind"}), "No row fits."
    )


def test_an_edition_begins_with_what_it_says_of_every_variable(reader_client: Client) -> None:
    answer = reader_client.get(reverse("code_tables"), {"edition": "aws_d1_2_2014"})
    assertContains(answer, "Most of its rules are from memory and read narrowly")
    assertContains(answer, "Not named by the code, so that no test limits them:")
    assertContains(answer, "Not encoded: special welds without a rule")
    assertContains(answer, "Limited by 3 Part C, Table 3.1")


def test_a_search_shows_rows_alone(reader_client: Client) -> None:
    answer = reader_client.get(reverse("code_tables"), {"edition": "aws_d1_2_2014", "q": "thickness"})
    assert answer.context["facts"] is None
    assertNotContains(answer, "Every variable")


def test_an_edition_added_while_the_server_runs_is_offered(tmp_path: Path) -> None:
    def add(key: str) -> None:
        (tmp_path / key).mkdir()
        (tmp_path / key / "edition.toml").write_text(f'code = "{key}"\nedition = "1"\n')

    add("first_code")
    assert dict(shipped_editions(tmp_path)) == {"first_code": "first_code, 1"}
    (tmp_path / "second_code").mkdir()
    assert dict(shipped_editions(tmp_path)) == {"first_code": "first_code, 1"}
    (tmp_path / "second_code" / "edition.toml").write_text('code = "second_code"\nedition = "2"\n')
    assert dict(shipped_editions(tmp_path)).keys() == {"first_code", "second_code"}
