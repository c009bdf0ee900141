"""An edition that holds only a content list: it loads strictly, says what is missing on a record, and covers
nothing, whatever is asked."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.facts import Coupon, Facts, Side
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.completeness import completeness
from qualification.rules.editions.edition_facts import EditionKind, edition_facts, kind_of
from qualification.rules.editions.loader import build, edition, shipped_files
from qualification.rules.entries.derive import derive
from qualification.rules.entries.reading import read_weld
from qualification.rules.interface.questions import coverage_document, ranges_document
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.at_once import answers_at_once
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.required.check import check_content, missing
from qualification.rules.tabular.decisions import Decision, question_of
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.definition import RecordKind
from tests.rules.readers.ruled import LISTS, RULED

LIST = "aws_b2_1_2021"
JOINT = {"base_metal_a": "6061", "thickness_a": "1/4 in", "thickness_b": "1/4 in", "weld_type": "groove"}
LINE = {"process": "GMAW", "amps": "120 A"}
USES = {
    Side.PROCEDURE: (RecordKind.TEST, RecordKind.SPEC),
    Side.WELDER: (RecordKind.WELDER_TEST, RecordKind.PART),
}


def weld_of(use: RecordKind, joint: Mapping[str, str] = JOINT, line: Mapping[str, str] = LINE) -> Any:
    return read_weld(dict(joint), [dict(line)], use, "us").weld


def test_there_are_lists_and_editions_with_rules() -> None:
    assert len(LISTS) >= 15
    assert len(RULED) >= 9


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("side", Side)
def test_a_coupon_covers_nothing_under_it_not_even_itself(name: str, side: Side) -> None:
    made = edition(name)
    tested, asked = USES[side]
    process = {"process": made.processes[0]}
    coupon = Coupon("T1", weld_of(tested, line=process), "us")
    assert range_qualified(coupon, made, side).lines == ()
    report = coverage(weld_of(asked, line=process), [coupon], made, side)
    assert report.verdict is Verdict.NO_RULE
    assert "content list only" in report.obstacles[0].because
    without = coverage(weld_of(asked, line={}), [], made, side)
    assert without.verdict > Verdict.COVERED


@given(
    entries=st.dictionaries(
        st.sampled_from(sorted(JOINT)), st.sampled_from(["6061", "1/4 in", "1 in", "n/a"])
    ),
    process=st.sampled_from(["GMAW", "GTAW", "SMAW", ""]),
    side=st.sampled_from(list(Side)),
    name=st.sampled_from(LISTS),
)
def test_whatever_is_asked_the_answer_is_no_rule_one_by_one_and_at_once(
    entries: dict[str, str], process: str, side: Side, name: str
) -> None:
    made = edition(name)
    tested, asked = USES[side]
    weld = derive(group(weld_of(asked, entries, {"process": process}), made))
    ranges = [range_qualified(Coupon("T1", weld_of(tested), "us"), made, side)]
    found = answers_at_once([weld, weld], [ranges, []], made, side)
    assert set(np.unique(found.welds)) == {np.int8(Verdict.NO_RULE)}
    assert coverage(weld, [], made, side).verdict is Verdict.NO_RULE


def test_an_answer_of_the_responsible_person_does_not_cover_it() -> None:
    """A decision answers one row's question; where there is no row there is nothing it could stand for."""
    made, asked = edition(LIST), weld_of(RecordKind.SPEC)
    finding = coverage(asked, [], made, Side.PROCEDURE).obstacles[0]
    question = question_of(finding, Facts(), Side.PROCEDURE)
    answer = Decision(question, True, "1", "Copy 1", "Allowed.", "Tobias Quell", date(2026, 11, 29))
    decided = replace(made, decisions=(answer,))
    assert coverage(asked, [], decided, Side.PROCEDURE).verdict is Verdict.NO_RULE


@pytest.mark.parametrize("name", LISTS)
def test_it_says_on_what_it_rests_and_has_no_silence(name: str) -> None:
    made = edition(name)
    assert kind_of(made) is EditionKind.CONTENT
    assert completeness(made) == ()
    facts = edition_facts(made, shipped_files(name))
    assert facts.not_encoded == ()
    assert made.more["scope"], "say what is known of it, and what is not"


