"""`n/a` on a test or on a weld takes no limit away: over every base of every edition and both sides."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from qualification.rules.core.facts import Coupon, Side, Weld
from qualification.rules.core.findings import VariableClass, Verdict
from qualification.rules.core.values import MISSING, NOT_APPLICABLE, Anything, Interval
from qualification.rules.editions.loader import edition
from qualification.rules.entries.derive import derive
from qualification.rules.entries.reading import read_weld
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.coverage import coverage
from qualification.rules.ranges.inside_box import inside_box
from qualification.rules.ranges.ranges import range_qualified
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.absence import has_none
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry
from tests.rules.readers.case_files import Case, base_case, bases

BASES = sorted(bases())


def marked(weld: Weld, key: str) -> Weld:
    if registry()[key].level is Level.JOINT:
        return replace(weld, joint=weld.joint.including({key: NOT_APPLICABLE}))
    return replace(weld, lines=tuple(line.including({key: NOT_APPLICABLE}) for line in weld.lines))


def made_of(name: str) -> Edition:
    return edition(bases()[name].get("edition", "asme_ix_2023"))


def limited(coupon: Coupon, made: Edition, side: Side) -> dict[tuple[str, VariableClass], int]:
    """How many limits a coupon lays on each variable, by weight; those without a limit left out."""
    found: dict[tuple[str, VariableClass], int] = {}
    for line in range_qualified(coupon, made, side).lines:
        for limit in line.limits:
            if not isinstance(limit.allowed, Anything) and limit.standing is not VariableClass.NONESSENTIAL:
                key = (limit.variable, limit.standing)
                found[key] = found.get(key, 0) + 1
    return found


def stated(weld: Weld) -> Iterator[str]:
    whole = weld.line_facts(0)
    return (key for key in whole if not registry()[key].derived and key != "process" and whole.given(key))


@pytest.mark.parametrize("name", BASES)
def test_no_entry_of_a_test_loses_every_limit_on_something_when_it_is_marked(name: str) -> None:
    case, made = base_case(name), made_of(name)
    coupon = case.coupons[0]
    before = limited(coupon, made, case.side)
    lost = {}
    for key in stated(coupon.weld):
        if key in SAYS_NONE or has_none(key, derive(group(coupon.weld, made)).line_facts(0)):
            continue
        after = limited(replace(coupon, weld=marked(coupon.weld, key)), made, case.side)
        gone = {variable for variable, _ in before} - {variable for variable, _ in after} - OTHER_FORMS
        if gone and not _waits(coupon, key, made, case):
            lost[key] = gone
    assert lost == {}


SAYS_NONE = frozenset({"backing_gas", "trailing_gas"})
"""Gases a coupon may be without: marked, they say that there was none, as `none` does."""
OTHER_FORMS = frozenset({"metal_pair"})
"""The metals by name: without the name the limit is on their groups, and waits."""


def _waits(coupon: Coupon, key: str, made: Edition, case: Case) -> bool:
    """True when even the weld that the coupon covered is no longer covered."""
    report = coverage(case.weld, [replace(coupon, weld=marked(coupon.weld, key))], made, case.side)
    return report.verdict > Verdict.COVERED


@pytest.mark.parametrize("name", BASES)
def test_marking_an_entry_of_the_weld_never_covers_more_than_stating_it(name: str) -> None:
    """Of what every weld has, `n/a` leaves the answer open, as a blank does."""
    case, made = base_case(name), made_of(name)
    for key in stated(case.weld):
        if registry()[key].may_be_na or has_none(key, derive(group(case.weld, made)).line_facts(0)):
            continue
        blank = (
            replace(case.weld, joint=case.weld.joint.including({key: MISSING}))
            if registry()[key].level is Level.JOINT
            else replace(case.weld, lines=tuple(line.including({key: MISSING}) for line in case.weld.lines))
        )
        of_blank = coverage(blank, case.coupons, made, case.side).verdict
        of_marked = coverage(marked(case.weld, key), case.coupons, made, case.side).verdict
        # A group that is marked is not filled in from the name beside it, so it may only leave more open.
        assert of_marked is of_blank or of_marked is Verdict.UNKNOWN, key


ENTRIES = {
    "weld_type": "groove",
    "product_form": "pipe",
    "diameter": "4 in",
    "thickness_a": "1/4 in",
    "thickness_b": "same",
    "base_metal_a": "6061",
    "base_metal_b": "same",
}
NEVER = [
    ("weld_type", "every weld has one. Choose one, or leave it blank until it is known"),
    ("product_form", "every weld has one. Choose Plate, sheet or profile or Pipe or tube"),
    ("thickness_a", "every weld has one. Enter it"),
    ("base_metal_a", "every weld has one. Enter it"),
    ("diameter", "product form is Pipe or tube. Enter it"),
    ("impact_tested", "this is either yes or no. Choose Yes or No"),
]


@pytest.mark.parametrize(("key", "words"), NEVER)
def test_what_every_coupon_has_cannot_be_marked_and_reads_as_missing(key: str, words: str) -> None:
    read = read_weld({**ENTRIES, key: "N/A"}, [{"process": "GMAW"}], RecordKind.TEST, "us")
    (problem,) = [p for p in read.problems if p.key == key]
    assert words in problem.message
    assert problem.message.startswith(f"{registry()[key].label}: n/a cannot be entered, since")
    assert read.weld.joint[key] is MISSING


@pytest.mark.parametrize(
    ("key", "use", "words"),
    [
        ("operation", RecordKind.TEST, "every weld has one. Choose Manual"),
        ("filler_classification", RecordKind.TEST, "every weld has one. Enter it"),
        ("f_number", RecordKind.TEST, "every weld has one. Choose one"),
        ("toughness_required", RecordKind.PART, "this is either yes or no. Choose Yes or No"),
        ("toughness_required", RecordKind.SPEC, "this is either yes or no. Choose Yes or No"),
    ],
)
def test_of_a_line_and_of_a_weld_as_well(key: str, use: RecordKind, words: str) -> None:
    at_joint = registry()[key].level is Level.JOINT
    read = read_weld(
        {key: "n/a"} if at_joint else {},
        [{"process": "GTAW", **({} if at_joint else {key: "n/a"})}],
        use,
        "us",
    )
    assert [(p.key, words in p.message) for p in read.problems] == [(key, True)]


@pytest.mark.parametrize(
    ("joint", "line"),
    [
        ({"product_form": "plate", "diameter": "n/a"}, {"process": "GMAW"}),
        ({"diameter": "n/a"}, {"process": "GMAW"}),
        ({}, {"process": "GTAW", "filler_used": "no", "filler_classification": "n/a", "f_number": "n/a"}),
        ({"weld_type": "fillet", "groove_type": "n/a"}, {"process": "GMAW", "deposit_thickness": "n/a"}),
        ({}, {"process": "GMAW", "backing_gas": "n/a", "trailing_gas": "n/a", "a_number": "n/a"}),
        ({"preheat_maintenance": "n/a"}, {"process": "SMAW", "shielding_gas": "n/a"}),
    ],
)
def test_what_a_weld_may_lack_is_still_marked(joint: dict[str, str], line: dict[str, str]) -> None:
    read = read_weld(joint, [line], RecordKind.TEST, "us")
    assert read.problems == ()
    found = {**read.weld.joint, **read.weld.lines[0]}
    assert {k for k, v in found.items() if v is NOT_APPLICABLE} == {
        k for k, v in {**joint, **line}.items() if v == "n/a"
    }


BOX = {
    **ENTRIES,
    "product_form": "plate",
    "diameter": "",
    "position": "flat",
    "toughness_required": "no",
}


@pytest.mark.parametrize("key", ["weld_type", "position", "toughness_required", "product_form"])
def test_a_drawing_that_marks_what_only_it_can_say_is_not_inside_a_procedure(key: str) -> None:
    made = edition("aws_d1_2_2014")
    read = read_weld(BOX, [], RecordKind.SPEC, "us").weld
    part = replace(read, joint=read.joint.including({key: NOT_APPLICABLE}))
    found = {f.variable: f.verdict for f in inside_box(part, read, made)}
    assert found[key] is Verdict.UNKNOWN


def test_an_outside_diameter_marked_on_pipe_is_open_and_on_plate_no_matter() -> None:
    made = edition("aws_d1_2_2014")
    plate = read_weld(BOX, [], RecordKind.SPEC, "us").weld
    without = replace(plate, joint=plate.joint.including({"diameter": NOT_APPLICABLE}))
    assert "diameter" not in {f.variable for f in inside_box(without, plate, made)}
    pipe = without.joint.including({"product_form": frozenset({"pipe"})})
    claimed = plate.joint.including({"diameter": Interval.point(plate.joint["thickness_a"].low * 40)})  # type: ignore[union-attr]
    found = inside_box(replace(without, joint=pipe), replace(plate, joint=claimed), made)
    assert {f.variable: f.verdict for f in found}["diameter"] is Verdict.UNKNOWN
