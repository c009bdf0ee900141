"""Entries that say nothing for a weld: never counted, never printed, kept for the editor."""

from __future__ import annotations

import pytest

from qualification.rules.core.values import MISSING, NOT_APPLICABLE
from qualification.rules.entries.reading import SET_ASIDE, read_weld
from qualification.rules.entries.showing import entered_groups
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry

JOINT = {"weld_type": "groove", "groove_type": "v", "groove_angle": "60", "fillet_size": "1/4"}


@pytest.mark.parametrize(
    ("weld_type", "meant", "aside"),
    [
        ("groove", {"groove_angle"}, {"fillet_size"}),
        ("fillet", {"fillet_size"}, {"groove_angle", "groove_type"}),
        (["groove", "fillet"], {"groove_angle", "fillet_size"}, set()),
        ("", {"groove_angle", "fillet_size"}, set()),
    ],
)
def test_entries_count_with_the_type_of_weld_that_gives_them_a_meaning(
    weld_type: str | list[str], meant: set[str], aside: set[str]
) -> None:
    entries = JOINT | {"weld_type": weld_type}
    facts = read_weld(entries, [], RecordKind.SPEC, "us").weld.joint
    assert {key for key in meant | aside if facts[key] is not MISSING} == meant
    groups = entered_groups(entries, [], RecordKind.SPEC, "us")
    assert {row.key for group in groups for row in group.rows} & (meant | aside) == meant
    labels = {text.split(": ")[0] for group in groups for text in group.set_aside}
    assert labels == {registry()[key].label for key in aside}


def test_what_is_set_aside_is_no_problem_however_it_is_written() -> None:
    entries = JOINT | {"fillet_size": "plenty"}
    assert read_weld(entries, [], RecordKind.SPEC, "us").problems == ()
    assert read_weld(entries | {"weld_type": "fillet"}, [], RecordKind.SPEC, "us").problems


def test_what_is_set_aside_is_said_beside_the_entry() -> None:
    read = read_weld(JOINT, [], RecordKind.SPEC, "us")
    assert read.readings[None, "fillet_size"] == SET_ASIDE
    assert (None, "fillet_size") not in read_weld(
        JOINT | {"fillet_size": ""}, [], RecordKind.SPEC, "us"
    ).readings


def test_what_is_marked_not_applicable_stays_so() -> None:
    facts = read_weld(JOINT | {"fillet_size": "n/a"}, [], RecordKind.SPEC, "us").weld.joint
    assert facts["fillet_size"] is NOT_APPLICABLE


def test_what_depends_on_an_entry_that_is_set_aside_is_set_aside_too() -> None:
    entries = {"weld_type": "fillet", "groove_type": "u", "groove_radius": "1/4"}
    assert registry()["groove_radius"].shown_when is not None
    assert read_weld(entries, [], RecordKind.SPEC, "us").weld.joint["groove_radius"] is MISSING
