"""Papers of few pages: the first is whole for its reader, letters are large enough, no source is linked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import unescape
from typing import Any

import pytest
from django.contrib.auth.models import User

from qualification.evidence.sides import both_sides_once
from qualification.models import Record, Shop
from tests.documents.pdf_geometry import Paper
from tests.shop_records import SPEC_LINE, procedure_test, spec, welder, welder_test
from wps.documents.bands import findings_of, sheet_of
from wps.documents.context import confirmed_in, content_of, document_context
from wps.documents.entry_values import Value, value_of
from wps.documents.issue import rendered, words_of
from wps.documents.render import Rendered, render_html
from wps.documents.settings_table import span

SMALLEST, SETTINGS = 9.5, 11.0
"""Points: of any letter, and of a number that is set at the machine."""


def one_process(author: User) -> Record:
    return spec(author, procedure_test(author))


def two_processes(author: User) -> Record:
    made = spec(author, procedure_test(author))
    made.lines = [
        {**SPEC_LINE, "part_of_joint": "root", "amps": "90-110"},
        {**SPEC_LINE, "part_of_joint": "fill"},
    ]
    return made


def printed(record: Record, paper: str) -> tuple[Rendered, Paper]:
    content = content_of(record)
    made = rendered(record, content, content, paper)
    return made, Paper(made.pdf)


@pytest.mark.parametrize(
    ("make", "most", "paper"),
    [(one_process, 2, "letter"), (one_process, 2, "a4"), (two_processes, 3, "a4")],
)
def test_a_procedure_is_whole_on_its_first_page(
    make: Any, most: int, paper: str, author: User, shop: Shop
) -> None:
    record = make(author)
    made, sheets = printed(record, paper)
    assert made.pages <= most
    signed = {name: place.page for name, place in made.places.items() if name.startswith("signature-")}
    assert signed == {f"signature-{who}": 0 for who in ("author", "approver", "witness")}
    runs = [run for run in sheets.runs() if run.text.strip()]
    first = " ".join(run.text for run in runs if run.page == 0)
    for said in (
        "Joint",
        "Metals",
        "ER5356",
        "Shielding gas",
        "Lowest preheat",
        "Highest interpass",
        "Settings",
        "Technique",
    ):
        assert said in first
    assert min(run.size for run in runs) >= SMALLEST - 0.01
    amps = next(run for run in runs if run.text.strip() == span(_amps(record)))
    assert (amps.page, round(amps.size, 1)) == (0, SETTINGS)


def test_a_welders_certificate_is_whole_on_its_first_page(author: User, shop: Shop) -> None:
    record = welder_test(author, welder())
    made, sheets = printed(record, "a4")
    assert made.pages == 1
    assert {place.page for name, place in made.places.items() if name.startswith("signature-")} == {0}
    runs = [run for run in sheets.runs() if run.text.strip()]
    first = " ".join(run.text for run in runs if run.page == 0)
    for said in ("Photo", "Actual", "Qualified", "Holds for", "Continuity", "Qualifies: passed"):
        assert said in first
    assert min(run.size for run in runs) >= SMALLEST - 0.01


def test_a_certificate_states_every_entry_range_and_result(author: User, shop: Shop) -> None:
    record = welder_test(author, welder())
    template, words = words_of(record)
    content = content_of(record)
    html = render_html(template, {**document_context(content), **words}, "letter")
    said = " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())
    wanted = [row["words"] for group in content["entered"] for row in group["rows"]]
    wanted += [row[name] for row in content["range"] for name in ("found", "qualified", "clause")]
    wanted += [
        stated["words"]
        for line in content["outcome"]["lines"]
        for result in line["results"]
        for stated in result["stated"]
    ]
    assert len(wanted) > 50
    assert [text for text in wanted if text not in said] == []


def row_of(label: str, qualified: str) -> dict[str, Any]:
    told = dict.fromkeys(("found", "record", "clause", "provenance", "when"), "as told")
    return {"label": label, "qualified": qualified, "verdict_words": "", **told}


def its_words(row: Mapping[str, Any]) -> str:
    return str(row["qualified"])


def test_both_sides_stand_in_one_row_only_where_they_say_the_same() -> None:
    alike = [row_of("P-Number of side A", "P-23"), row_of("P-Number of side B", "P-23")]
    assert [row["label"] for row in both_sides_once(alike, its_words)] == ["P-Number of both sides"]
    apart = [row_of("P-Number of side A", "P-23"), row_of("P-Number of side B", "P-22")]
    assert both_sides_once(apart, its_words) == apart
    frozen = [row_of("P-Number, side A", "P-23"), row_of("P-Number, side B", "P-23")]
    assert [row["label"] for row in both_sides_once(frozen, its_words)] == ["P-Number of both sides"]
    twice = [row_of("Position", "Flat"), row_of("Position", "Flat")]
    assert both_sides_once(twice, its_words) == twice


def _amps(record: Record) -> str:
    rows = [row for group in content_of(record)["entered"] for row in group["rows"]]
    return next(row for row in rows if row["key"] == "amps")["words"].removesuffix(" A")


def test_papers_name_no_web_address_of_a_source(author: User, shop: Shop) -> None:
    test = procedure_test(author)
    for record in (test, spec(author, test), welder_test(author, welder())):
        template, words = words_of(record)
        content = content_of(record)
        html = render_html(template, {**document_context(content), **words}, "letter")
        urls = {
            source["url"]
            for row in (
                *content.get("range", ()),
                *(r for f in content.get("findings", ()) for r in f["rows"]),
            )
            for source in row["sources"]
        }
        assert urls
        assert not [url for url in urls if url in html]
        assert 'href="http' not in html


def confirmed(clause: str, person: str, day: str, done: str = "Confirmed") -> dict[str, str]:
    remark = f"{done} by {person} on {day} against office copy 2."
    return {"provenance": "shop", "clause": clause, "remark": remark}


def test_who_held_a_number_against_the_copy_and_when_stands_on_the_paper() -> None:
    rows = [
        confirmed("QW-1", "Tobias Quell", "2026-01-15"),
        confirmed("QW-2", "Tobias Quell", "2026-01-15"),
        confirmed("QW-3", "Maren Oosting", "2026-02-01", "Corrected"),
        {"provenance": "published", "clause": "QW-4", "remark": ""},
    ]
    assert confirmed_in(rows) == [
        "QW-1, QW-2: confirmed by Tobias Quell, 2026-01-15.",
        "QW-3: corrected by Maren Oosting, 2026-02-01.",
    ]


def entry(typed: str, words: str, *, is_number: bool = True, state: str = "stated") -> dict[str, Any]:
    return {"typed": typed, "words": words, "state": state, "is_number": is_number, "is_read": True}


@pytest.mark.parametrize(
    ("row", "value"),
    [
        (entry("1/8-1/2", "1/8 to 1/2 in (3.18 to 12.7 mm)"), Value("1/8 to 1/2 in", "3.18 to 12.7 mm")),
        (entry("NPS 2", "2 3/8 in (60.33 mm)"), Value("2 3/8 in", "60.33 mm", "NPS 2")),
        (entry("same", "6061", is_number=False), Value("6061")),
        (entry("100Ar", "100 % Ar", is_number=False), Value("100 % Ar")),
        (entry("plenty", "Cannot be read", state="unread"), Value("Cannot be read", typed="plenty")),
    ],
)
def test_a_number_is_printed_once_and_a_trade_size_beside_it(row: dict[str, Any], value: Value) -> None:
    assert value_of(row) == value


@pytest.mark.parametrize("level", [0, 1, 2, 3])
def test_no_entry_is_lost_whatever_moves(level: int, author: User, shop: Shop) -> None:
    content = content_of(two_processes(author))
    sheet = sheet_of(content, level)
    told = [
        pair.label
        for pairs in (
            sheet.joint,
            sheet.metals,
            sheet.heat,
            sheet.filler_and_gas,
            sheet.electrical,
            sheet.on_first,
            sheet.on_second,
            sheet.also_stated,
            sheet.also_by_process,
            *(band.pairs for band in sheet.others),
        )
        for pair in pairs
    ]
    assert len(told) == len(set(told))
    told += [*sheet.sides.labels, *(label for head in sheet.settings.heads for label, _ in head)]
    stated = {row["label"].split(" of side ")[0] for group in content["entered"] for row in group["rows"]}
    assert stated == set(told)


def test_findings_of_several_lines_are_printed_once_or_under_their_line(author: User, shop: Shop) -> None:
    content = content_of(two_processes(author))
    shared, lines = findings_of(content)
    assert shared
    for line, printed_line in zip(content["findings"], lines, strict=True):
        said = [(row["label"], row["found"]) for row in (*shared, *printed_line["rows"])]
        assert sorted(said) == sorted((r["label"], r["found"]) for r in line["rows"] if r["binds"])
