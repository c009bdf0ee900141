"""The outcome of a coupon's tests in words, and the ways a record means to take."""

from __future__ import annotations

from typing import Any

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.testing.alternatives import way_meant, way_name, way_value, without_ways
from qualification.rules.testing.outcome import judge
from qualification.rules.testing.outcome_words import outcome_content
from qualification.rules.testing.result_entries import read_results
from qualification.rules.testing.specimens import required_tests
from qualification.rules.variables.definition import RecordKind

JOINT = {
    "weld_type": "groove",
    "base_metal_a": "6061",
    "base_metal_b": "same",
    "thickness_a": "1/2",
    "thickness_b": "same",
    "product_form": "plate",
    "test_position": "3G",
}
LINE = {
    "process": "GMAW",
    "transfer_mode": "spray",
    "filler_classification": "ER5356",
    "deposit_thickness": "1/2",
}
TENSION = {
    "kind": "tension",
    "specimen": "T1",
    "width": ".750",
    "thickness": ".500",
    "load": "9900",
    "broke": "weld",
}
BEND = {
    "kind": "side_bend",
    "specimen": "SB1",
    "thickness": "1/8",
    "former": "2-1/16",
    "weld_in_bend": "yes",
    "broken": "no",
    "openings": "1/16",
}


def coupon(**changes: str) -> Coupon:
    return Coupon("PT-014", read_weld({**JOINT, **changes}, [LINE], RecordKind.TEST, "us").weld)


def content(*entries: dict[str, str], **changes: str) -> dict[str, Any]:
    results, problems = read_results(entries, "us")
    assert problems == ()
    return outcome_content(judge(coupon(**changes), results, edition("asme_ix_2023"), Side.PROCEDURE), "us")


def test_strength_is_worked_out_and_shown_in_both_unit_systems() -> None:
    # 9,900 lb over 0.750 x 1/2 in is 26,400 psi, which is 182.0 MPa; 6061 is asked 24,000 psi (TEN, AL207).
    line = content(TENSION)["lines"][0]
    (result,) = line["results"]
    assert (line["asked"], line["state"], line["verdict"]) == ("2 tension tests", "missing", "unknown")
    assert result["worked_out"] == [
        {"label": "Cross-section", "words": "0.375 in² (241.9 mm²)"},
        {"label": "Strength", "words": "26400 psi (182 MPa)"},
    ]
    assert {"label": "Highest load", "words": "9900 lbf (44.04 kN)"} in result["stated"]
    assert "Specimen shape" not in [row["label"] for row in result["stated"]], "nobody stated it"
    (check,) = result["checks"]
    assert check["sentence"] == "Its strength is 26400 psi; at least 24000 psi is asked (6061)."
    assert (check["citation"]["clause"], check["citation"]["provenance"]) == ("QW-153.1(a), (b)", "memory")
    assert check["citation"]["remark"].endswith("hold it against the book.")


def test_a_failed_bend_says_by_how_much_and_by_which_clause() -> None:
    found = content({**BEND, "openings": "3/16"})
    line = found["lines"][1]
    assert (found["overall_words"], found["verdict"], line["state_words"]) == (
        "Failed",
        "not_covered",
        "Failed",
    )
    assert "It opened 3/16 in, more than 1/8 in." in line["sentence"]
    assert line["results"][0]["stated"][-1] == {"label": "Openings", "words": "3/16 in (4.76 mm)"}


def test_what_keeps_the_tests_from_being_told_is_listed() -> None:
    found = content(thickness_a="", thickness_b="")
    assert found["overall"] == "incomplete"
    assert any(sentence.lower().startswith("state thickness of side a") for sentence in found["open"])


def test_a_kind_the_coupon_does_not_take_is_told_apart() -> None:
    found = content({"kind": "fracture", "specimen": "F1", "bent_flat": "yes"})
    assert found["misfits"] == [
        "Fracture test F1: this procedure coupon does not take a fracture test. Remove it, or enter it as one"
        " of: " + _kinds(found) + "."
    ]


def _kinds(found: dict[str, Any]) -> str:
    return found["misfits"][0].split("one of: ")[1].rstrip(".")


def test_a_specimen_that_does_not_count_says_why_at_its_own_line_only() -> None:
    found = content({**BEND, "former": "3"})
    assert found["misfits"] == []
    (result,) = found["lines"][1]["results"]
    assert result["mark_words"] == "Does not count"
    assert result["checks"][0]["sentence"] == "It was bent over a former of 3 in; at most 2 1/16 in is asked."


def test_the_way_meant_is_kept_as_text_and_the_first_one_holds_without() -> None:
    bends = required_tests(coupon(), edition("asme_ix_2023"), Side.PROCEDURE).requirements[1]
    first, second = bends.alternatives
    assert way_name(bends) == "way.bends"
    assert way_meant(bends, {}) is first
    assert way_value(second) == "face_bend:2+root_bend:2"
    assert way_meant(bends, {"way.bends": way_value(second)}) is second
    assert way_meant(bends, {"way.bends": "nick_break:9"}) is first
    assert without_ways({"way.bends": "x", "bends": "longitudinal"}) == {"bends": "longitudinal"}


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({**BEND, "openings": "none"}, "None"),
        ({**BEND, "openings": "1/8 corner slag"}, "1/8 in (3.18 mm) at a corner, slag"),
    ],
)
def test_openings_are_said_back(entries: dict[str, str], words: str) -> None:
    stated = content(entries)["lines"][1]["results"][0]["stated"]
    assert stated[-1] == {"label": "Openings", "words": words}
