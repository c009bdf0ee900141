"""`manage.py coverage` asked of a procedure without a test."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.interface.documents import TEST, answer, problems, put, run

QUESTION: dict[str, Any] = {
    "edition": "aws_d1_1_2020",
    "side": "procedure",
    "tests": [],
    "prequalified": True,
    "weld": {
        "units": "us",
        "joint": {
            "weld_type": "fillet",
            "base_metal_a": "SA-53 B",
            "base_metal_b": "same",
            "thickness_a": "1 in",
            "thickness_b": "same",
            "fillet_size": "1/4 in",
            "position": "horizontal",
            "preheat_min": "150 F",
            "toughness_required": "no",
        },
        "lines": [
            {
                "process": "SMAW",
                "filler_classification": "E6010",
                "filler_diameter": "1/8 in",
                "passes_per_side": "single",
            },
        ],
    },
}


def test_a_weld_within_the_limits() -> None:
    given = answer("coverage", QUESTION)
    assert (given["prequalified"], given["covered"], given["verdict"]) == (True, True, "covered")
    assert given["sentence"] == "Within the limits of procedures that need no test."
    assert (given["relied_on"], given["tests"], given["obstacles"]) == ([], [], [])
    assert {f["clause"] for f in given["lines"][0]["findings"]} >= {"Table 5.1", "5.7, Table 5.8", "5.5.1"}


def test_preheat_of_cellulosic_and_of_low_hydrogen_electrodes() -> None:
    """1 in of category A asks 150 °F, with low hydrogen 50 °F (Table 5.8, published: P32)."""
    cold = put(QUESTION, "/weld/joint/preheat_min", "149 F")
    given = answer("coverage", cold)
    assert [o["clause"] for o in given["obstacles"]] == ["5.7, Table 5.8"]
    assert given["obstacles"][0]["exact"]["qualified"]["low"] == {"value": "150", "open": False}
    low_hydrogen = put(
        put(cold, "/weld/lines/0/filler_classification", "E7018"), "/weld/joint/preheat_min", "50 F"
    )
    assert answer("coverage", low_hydrogen)["covered"]


def test_a_groove_waits_for_its_figure() -> None:
    given = answer(
        "coverage", put(put(QUESTION, "/weld/joint/weld_type", "groove"), "/weld/joint/fillet_size", "n/a")
    )
    assert not given["covered"]
    assert "groove_type" in {o["variable"] for o in given["obstacles"]}


def test_a_question_about_tests_says_that_it_is_none_of_these() -> None:
    given = answer("coverage", {**QUESTION, "prequalified": False})
    assert (given["prequalified"], given["verdict"]) == (False, "not_covered")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"edition": "asme_ix_2023"}, "has no procedures that need no test"),
        (
            {"tests": [{**TEST, "results_passed": True}], "edition": "aws_d1_1_2020"},
            "Tests are given as well",
        ),
        ({"prequalified": "yes"}, ""),
    ],
)
def test_questions_that_cannot_be_asked(change: dict[str, Any], said: str) -> None:
    found = [p for p in problems("coverage", {**QUESTION, **change}) if p.where == "/prequalified"]
    assert found
    assert said in found[0].message


def test_a_welder_is_never_without_a_test() -> None:
    document = {**QUESTION, "side": "welder"}
    document["weld"] = {"units": "us", "joint": {"weld_type": "fillet"}, "lines": [{"process": "SMAW"}]}
    found = problems("coverage", document)
    assert [(p.where, p.message) for p in found] == [
        ("/prequalified", "Only procedures go without a test; leave it out for a welder.")
    ]


def test_by_the_command() -> None:
    done = run("coverage", "-", given=json.dumps(QUESTION).encode())
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["covered"] is True
