"""Entries that do not go together are pointed out on one side of each limit and left alone on the other, and
nothing is said of a correct record."""

from __future__ import annotations

import tomllib
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.facts import Facts, Weld
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.tabular import edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.trials.combination_tables import BASES
from qualification.rules.trials.combinations import CombinationCheck, checks_for, checks_of
from qualification.rules.trials.practice import FOLDER, build, practice
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry
from tests.rules.readers import case_files
from tests.rules.readers.outcome_cases import outcome_bases, outcome_cases

CASES = tomllib.loads(
    (Path(__file__).parents[1] / "cases" / "practice" / "combinations.toml").read_text("utf-8")
)
QUIET, ODD = (
    [
        pytest.param(case, changes, id=f"{case['key']}-{number}")
        for case in CASES["case"]
        for number, changes in enumerate(case[name])
    ]
    for name in ("quiet", "odd")
)
DEMO = Path(__file__).parents[3] / "fixtures" / "demo"


def read(case: dict[str, Any], changes: dict[str, Any]) -> tuple[ReadWeld, RecordKind]:
    base = deepcopy(CASES["base"][case["base"]])
    use = RecordKind(changes.get("use", base["use"]))
    for key, value in changes.items():
        if key != "use":
            base["joint" if registry()[key].level is Level.JOINT else "line"][key] = value
    found = read_weld(base["joint"], [base["line"]], use, "us")
    assert found.problems == ()
    return found, use


def said(case: dict[str, Any], changes: dict[str, Any]) -> list[str]:
    return [check.key for check in checks_of(*read(case, changes))]


@pytest.mark.parametrize(("case", "changes"), QUIET)
def test_what_goes_together_is_left_alone(case: dict[str, Any], changes: dict[str, Any]) -> None:
    assert case["key"] not in said(case, changes)


@pytest.mark.parametrize(("case", "changes"), ODD)
def test_what_does_not_go_together_is_pointed_out(case: dict[str, Any], changes: dict[str, Any]) -> None:
    assert case["key"] in said(case, changes)


def test_every_rule_has_a_case_on_each_side() -> None:
    assert [case["key"] for case in CASES["case"]] == [row.key for row in practice().combinations.rows]
    assert all(case["quiet"] and case["odd"] for case in CASES["case"])


@pytest.mark.parametrize("base", sorted(CASES["base"]))
def test_a_sound_record_brings_up_nothing(base: str) -> None:
    assert said({"base": base}, {}) == []


@cache
def _sound() -> tuple[tuple[str, Weld, RecordKind], ...]:
    """Welds of every base of the cases, as tested and as covered."""
    found = []
    for name in case_files.bases():
        case = case_files.base_case(name)
        found += [(name, coupon.weld, RecordKind.TEST) for coupon in case.coupons] + [
            (name, case.weld, RecordKind.SPEC)
        ]
    for key in sorted({base["edition"] for base in outcome_bases().values()}):
        found += [
            (case.name, case.coupon.weld, RecordKind.TEST)
            for case in outcome_cases(key)
            if case.name.startswith("bases: ")
        ]
    return tuple(found)


def test_no_base_of_the_cases_raises_a_false_alarm() -> None:
    assert len(_sound()) >= 240
    alarms = [(name, each.sentence) for name, weld, use in _sound() for each in checks_for(weld, use)]
    assert alarms == []


@pytest.mark.parametrize(
    ("file", "use"),
    [
        ("procedure_tests", RecordKind.TEST),
        ("procedures", RecordKind.SPEC),
        ("welder_tests", RecordKind.WELDER_TEST),
    ],
)
def test_no_record_of_the_demo_shop_raises_a_false_alarm(file: str, use: RecordKind) -> None:
    (records,) = tomllib.loads((DEMO / f"{file}.toml").read_text("utf-8")).values()
    assert len(records) >= 6
    for each in records:
        weld = read_weld(each["joint"], each["lines"], use, each.get("units", "us")).weld
        assert [check.sentence for check in checks_for(weld, use)] == []


STEEL_ON_ALUMINIUM = {"filler_classification": "ER70S-6", "filler_specification": "SFA-5.18"}


def one(case: dict[str, Any], key: str, changes: dict[str, Any]) -> CombinationCheck:
    (found,) = [each for each in checks_of(*read(case, changes)) if each.key == key]
    return found


def test_a_check_says_what_is_entered_why_and_on_what_it_rests() -> None:
    made = one({"base": "steel"}, "volts_short_circuit", {"volts": "28"})
    assert made.sentence.startswith(
        "Process 1. Voltage 28 V; Transfer mode Short-circuiting: An arc this long"
    )
    assert (made.basis, made.line, made.variables) == ("public source", 0, ("volts", "transfer_mode"))
    plain = made.as_json()
    assert plain["sources"][0]["url"].startswith("https://www.manualshelf.com/")
    assert plain["remark"].startswith("The page has up to 22 V")
    steel = one({"base": "aluminium"}, "filler_for_aluminium", STEEL_ON_ALUMINIUM)
    assert (steel.basis, steel.as_json()["sources"]) == ("common practice", [])


