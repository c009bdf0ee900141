"""Papers of coupons: results as a laboratory writes them, ranges told once, reasons in the appendix."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import Record, Shop, State
from qualification.rules.testing.result_entries import read_results
from qualification.rules.testing.results import Bend, Tension
from tests.documents.pdf_geometry import Paper
from tests.shop_records import RESULTS, procedure_test, spec, welder, welder_test
from wps.documents.appendix import appendix_context
from wps.documents.columns import cell_of, unit_of
from wps.documents.context import content_of, document_context
from wps.documents.issue import rendered, words_of
from wps.documents.pass_table import pass_table
from wps.documents.range_rows import range_groups
from wps.documents.render import render_html
from wps.documents.result_tables import other_tests, result_tables, results_once
from wps.documents.settings_table import Setting

PASSES = [
    {"pass": "1", "amps": "142-150", "volts": "21.5-22", "travel_speed": "20-22"},
    {"pass": "2", "amps": "150-160", "volts": "22-22.5", "travel_speed": "18-20"},
]


def text_of(record: Record, template: str = "", context: dict[str, Any] | None = None) -> str:
    own, words = words_of(record)
    context = context or {**document_context(content_of(record)), **words}
    html = render_html(template or own, context, "letter")
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_procedure_test_takes_three_pages_at_most(paper: str, author: User, shop: Shop) -> None:
    record = procedure_test(author, passes=PASSES)
    content = content_of(record)
    made = rendered(record, content, content, paper)
    assert 2 <= made.pages <= 3
    runs = [run for run in Paper(made.pdf).runs() if run.text.strip()]
    assert min(run.size for run in runs) >= 9.49
    amps = next(run for run in runs if run.text.strip() == "142–150")
    assert round(amps.size, 1) == 11.0


def test_what_tension_specimens_showed_stands_in_columns(author: User, shop: Shop) -> None:
    results = [
        {**each, "failure": "ductile", "remarks": f"see photo {number}"}
        if each["kind"] == "tension"
        else each
        for number, each in enumerate(RESULTS)
    ]
    tables = result_tables(content_of(procedure_test(author, results=results))["outcome"])
    tension = next(each for each in tables if "tension" in each.asked)
    assert [label for label, _ in tension.heads] == [
        "Width",
        "Thickness",
        "Cross-section",
        "Highest load",
        "Strength",
        "Type of failure",
        "Broke",
        "Remarks",
    ]
    assert dict(tension.heads)["Strength"] == "psi, MPa"
    assert dict(tension.heads)["Cross-section"] == "in², mm²"
    row = tension.rows[0]
    assert row.cells[0] == Setting("3/4", "19.05")
    assert row.cells[5] == Setting("ductile")
    bends = next(each for each in tables if "bend" in each.asked)
    assert "Weld wholly in the bend" in [label for label, _ in bends.alike]


def test_a_failed_specimen_says_why_and_a_passed_one_does_not(author: User, shop: Shop) -> None:
    results = [{**RESULTS[0], "load": "1000 lbf"}, *RESULTS[1:]]
    tables = result_tables(content_of(procedure_test(author, results=results))["outcome"])
    rows = [row for table in tables for row in table.rows]
    failed = [row for row in rows if row.failed]
    assert len(failed) == 1
    assert "psi" in failed[0].remarks[0]
    assert not [row for row in rows if row.result == "Passed" and row.remarks]


def test_tests_not_required_are_named_and_stay_open_while_the_coupon_is(author: User, shop: Shop) -> None:
    content = content_of(procedure_test(author))
    told = dict(other_tests(content["outcome"]))
    assert told["Toughness"] == told["Hardness"] == "not required"
    assert "Tension" not in told
    assert "Bends" not in told
    assert "Toughness not required" in text_of(procedure_test(author, "PT-050"))
    assert set(dict(other_tests({"lines": [], "open": ["The thickness is missing."]})).values()) == {
        "cannot be determined"
    }


def line_of(position: str, words: str) -> dict[str, Any]:
    stated = [{"label": "Openings", "words": words}, {"label": "Welded in position", "words": position}]
    result = {"name": f"Side bend {position}", "stated": stated, "worked_out": [], "checks": []}
    result |= {"mark": "passed", "mark_words": "Passed"}
    told = {"asked": "1 side bend", "state": "passed", "state_words": "Passed", "sentence": ""}
    return {**told, "position": position, "citation": None, "results": [result]}


def test_results_of_several_positions_stand_under_one_heading_without_naming_them_twice() -> None:
    outcome = {"lines": [line_of("3G", "None"), line_of("4G", "1/32 in (0.79 mm)")]}
    assert [table.asked for table in result_tables(outcome)] == ["1 side bend, 3G", "1 side bend, 4G"]
    (once,) = results_once(outcome)
    assert once.asked == "1 side bend, 3G, 4G"
    assert [row.words for row in once.rows] == [
        (("Openings", "None"),),
        (("Openings", "1/32 in (0.79 mm)"),),
    ]


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        (["1/8 in (3.18 mm)", "1 1/2 in (38.1 mm)"], "in, mm"),
        (["1/8 in (3.18 mm)", "None"], ""),
        (["142 to 150 A"], "A"),
        (["−4 to 2"], ""),
    ],
)
def test_a_unit_stands_in_the_head_only_where_every_number_has_it(words: list[str], unit: str) -> None:
    assert unit_of(words) == unit


def test_a_cell_keeps_its_words_where_the_head_has_no_unit() -> None:
    assert cell_of("142 to 150 A", "A") == Setting("142–150")
    assert cell_of("1/8 in (3.18 mm)", "") == Setting("1/8 in (3.18 mm)")
    assert pass_table(None).rows == ()
    assert pass_table({"heads": ["Pass"], "rows": []}).rows == ()


def limit(qualified: str, when: str = "", line: int = 0, label: str = "Position") -> dict[str, Any]:
    return {
        "label": label,
        "line": line,
        "found": "3G",
        "qualified": qualified,
        "when": when,
        "clause": "QW-461.9",
        "provenance": "memory",
        "record": "WT-1",
        "verdict_words": "",
        "standing": "essential",
    }


def groups(*rows: dict[str, Any]) -> Any:
    return range_groups({"range": list(rows), "entered": []})


def test_limits_that_say_the_same_in_two_cases_stand_in_one_row() -> None:
    (group,) = groups(
        limit("Flat", "weld type: groove"), limit("Flat", "weld type: fillet"), limit("Vertical")
    )
    assert [(row["qualified"], row["where"]) for row in group.rows] == [
        ("Flat", "Note a"),
        ("Vertical", "Always"),
    ]
    assert group.notes == (("a", "weld type: groove; or weld type: fillet"),)
    for rows in ((limit("Flat"), limit("Flat", "x")), (limit("Flat", "x"), limit("Flat"))):
        (group,) = groups(*rows)
        assert [row["where"] for row in group.rows] == ["Always"]


def test_what_has_no_limit_or_no_rule_is_told_in_a_line() -> None:
    (group,) = groups(limit("No limit", "weld type: fillet"), limit("No rule encoded", "pipe"))
    assert group.rows == ()
    assert group.unlimited == ("Position 3G, weld type: fillet (QW-461.9*)",)
    assert group.without_rule == ("Position (QW-461.9*)",)


def test_what_every_line_shares_is_told_once() -> None:
    found = groups(limit("Flat"), limit("Flat", line=1), limit("Vertical", line=1))
    assert [(group.name, [row["qualified"] for row in group.rows]) for group in found] == [
        ("In every process line", ["Flat"]),
        ("Process line 2", ["Vertical"]),
    ]


def test_toughness_rows_wait_in_the_appendix_where_no_impact_was_tested(author: User, shop: Shop) -> None:
    record = procedure_test(author, joint={"impact_tested": "no"})
    content = content_of(record)
    tough = [row for row in content["range"] if row["standing"] == "supplementary"]
    assert tough
    assert f"Where toughness is required {len(tough)} further limit" in text_of(record)
    parts = appendix_context(content)["reasoning"]
    assert [row for part in parts for row in part.rows if row["standing"] == "supplementary"] == tough


def test_the_appendix_gives_every_reason_and_circumstance(author: User, shop: Shop) -> None:
    test = procedure_test(author)
    for record in (test, spec(author, test), welder_test(author, welder())):
        content = content_of(record)
        said = text_of(record, "documents/appendix.html", appendix_context(content))
        rows = content.get("range") or [
            row for line in content["findings"] for row in line["rows"] if row["binds"]
        ]
        wanted = [row[name] for row in rows for name in ("because", "when", "remark", "provenance_words")]
        assert [each for each in wanted if " ".join(each.split()) not in said] == []


def test_the_appendix_opens_on_request_and_the_record_leads_there(
    author: User, author_client: Client, shop: Shop
) -> None:
    record = procedure_test(author)
    address = f"{reverse('document', args=['procedure-test', record.pk])}?appendix=1"
    assert address in author_client.get(record.get_absolute_url()).content.decode()
    answer = author_client.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert "appendix" in answer["Content-Disposition"]


def test_a_photo_has_its_place_unless_the_shop_wants_none(author: User, shop: Shop) -> None:
    ann = welder()
    assert "Photo 27 × 34 mm" in text_of(welder_test(author, ann))
    shop.photo_place = False
    shop.save()
    assert "27 × 34 mm" not in text_of(welder_test(author, ann, "WT-031", State.DRAFT))


def test_a_certificate_says_until_when_it_is_good(author: User, shop: Shop) -> None:
    record = welder_test(author, welder(), welded_on=date(2031, 8, 31))
    assert "Good until 2032-02-29" in text_of(record)


def test_laboratory_words_are_kept_and_judge_nothing() -> None:
    tension = {"kind": "tension", "specimen": "T1", "width": "1", "thickness": "1", "load": "9000 lbf"}
    (read,), problems = read_results([{**tension, "failure": "ductile", "remarks": "cup and cone"}], "us")
    assert (problems, read.failure, read.remarks) == ((), "ductile", "cup and cone")
    assert isinstance(read, Tension)
    bend = {"kind": "side_bend", "specimen": "S1", "former": "2", "openings": "none", "remarks": "clean"}
    (read,), problems = read_results([bend], "us")
    assert isinstance(read, Bend)
    assert read.remarks == "clean"
