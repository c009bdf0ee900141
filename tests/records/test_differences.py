"""What differs between two contents of a record, and the next number of a series."""

import pytest

from qualification.records.differences import Difference, differences
from qualification.records.numbering import next_number
from qualification.records.summaries import summary
from qualification.rules.variables.definition import RecordKind

BASE = {
    "units": "us",
    "title": "Deck",
    "joint": {"thickness_a": "1/4", "thickness_b": "same", "position": ["flat", "vertical"]},
    "lines": [{"process": "GTAW", "amps": "90"}, {"process": "GMAW", "amps": "150"}],
}
HEADS = {"title": "Title", "units": "Units"}


def changed(**changes: object) -> list[tuple[str, str, str, str]]:
    found = differences(BASE, {**BASE, **changes}, RecordKind.SPEC, HEADS)
    return [(each.where, each.label, each.before, each.after) for each in found]


def test_what_is_the_same_is_not_named() -> None:
    assert changed() == []


def test_the_same_value_in_another_spelling_is_no_difference() -> None:
    assert (
        changed(joint={"thickness_a": "1/4 in", "thickness_b": "6.35 mm", "position": ["Vertical", "flat"]})
        == []
    )


def test_a_change_of_units_alone_changes_no_length_written_with_its_unit() -> None:
    before = {**BASE, "joint": {"thickness_a": "6.35 mm"}}
    found = differences(before, {**before, "units": "si"}, RecordKind.SPEC, HEADS)
    assert found == [Difference("", "Units", "us", "si")]


def test_each_changed_entry_is_named_with_both_readings() -> None:
    joint = {"thickness_a": "3/8", "thickness_b": "1/4", "position": ["flat"]}
    assert changed(title="Deck, west", joint=joint) == [
        ("", "Title", "Deck", "Deck, west"),
        ("The joint", "Thickness of side A", "1/4 in (6.35 mm)", "3/8 in (9.53 mm)"),
        ("The joint", "Position", "Flat; Vertical", "Flat"),
    ]


def test_side_b_written_as_same_changes_with_side_a() -> None:
    joint = {**BASE["joint"], "thickness_a": "3/8"}
    assert [each[1] for each in changed(joint=joint)] == ["Thickness of side A", "Thickness of side B"]


def test_an_entry_that_came_or_went_is_named() -> None:
    joint = {"thickness_a": "1/4", "thickness_b": "same", "preheat_min": "60"}
    assert changed(joint=joint) == [
        ("The joint", "Position", "Flat; Vertical", "Not stated"),
        ("The joint", "Lowest preheat", "Not stated", "60 °F (16 °C)"),
    ]


def test_an_entry_that_cannot_be_read_is_shown_as_typed() -> None:
    joint = {**BASE["joint"], "position": ["flat", "vertical"], "preheat_min": "warm"}
    assert changed(joint=joint) == [("The joint", "Lowest preheat", "Not stated", "“warm”")]


def test_lines_are_compared_by_process_and_a_moved_one_is_called_moved() -> None:
    assert changed(lines=list(reversed(BASE["lines"]))) == [
        ("", "Order of processes", "GTAW, GMAW", "GMAW, GTAW")
    ]


def test_a_line_that_came_or_went_is_named_once() -> None:
    assert changed(lines=BASE["lines"][:1]) == [("GMAW", "Process line", "Present", "None")]
    more = [*BASE["lines"], {"process": "GMAW", "amps": "200"}]
    assert changed(lines=more) == [("GMAW, line 2", "Process line", "None", "Present")]


@pytest.mark.parametrize(
    ("taken", "follows"),
    [
        ([], "WPS-001"),
        (["WPS-001"], "WPS-002"),
        (["W-9"], "W-10"),
        (["W-009", "W-003"], "W-010"),
        (["W-099"], "W-100"),
        (["A-1", "W-12"], "W-13"),
        (["Deck"], "WPS-001"),
        (["12", "13"], "14"),
        (["W-7", "Deck"], "W-8"),
    ],
)
def test_numbers_go_on_in_the_shops_own_series(taken: list[str], follows: str) -> None:
    assert next_number(taken, "WPS-001") == follows


def test_a_summary_leaves_out_what_is_not_stated_or_not_readable() -> None:
    assert summary({}, [], "us", RecordKind.SPEC) == ""
    assert (
        summary({"weld_type": "groove", "thickness_a": "thick"}, [{"process": "GMAW"}], "us", RecordKind.SPEC)
        == "GMAW; Groove"
    )