def test_what_is_of_the_joint_alone_is_said_once_for_all_lines() -> None:
    found_as, use = read({"base": "stick"}, {"sides_welded": "one", "back_gouging": "grinding"})
    weld = found_as.weld
    twice = Weld(weld.joint, (*weld.lines, *weld.lines))
    (found,) = checks_for(twice, use)
    assert (found.key, found.line) == ("gouged_from_one_side", None)


def test_every_row_says_on_what_it_rests() -> None:
    for row in practice().combinations.rows:
        assert row.basis in BASES.values()
        assert (row.basis == "public source") is bool(row.origin.sources)
        assert row.origin.sources or row.basis != "public source"


ODD_LINE = {
    "process": "GTAW",
    "operation": "manual",
    "filler_classification": "E7018",
    "filler_specification": "SFA-5.10",
    "shielding_gas": "75Ar/25CO2",
    "tungsten_diameter": "1/16 in",
    "current_type": "DCEN",
    "amps": "300",
    "volts": "36",
    "travel_speed": "4 in/min",
    "heat_input": "10 kJ/in",
    "backing": "none",
    "backing_material": "strip",
}
ODD_JOINT = {
    "weld_type": "groove",
    "base_metal_a": "6061",
    "base_metal_b": "same",
    "thickness_a": "1/8 in",
    "thickness_b": "same",
    "interpass_max": "500 °F",
    "root_opening": "1 in",
    "sides_welded": "one",
    "back_gouging": "arc",
}


@given(st.sets(st.sampled_from(sorted(ODD_LINE))), st.sets(st.sampled_from(sorted(ODD_JOINT))))
def test_leaving_entries_out_brings_up_nothing_new(line: set[str], joint: set[str]) -> None:
    full = read_weld(ODD_JOINT, [ODD_LINE], RecordKind.TEST, "us").weld
    less = Weld(
        Facts({key: value for key, value in full.joint.items() if key not in joint}),
        (Facts({key: value for key, value in full.lines[0].items() if key not in line}),),
    )
    all_said = {check.key for check in checks_for(full, RecordKind.TEST)}
    assert {check.key for check in checks_for(less, RecordKind.TEST)} <= all_said


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"fields": ["no_such"]}, "is not a variable"),
        ({"when": {"process": ["BRAZING"]}}, "is not a choice of process"),
        ({"limits": {"volts": {}}}, "needs `above` or `below`"),
        ({"metals": ["wood"]}, "is not a family of metals"),
        ({"gas_above": {"Xe": 1}}, "is not a component"),
        ({"provenance": "hearsay"}, "hearsay"),
        ({"provenance": "published"}, "names no source"),
        ({"check": "by_feel"}, "by_feel"),
        ({"uses": ["diary"]}, "diary"),
        ({"stated": []}, "expected a list"),
    ],
)
def test_a_spoilt_row_is_refused(change: dict[str, Any], message: str) -> None:
    files = deepcopy(dict(edition.read_files(edition.ROOT / FOLDER)))
    row = next(each for each in files["combinations.toml"]["combination"] if each["key"] == "no_gas")
    row.update(change)
    with pytest.raises(TableError, match=message):
        build(files)


def test_a_row_that_speaks_of_one_entry_alone_is_refused() -> None:
    files = deepcopy(dict(edition.read_files(edition.ROOT / FOLDER)))
    row = next(each for each in files["combinations.toml"]["combination"] if each["key"] == "no_gas")
    del row["no_gas"]
    with pytest.raises(TableError, match="second entry"):
        build(files)


ISO_NAMES = [
    ("SMAW", "G 42 4 M21 3Si1", "S355J2", "filler_process"),
    ("GMAW", "E 42 4 B 42 H5", "S355J2", "filler_process"),
    ("GMAW", "G 42 4 M21 3Si1", "6082-T6", "filler_for_aluminium"),
    ("GMAW", "G 42 4 M21 3Si1", "1.4404", "steel_filler_on_stainless"),
    ("GMAW", "S Al 4047A", "S355J2", "aluminium_filler"),
]


@pytest.mark.parametrize(("process", "filler", "metal", "key"), ISO_NAMES)
def test_a_filler_by_its_iso_name_alone_is_held_against_process_and_metal(
    process: str, filler: str, metal: str, key: str
) -> None:
    joint = {"base_metal_a": metal, "base_metal_b": "same"}
    found = read_weld(joint, [{"process": process, "filler_classification": filler}], RecordKind.TEST, "si")
    assert key in [check.key for check in checks_of(found, RecordKind.TEST)]


@pytest.mark.parametrize(
    ("process", "metal", "key"),
    [("GTAW", "SA-36", "active_gas_on_tungsten"), ("GMAW", "5083", "active_gas_on_aluminium")],
)
def test_a_group_of_active_gases_is_one_although_its_composition_is_open(
    process: str, metal: str, key: str
) -> None:
    joint = {"base_metal_a": metal, "base_metal_b": "same"}
    for gas, odd in (("M21", True), ("I3", False)):
        found = read_weld(joint, [{"process": process, "shielding_gas": gas}], RecordKind.TEST, "si")
        assert (key in [check.key for check in checks_of(found, RecordKind.TEST)]) is odd
