"""`manage.py ranges FILE`: the range of one test, the same as the rules give it, or a clear refusal."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from qualification.rules.core.facts import Coupon, Side
from qualification.rules.editions import loader
from qualification.rules.entries.answer_words import row_of_limit
from qualification.rules.entries.derive import derive
from qualification.rules.entries.reading import read_weld
from qualification.rules.interface.schema import FORMAT
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.variables.definition import RecordKind
from tests.interface.documents import EDITION, TEST, answer, problems, put, run, test_record


def tension(name: str, load: str) -> dict[str, str]:
    section = {"width": "3/4 in", "thickness": "1/4 in", "broke": "weld"}
    return {"kind": "tension", "specimen": name, "load": load, **section}


def bend(kind: str, name: str) -> dict[str, str]:
    made = {"thickness": "1/8 in", "former": "2-1/16 in", "weld_in_bend": "yes", "broken": "no"}
    return {"kind": kind, "specimen": name, "openings": "none", **made}


RESULTS = [
    tension("T1", "5000 lbf"),
    tension("T2", "5100 lbf"),
    *(bend("face_bend", name) for name in ("FB1", "FB2")),
    *(bend("root_bend", name) for name in ("RB1", "RB2")),
]


def judged(results: list[dict[str, str]], **changes: Any) -> dict[str, Any]:
    return answer("ranges", test_record(results_passed=None, results=results, **changes))


def test_the_rows_are_those_of_the_rules() -> None:
    given = answer("ranges", test_record())
    made = loader.edition(EDITION)
    weld = read_weld(TEST["joint"], TEST["lines"], RecordKind.TEST, "us").weld
    found = range_qualified(Coupon("PT-7", weld), made, Side.PROCEDURE)
    rows = [{k: v for k, v in row.items() if k != "exact"} for row in given["lines"][0]["rows"]]
    assert rows == [
        row_of_limit(limit, "us", 0).as_json() | {"row": limit.citation.row}
        for limit in found.lines[0].limits
    ]
    assert given["edition"]["fingerprint"] == made.fingerprint
    assert (given["format"], given["document"], given["record"]) == (FORMAT, "ranges", "PT-7")


def test_the_facts_are_those_understood_grouped_and_derived() -> None:
    facts = answer("ranges", test_record())["facts"]
    weld = derive(
        group(read_weld(TEST["joint"], TEST["lines"], RecordKind.TEST, "us").weld, loader.edition(EDITION))
    )
    assert set(facts["joint"]) == set(weld.joint)
    assert facts["joint"]["p_number_a"] == {"kind": "choices", "choices": ["23"]}
    assert facts["joint"]["thickness_thinner"]["low"] == {"value": "6.35", "open": False}


def test_a_row_holds_its_exact_values() -> None:
    """T of 1/4 in qualifies 1/16 in to 2T for a groove weld (QW-451.1, published: AL207)."""
    rows = answer("ranges", test_record())["lines"][0]["rows"]
    (row,) = [r for r in rows if r["variable"] == "thickness_thinner" and r["clause"] == "QW-451.1"]
    assert row["exact"]["qualified"] == {
        "kind": "interval",
        "unit": "mm",
        "low": {"value": "1.5875", "open": False},
        "high": {"value": "12.7", "open": False},
    }
    assert row["exact"]["tested"]["low"] == row["exact"]["tested"]["high"] == {"value": "6.35", "open": False}
    assert {"variable": "weld_type", "is": {"kind": "choices", "choices": ["groove"]}} in row["exact"]["when"]
    assert row["qualified"] == "1/16 to 1/2 in (1.59 to 12.7 mm)"
    assert row["row"] == "bands.toml, groove_thickness row 2"


@pytest.mark.parametrize("kind", ["interval", "choices", "anything", "undetermined"])
def test_every_kind_of_range_comes_up(kind: str) -> None:
    rows = answer("ranges", test_record())["lines"][0]["rows"]
    assert kind in {row["exact"]["qualified"]["kind"] for row in rows}


def test_results_said_to_have_passed_are_marked_as_such() -> None:
    given = answer("ranges", test_record())
    assert (given["results"], given["issues_range"]) == ({"basis": "taken as passed"}, True)


def test_results_that_pass_are_judged_and_a_range_is_issued() -> None:
    given = judged(RESULTS)
    assert (given["results"]["basis"], given["results"]["overall"]) == ("judged", "passed")
    assert (given["issues_range"], given["refusals"]) == (True, [])
    assert given["lines"] == answer("ranges", test_record())["lines"]


def test_a_failed_bend_issues_no_range_and_says_why() -> None:
    given = judged([*RESULTS[:-1], {**RESULTS[-1], "openings": "3/16"}])
    assert (given["results"]["overall"], given["issues_range"], given["lines"]) == ("failed", False, [])
    assert any("RB2" in sentence for sentence in given["refusals"])


@pytest.mark.parametrize("results", [[], RESULTS[:-1]])
def test_a_missing_result_issues_no_range(results: list[dict[str, str]]) -> None:
    given = judged(results)
    assert (given["results"]["overall"], given["issues_range"], given["lines"]) == ("incomplete", False, [])
    assert given["refusals"]


def test_a_welders_test_is_read_for_the_welder() -> None:
    joint = {
        "weld_type": "groove",
        "product_form": "plate",
        "test_position": ["3G", "4G"],
        "p_number_a": "23",
        "p_number_b": "23",
        "thickness_a": "3/8 in",
        "thickness_b": "same",
    }
    line = {
        "process": "GMAW",
        "operation": "semiautomatic",
        "f_number": "22",
        "filler_form": "solid",
        "backing": "metal",
        "transfer_mode": "spray",
        "deposit_thickness": "3/8 in",
        "layers": "3",
        "progression": "up",
    }
    given = answer("ranges", {**test_record(joint=joint, lines=[line]), "side": "welder"})
    assert given["side"] == "welder"
    rows = [
        r
        for r in given["lines"][0]["rows"]
        if r["variable"] == "position" and r["exact"]["qualified"]["choices"]
    ]
    assert any("overhead" in row["exact"]["qualified"]["choices"] for row in rows)


def test_a_metric_record_is_read_by_the_metric_limits() -> None:
    document = put(
        put(test_record(units="si"), "/joint/thickness_a", "6"), "/lines/0/deposit_thickness", "6 mm"
    )
    rows = answer("ranges", document)["lines"][0]["rows"]
    (row,) = [r for r in rows if r["variable"] == "thickness_thinner" and r["clause"] == "QW-451.1"]
    low, high = row["exact"]["qualified"]["low"]["value"], row["exact"]["qualified"]["high"]["value"]
    assert (Decimal(low), Decimal(high)) == (Decimal("1.5"), Decimal(12))


def test_the_command_reads_a_file_and_standard_input_alike(tmp_path: Path) -> None:
    file = tmp_path / "test.json"
    file.write_text(json.dumps(test_record()), encoding="utf-8")
    from_file, from_input = (
        run("ranges", "test.json", cwd=tmp_path),
        run("ranges", "-", given=file.read_bytes()),
    )
    assert (from_file.returncode, from_file.stderr) == (0, b"")
    assert from_file.stdout == from_input.stdout
    assert json.loads(from_file.stdout) == answer("ranges", test_record())


BAD = [
    # place, value put there, pointer the refusal names, words of its message
    ("/edition", "asme_ix_1923", "/edition", "“asme_ix_1923” is not one of api_1104_2021, asme_ix_2023"),
    ("/side", "shop", "/side", "“shop” is not one of procedure, welder"),
    ("/units", "metric", "/units", "“metric” is not one of us, si"),
    ("/units", 3, "/units", "The value 3 is given; give one of us, si as text"),
    ("/record", "", "/record", "leave the key out"),
    ("/record", 7, "/record", "The value 7 is given; give text"),
    ("/record", "x" * 81, "/record", "81 characters long; at most 80"),
    ("/format", "coupon-to-paper/9", "/format", 'can only be "coupon-to-paper/1"'),
    ("/notes", "x", "/notes", "Unknown key: “notes”"),
    ("/join", {}, "/join", "Unknown key: “join”. Did you mean “joint”?"),
    ("/joint", [], "/joint", "A list is given; give an object"),
    ("/lines", {}, "/lines", "An object is given; give a list"),
    ("/lines", [], "/lines", "The list is empty"),
    ("/lines", [TEST["lines"][0]] * 21, "/lines", "holds 21 items; at most 20"),
    ("/lines/0", "GMAW", "/lines/0", "The text “GMAW” is given; give an object"),
    ("/joint/thicknes_a", "1 in", "/joint/thicknes_a", "Did you mean “thickness_a”?"),
    ("/joint/position", "flat", "/joint/position", "Unknown key: “position”"),
    ("/joint/a~b/c", "x", "/joint/a~0b~1c", "Unknown key: “a~b/c”"),
    ("/joint/thickness_a", 0.25, "/joint/thickness_a", "Write a number as text with its unit"),
    ("/joint/thickness_a", ["1/4 in"], "/joint/thickness_a", "A list is given; give text"),
    ("/joint/thickness_a", None, "/joint/thickness_a", "The value null is given"),
    ("/joint/thickness_a", "1/4 lb", "/joint/thickness_a", "Thickness of side A: “lb” is not a unit"),
    ("/joint/thickness_a", "thick", "/joint/thickness_a", "could not be read as a number"),
    ("/joint/thickness_a", "1/8 - 1/4 in", "/joint/thickness_a", "one number, not a range"),
    ("/joint/thickness_a", "40 in", "/joint/thickness_a", "outside what this field takes"),
    ("/joint/thickness_a", "1,500 mm", "/joint/thickness_a", "can be read two ways"),
    ("/joint/preheat_min", "9" * 81, "/joint/preheat_min", "81 characters long"),
    ("/joint/base_metal_a", "6O61", "/joint/base_metal_a", "is not in the catalogue"),
    ("/joint/p_number_a", "25", "/joint/p_number_a", "P-Number of side A"),
    ("/joint/weld_type", "seam", "/joint/weld_type", "“seam” is not one of groove, fillet, plug"),
    ("/joint/weld_type", ["groove"], "/joint/weld_type", "A list is given; give one of groove"),
    ("/lines/0/process", "EBW", "/lines/0/process", "“EBW” is not one of SMAW, GMAW"),
    ("/lines/0/tungsten_type", "EWLa-1.5", "/lines/0/tungsten_type", "not a variable of this line's process"),
    ("/lines/0/gas", "Ar", "/lines/0/gas", "Unknown key: “gas”"),
    ("/lines/0/shielding_gas", "75Ar/20CO2", "/lines/0/shielding_gas", "add up to 95 %"),
    ("/lines/0/amps", "170-150", "/lines/0/amps", "smaller number first"),
    ("/lines/0/deposit_thickness", "1/2 in", "/lines/0/deposit_thickness", "more than the joint's"),
    ("/lines/0/filler_form", "powder", "/lines/0/filler_form", "ER5356 is Bare solid"),
    ("/results_passed", False, "/results_passed", "can only be true"),
    ("/particulars", {"bends": "transverse"}, "", "they need “results”"),
]


def test_an_entry_that_does_not_apply_is_told_and_does_not_count() -> None:
    plain = test_record()
    assert plain["joint"]["pwht"] == "none"
    said = answer("ranges", put(plain, "/joint/pwht_time", "1 h"))
    told = {"where": "/joint/pwht_time", "typed": "1 h", "read": "set aside, does not apply to this weld"}
    assert told in said["readings"]
    assert said["lines"] == answer("ranges", test_record())["lines"]


@pytest.mark.parametrize(
    ("place", "value", "where", "words"), BAD, ids=[f"{b[0]}: {str(b[1])[:20]}" for b in BAD]
)
def test_a_problem_is_named_by_place_and_words(place: str, value: Any, where: str, words: str) -> None:
    document = test_record()
    if place == "/joint/a~b/c":
        document["joint"]["a~b/c"] = value
    else:
        document = put(document, place, value)
    found = problems("ranges", document)
    assert [p.where for p in found] == [where]
    assert words in found[0].message


BAD_RESULTS = [
    ([{"kind": "taste"}], "/results/0/kind", "“taste” is not one of tension"),
    ([{"specimen": "T1"}], "/results/0", "“kind” is missing"),
    ([{"kind": "tension", "colour": "red"}], "/results/0/colour", "Unknown key"),
    ([{"kind": "tension", "specimen": "T1", "openings": "none"}], "/results/0/openings", "Unknown key"),
    ([{"kind": "tension", "specimen": "T1", "load": 5000}], "/results/0/load", "Write a number as text"),
    ([{**RESULTS[0], "load": "5000 mm"}], "/results/0/load", "is not a unit"),
    ([{**RESULTS[0], "broke": "somewhere"}], "/results/0/broke", "“somewhere” is not one of"),
    ([RESULTS[0], {**RESULTS[0]}], "/results/1/specimen", "entered twice"),
    ("passed", "/results", "give a list"),
]


@pytest.mark.parametrize(
    ("results", "where", "words"), BAD_RESULTS, ids=[f"{b[1]}: {b[2]}" for b in BAD_RESULTS]
)
def test_a_problem_in_the_results_is_named(results: Any, where: str, words: str) -> None:
    found = problems("ranges", test_record(results_passed=None, results=results))
    assert [p.where for p in found] == [where]
    assert words in found[0].message


@pytest.mark.parametrize(
    ("particulars", "where"),
    [
        ({"bends": "sideways"}, "/particulars/bends"),
        ({"minimum_tensile": "24000 mm"}, "/particulars/minimum_tensile"),
    ],
)
def test_a_problem_in_the_particulars_is_named(particulars: dict[str, str], where: str) -> None:
    document = test_record(results_passed=None, results=RESULTS, particulars=particulars)
    assert [p.where for p in problems("ranges", document)] == [where]


@pytest.mark.parametrize("key", ["edition", "side", "units", "record", "joint", "lines"])
def test_what_is_missing_is_named(key: str) -> None:
    assert [p.message for p in problems("ranges", test_record(**{key: None}))] == [f"“{key}” is missing."]


def test_silence_about_the_results_qualifies_nothing() -> None:
    (missing,) = problems("ranges", test_record(results_passed=None))
    assert (
        missing.message
        == "The results are missing: give “results”, or “results_passed”: true if they passed."
    )
    (both,) = problems("ranges", test_record(results=RESULTS))
    assert both.message == "“results” and “results_passed” are both given; give one of them."


def test_all_problems_are_told_at_once_in_the_order_of_the_document() -> None:
    document = put(put(test_record(lines=[TEST["lines"][0]] * 12), "/lines/11/amps", 3), "/lines/2/amps", 4)
    document = put(document, "/joint/thicknes", "1 in")
    assert [p.where for p in problems("ranges", document)] == [
        "/joint/thicknes",
        "/lines/2/amps",
        "/lines/11/amps",
    ]


NOT_JSON = [
    (b"", "is not JSON: line 1, column 1"),
    (b"{", "is not JSON: line 1"),
    (b'{"edition": "x",\n "side" "procedure"}', "is not JSON: line 2, column 9"),
    (b"[]", "A list is given; give an object"),
    (b"null", "The value null is given; give an object"),
    (b'{"units": NaN}', "NaN is not a JSON value"),
    (b'{"units": "us", "units": "si"}', "“units” stands twice"),
    (b"\xff\xfe", "is not UTF-8 text: byte 1"),
    (b"[" * 100_000, "nested too deeply"),
    (b"1" * 5000, "is not JSON this interface takes"),
]


@pytest.mark.parametrize(("text", "words"), NOT_JSON, ids=[words for _, words in NOT_JSON])
def test_what_is_no_document_is_refused_as_a_whole(text: bytes, words: str) -> None:
    (found,) = problems("ranges", text)
    assert found.where == ""
    assert words in found.message


def test_a_byte_order_mark_does_not_disturb() -> None:
    assert problems("ranges", b"\xef\xbb\xbf" + json.dumps(test_record()).encode()) == ()


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (b"{", "bad.json: is not JSON: line 1, column 2"),
        (
            json.dumps(put(test_record(), "/joint/thickness_a", "x")).encode(),
            "bad.json: /joint/thickness_a: Thickness of side A",
        ),
        (json.dumps(test_record(edition="none")).encode(), "bad.json: /edition: “none” is not one of"),
    ],
)
def test_the_command_refuses_with_status_2_file_and_place(
    tmp_path: Path, text: bytes, complaint: str
) -> None:
    (tmp_path / "bad.json").write_bytes(text)
    done = run("ranges", "bad.json", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().startswith(complaint)
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize(("file", "why"), [("absent.json", "No such file"), (".", "Is a directory")])
def test_the_command_says_when_a_file_cannot_be_read(tmp_path: Path, file: str, why: str) -> None:
    done = run("ranges", file, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().startswith(f"{file}: cannot be read: {why}")


def test_the_command_names_standard_input() -> None:
    done = run("ranges", "-", given=b"")
    assert done.returncode == 2
    assert done.stderr.startswith(b"standard input: is not JSON")