@pytest.mark.parametrize("name", LISTS)
def test_it_says_what_a_record_leaves_out(name: str) -> None:
    made = edition(name)
    uses = {Side.PROCEDURE: (RecordKind.SPEC, RecordKind.TEST), Side.WELDER: (RecordKind.WELDER_TEST,)}
    for use in (use for side in made.records for use in uses[Side(side)]):
        bare = weld_of(use, {}, {"process": made.processes[0]})
        labels = {item.names[0] for item in missing(check_content(made, use, bare, {}), required_only=True)}
        assert {"organisation", "base_metal_a", "thickness_a"} <= labels, use


def test_a_machine_is_told_that_nothing_is_judged() -> None:
    test = {"record": "T1", "units": "us", "results_passed": True, "joint": JOINT, "lines": [LINE]}
    asked = {"edition": LIST, "side": "procedure"}
    answer = coverage_document(
        {**asked, "tests": [test], "weld": {"units": "us", "joint": JOINT, "lines": [LINE]}}
    )
    assert answer["verdict"] == "no_rule"
    assert answer["edition"]["kind"] == "content"
    assert answer["edition"]["kind_words"].startswith("A content list only")
    assert {told["provenance"] for told in answer["edition"]["scope"]} == {"published", "memory"}
    assert ranges_document({**asked, **test})["edition"]["kind"] == "content"


def test_which_quality_level_an_execution_class_asks_for() -> None:
    # EXC of its sources.toml: class 1 asks for part 4, 2 for part 3, 3 and 4 for part 2 of ISO 3834.
    for name in ("en_1090_2_2018", "en_1090_3_2019"):
        told = {each.name: each for each in edition(name).more["scope"]}
        assert "ISO 3834-4" in told["EXC1"].because
        assert "ISO 3834-3" in told["EXC2"].because
        assert "ISO 3834-2" in told["EXC3 and EXC4"].because
        assert told["EXC2"].citation.sources


SPOILT: dict[str, tuple[dict[str, Any], dict[str, Any], str]] = {
    "no record named": ({"records": None}, {}, "says of which records it is"),
    "a strange record": ({"records": ["job"]}, {}, "'job' is not one of procedure, welder"),
    "a table no rule uses": ({"files": ["content.toml", "scope.toml", "bands.toml"]}, {"bands.toml": {}},
        "has no rule that could use bands.toml"),
    "no list": ({"files": ["scope.toml"]}, {"content.toml": None}, "or content.toml"),
    "nothing told": ({}, {"scope.toml": {"told": []}}, "expected"),
    "another section": ({}, {"scope.toml": {"row": []}}, "nothing but [[told]] entries"),
    "told without a source": ({}, {"scope.toml": {"told": [
        {"name": "A", "clause": "1", "because": "B.", "provenance": "published"}]}}, "names no source"),
    "told twice": ({}, {"scope.toml": {"told": [
        {"name": "A", "clause": "1", "because": "B.", "provenance": "memory"}] * 2}},
        "by an earlier row as well"),
}  # fmt: skip


@pytest.mark.parametrize(("head", "files", "message"), SPOILT.values(), ids=SPOILT.keys())
def test_a_list_that_cannot_be_trusted_is_refused(
    head: dict[str, Any], files: dict[str, Any], message: str
) -> None:
    changed = {**copy.deepcopy(dict(shipped_files(LIST))), **files}
    changed = {name: body for name, body in changed.items() if body is not None}
    changed["edition.toml"] = {
        key: value for key, value in {**changed["edition.toml"], **head}.items() if value is not None
    }
    with pytest.raises(TableError) as refused:
        build(LIST, changed)
    assert message in str(refused.value)


def test_an_edition_with_rules_names_no_records() -> None:
    changed = copy.deepcopy(dict(shipped_files("us_navy_248_rev_1")))
    changed["edition.toml"]["records"] = ["procedure"]
    with pytest.raises(TableError, match="only an edition that is a content list"):
        build("us_navy_248_rev_1", changed)
