"""`manage.py coverage FILE`: verdict and findings, the same as the rules give them, or a clear refusal."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.editions import loader
from qualification.rules.entries.answer_words import row_of_finding, say_report
from qualification.rules.entries.reading import read_weld
from qualification.rules.interface.schema import FORMAT
from qualification.rules.ranges.coverage import coverage
from qualification.rules.variables.definition import RecordKind
from tests.interface.documents import (
    EDITION,
    ROOT,
    TEST,
    WELD,
    answer,
    problems,
    put,
    question,
    run,
    run_apart,
)
from tests.rules.readers.case_files import bases

THIN = {**TEST, "record": "PT-8", "joint": {**TEST["joint"], "thickness_a": "1/8 in"}}
THIN["lines"] = [{**TEST["lines"][0], "deposit_thickness": "1/8 in"}]


def wide(thickness: str) -> dict[str, Any]:
    return put(
        put(question(), "/weld/joint/thickness_a", thickness), "/weld/lines/0/deposit_thickness", "1/8 in"
    )


def test_the_findings_are_those_of_the_rules() -> None:
    given = answer("coverage", question())
    made = loader.edition(EDITION)
    tested = read_weld(TEST["joint"], TEST["lines"], RecordKind.TEST, "us").weld
    weld = read_weld(WELD["joint"], WELD["lines"], RecordKind.SPEC, "us").weld
    report = coverage(weld, [Coupon("PT-7", tested)], made, Side.PROCEDURE)
    assert (given["verdict"], given["sentence"]) == (report.verdict.key, say_report(report, "us"))
    rows = [{k: v for k, v in row.items() if k != "exact"} for row in given["lines"][0]["findings"]]
    expected = [
        row_of_finding(f, "us").as_json() | {"row": f.citation.row}
        for f in report.findings
        if f.verdict.key != "not_applicable"
    ]
    assert sorted(map(repr, rows)) == sorted(map(repr, expected))
    assert (given["format"], given["document"]) == (FORMAT, "coverage")
    assert given["edition"]["fingerprint"] == made.fingerprint


def test_a_covered_weld() -> None:
    given = answer("coverage", question())
    assert (given["covered"], given["verdict"], given["verdict_words"]) == (True, "covered", "Covered")
    assert (given["sentence"], given["relied_on"], given["obstacles"]) == ("Covered by PT-7.", ["PT-7"], [])
    assert given["lines"][0]["attempts"] == [
        {"record": "PT-7", "verdict": "covered", "verdict_words": "Covered", "obstacles": []}
    ]
    assert given["tests"] == [{"record": "PT-7", "results": {"basis": "taken as passed"}}]


def test_a_weld_outside_says_by_how_much_and_by_which_clause() -> None:
    """A coupon of 1/4 in covers base metal up to 2T = 1/2 in (QW-451.1, published: AL207)."""
    given = answer("coverage", wide("1/8 - 5/8 in"))
    assert (given["covered"], given["verdict"]) == (False, "not_covered")
    obstacle = given["obstacles"][0]
    assert (obstacle["clause"], obstacle["record"], obstacle["line"]) == ("QW-451.1", "PT-7", 0)
    assert obstacle["row"] == "bands.toml, groove_thickness row 2"
    assert obstacle["exact"]["qualified"]["high"] == {"value": "12.7", "open": False}
    assert obstacle["exact"]["found"]["high"] == {"value": "15.875", "open": False}
    assert given["lines"][0]["findings"][0]["verdict"] == "not_covered"


def test_a_missing_value_is_unknown_and_named() -> None:
    document = question()
    del document["weld"]["lines"][0]["shielding_gas"]
    given = answer("coverage", document)
    assert (given["covered"], given["verdict"]) == (False, "unknown")
    assert [o["exact"]["needs"] for o in given["obstacles"]] == [["shielding_gas"]]
    assert given["obstacles"][0]["exact"]["found"] == {"kind": "missing"}


def test_two_tests_share_what_neither_covers_alone() -> None:
    """T of 1/4 in covers 1/16 to 1/2 in, T of 1/2 in 3/16 to 1 in (QW-451.1, published: AL207)."""
    thick = {**TEST, "record": "PT-9", "joint": {**TEST["joint"], "thickness_a": "1/2 in"}}
    joined = answer("coverage", {**wide("1/16 - 1 in"), "tests": [TEST, thick]})
    assert (joined["verdict"], joined["relied_on"]) == ("covered", ["PT-7", "PT-9"])
    for alone in ([TEST], [thick]):
        assert answer("coverage", {**wide("1/16 - 1 in"), "tests": alone})["verdict"] == "not_covered"


def test_a_test_whose_results_failed_covers_nothing_and_says_why() -> None:
    bad = {
        "kind": "visual",
        "specimen": "V1",
        "cracks": "yes",
        "complete_fusion": "yes",
        "complete_penetration": "yes",
    }
    failed = {key: value for key, value in TEST.items() if key != "results_passed"} | {"results": [bad]}
    given = answer("coverage", question(tests=[failed]))
    assert given["verdict"] == "not_covered"
    assert given["tests"][0]["results"]["basis"] == "judged"
    assert given["refusals"]
    assert all(refusal.startswith("PT-7: ") for refusal in given["refusals"])


def test_without_tests_nothing_is_covered() -> None:
    given = answer("coverage", question(tests=[]))
    assert (given["verdict"], given["relied_on"]) == ("not_covered", [])


def test_records_may_be_kept_in_other_units_than_the_weld() -> None:
    metric = {
        **TEST,
        "units": "si",
        "record": "PT-10",
        "joint": {**TEST["joint"], "thickness_a": "6", "preheat_min": "15"},
    }
    metric["lines"] = [{**TEST["lines"][0], "deposit_thickness": "6", "max_pass_thickness": "3"}]
    assert answer("coverage", {**wide("12 mm"), "tests": [metric]})["verdict"] == "covered"
    given = answer("coverage", {**wide("12.01 mm"), "tests": [metric]})
    assert given["verdict"] == "not_covered"
    assert given["obstacles"][0]["found"].endswith("(12.01 mm)")


@pytest.mark.parametrize("name", sorted(bases()))
def test_every_base_of_the_cases_is_covered_through_the_interface_too(name: str) -> None:
    base = bases()[name]
    test = {"record": "T1", "units": base["units"], "results_passed": True, **base["coupon"]}
    document = {
        "edition": base.get("edition", EDITION),
        "side": base["side"],
        "tests": [test],
        "weld": {"units": base["units"], **base["weld"]},
    }
    assert answer("coverage", document)["sentence"] == "Covered by T1."


BAD = [
    ("/weld", [], "/weld", "A list is given; give an object"),
    ("/weld/units", "cm", "/weld/units", "“cm” is not one of us, si"),
    ("/weld/joint/thickness_a", "1/2 - 1/8 in", "/weld/joint/thickness_a", "smaller number first"),
    ("/weld/joint/test_position", "1G", "/weld/joint/test_position", "Unknown key"),
    ("/weld/lines/0/transfer_mode", ["spray", "arc"], "/weld/lines/0/transfer_mode/1", "“arc” is not one of"),
    (
        "/weld/lines/0/transfer_mode",
        ["spray", "spray"],
        "/weld/lines/0/transfer_mode",
        "names something twice",
    ),
    ("/weld/lines/0/transfer_mode", [], "/weld/lines/0/transfer_mode", "The list is empty"),
    (
        "/weld/lines/0/flux_kind",
        "neutral",
        "/weld/lines/0/flux_kind",
        "not a variable of this line's process",
    ),
    ("/weld/lines/0/deposit_thickness", "3/4 in", "/weld/lines/0/deposit_thickness", "more than the joint's"),
    ("/tests", {}, "/tests", "An object is given; give a list"),
    ("/tests/0", 1, "/tests/0", "The value 1 is given; give an object"),
    ("/tests/0/joint/thickness_a", "0", "/tests/0/joint/thickness_a", "is zero"),
    ("/tests/0/lines/0/amps", "150 V", "/tests/0/lines/0/amps", "“V” is not a unit"),
    ("/tests/0/edition", EDITION, "/tests/0/edition", "Unknown key"),
    ("/tests", [TEST, THIN, TEST], "/tests/2/record", "“PT-7” names an earlier test already"),
    ("/edition", None, "/edition", "The value null is given"),
]


@pytest.mark.parametrize(
    ("place", "value", "where", "words"), BAD, ids=[f"{b[0]}: {str(b[1])[:20]}" for b in BAD]
)
def test_a_problem_is_named_by_place_and_words(place: str, value: Any, where: str, words: str) -> None:
    found = problems("coverage", put(question(), place, value))
    assert [p.where for p in found] == [where]
    assert words in found[0].message


@pytest.mark.parametrize("key", ["edition", "side", "tests", "weld"])
def test_what_is_missing_is_named(key: str) -> None:
    assert [p.message for p in problems("coverage", question(**{key: None}))] == [f"“{key}” is missing."]


def test_a_test_without_results_is_refused() -> None:
    silent = {key: value for key, value in TEST.items() if key != "results_passed"}
    assert [p.where for p in problems("coverage", question(tests=[silent]))] == ["/tests/0"]


@pytest.mark.parametrize(
    ("document", "flags", "status"),
    [
        (question(), [], 0),
        (question(), ["--fail-uncovered"], 0),
        (wide("5/8 in"), [], 0),
        (wide("5/8 in"), ["--fail-uncovered"], 3),
        (question(tests=[]), ["--fail-uncovered"], 3),
        (question(edition="x"), ["--fail-uncovered"], 2),
    ],
)
def test_the_exit_status(document: dict[str, Any], flags: list[str], status: int) -> None:
    done = run("coverage", "-", *flags, given=json.dumps(document).encode())
    assert done.returncode == status
    if status == 2:
        complaint = f"standard input: /edition: “x” is not one of {', '.join(loader.editions()[:12])}, ….\n"
        assert (done.stdout, done.stderr.decode()) == (b"", complaint)
    else:
        assert json.loads(done.stdout) == answer("coverage", document)
        assert done.stderr == b""


def test_a_wrong_command_line_has_status_2() -> None:
    done = run("coverage")
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"FILE" in done.stderr


def test_the_example_in_the_handbook_comes_out_as_printed(tmp_path: Path) -> None:
    section = (ROOT / "qualification/rules/interface/README.md").read_text(encoding="utf-8")
    asked, printed = re.findall(r"```json\n(.*?)```", section, re.DOTALL)
    (command,) = re.findall(r"```sh\n\S+ manage.py (.*?)\n", section)
    (tmp_path / "weld.json").write_text(asked, encoding="utf-8")
    done = run_apart(*command.split(), cwd=tmp_path)
    assert done.returncode == 3, done.stderr.decode()
    assert _holds(json.loads(done.stdout), json.loads(printed)) == []


def _holds(whole: Any, part: Any, where: str = "") -> list[str]:
    """Places at which `whole` does not hold what `part` says; further keys of `whole` do not matter."""
    if isinstance(part, dict) and isinstance(whole, dict):
        return [p for key in part for p in _holds(whole.get(key), part[key], f"{where}/{key}")]
    if isinstance(part, list) and isinstance(whole, list) and len(part) <= len(whole):
        return [p for n, each in enumerate(part) for p in _holds(whole[n], each, f"{where}/{n}")]
    return [] if whole == part else [f"{where}: {whole!r}"]
