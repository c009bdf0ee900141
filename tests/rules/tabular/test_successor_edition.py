"""What is known of the edition after one of these: read strictly, said beside answers, and deciding
nothing."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from qualification.rules.core.findings import Provenance
from qualification.rules.editions.loader import build, edition, editions
from qualification.rules.editions.table_words import tables_in_words
from qualification.rules.interface.questions import ranges_document
from qualification.rules.tabular.edition import ROOT, read_files
from qualification.rules.tabular.schema import TableError
from tests.rules.readers.ruled import RULED

ALUMINIUM = "iso_15614_2_2005"
NONE_KNOWN = "aws_d1_2_2014"


def with_later(**changes: Any) -> dict[str, dict[str, Any]]:
    files = read_files(ROOT / ALUMINIUM)
    changed = {**files["later.toml"], **changes}
    return {**files, "later.toml": {key: value for key, value in changed.items() if value is not None}}


def test_the_edition_of_2025_adds_process_142() -> None:
    # Scope of ISO 15614-2:2025 as two catalogues print it (LIST25, ED25 of its sources.toml).
    later = edition(ALUMINIUM).more["later"]
    assert later.name == "ISO 15614-2, 2025"
    assert "142" in later.differences[0].because
    assert all(
        each.citation.provenance is Provenance.PUBLISHED and each.citation.sources
        for each in later.differences
    )
    assert all(each.citation.edition == "2025" for each in later.differences)


def test_its_differences_stand_on_the_page_of_code_tables() -> None:
    tables = {table.file: table for table in tables_in_words(edition(ALUMINIUM))}
    assert [row.subject for row in tables["later"].rows] == ["Processes", "Process numbers", "Work it is for"]


@pytest.mark.parametrize("name", RULED)
def test_every_edition_that_judges_says_what_is_known_after_it(name: str) -> None:
    later = edition(name).more["later"]
    assert bool(later.edition) != bool(later.searched)
    assert later.differences or later.searched


def test_where_none_is_known_the_day_of_the_search_stands_for_it() -> None:
    later = edition(NONE_KNOWN).more["later"]
    assert (later.edition, later.searched, later.differences) == ("", date(2026, 11, 29), ())
    # ONE and ONE22 of their sources.toml: work on one standard in the place of five parts.
    for name in ("iso_9606_1_2012", "iso_9606_2_2004"):
        later = edition(name).more["later"]
        assert later.differences[-1].name == "One standard for all metals"
        assert later.differences[-1].citation.edition == edition(name).edition


@pytest.mark.parametrize("name", [name for name in editions() if edition(name).has("later")])
def test_what_rests_on_a_page_names_it_and_what_is_open_is_said(name: str) -> None:
    later = edition(name).more["later"]
    assert later.open
    for each in later.differences:
        assert bool(each.citation.sources) == (each.citation.provenance is Provenance.PUBLISHED)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"edition": "2005"}, "is this edition, not a later one"),
        ({"difference": []}, "expected [[...]] entries"),
        (
            {
                "difference": [
                    {"name": "Processes", "because": "More.", "clause": "1", "provenance": "published"}
                ]
            },
            "names no source",
        ),
        ({"strange": "x"}, "unknown key 'strange'"),
        ({"searched": date(2026, 11, 29)}, "name the later edition, or the day"),
        ({"edition": None}, "name the later edition, or the day"),
        ({"edition": None, "searched": "2026-11-29"}, "expected a day"),
    ],
)
def test_a_file_that_cannot_be_trusted_is_refused(changes: dict[str, Any], said: str) -> None:
    with pytest.raises(TableError) as refused:
        build(ALUMINIUM, with_later(**changes))
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("name", "told", "searched"),
    [(ALUMINIUM, "2025", None), ("aws_d1_1_2020", "2025", None), (NONE_KNOWN, None, "2026-11-29")],
)
def test_an_answer_in_json_names_the_later_edition(name: str, told: str | None, searched: str | None) -> None:
    answer = ranges_document(
        {
            "edition": name,
            "side": "procedure",
            "record": "T",
            "units": "si",
            "results_passed": True,
            "joint": {"weld_type": "groove", "thickness_a": "8 mm", "thickness_b": "same"},
            "lines": [{"process": "GTAW"}],
        }
    )
    later = answer["edition"]["later"]
    assert (later["edition"], later["searched"]) == (told, searched)
