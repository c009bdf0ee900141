"""What changed between two trials, in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.records.differences import Difference, entry_differences
from qualification.rules.trials.change_words import say_changes
from qualification.rules.variables.definition import Level, RecordKind

LINE = {
    "process": "GMAW",
    "amps": "140",
    "volts": "21",
    "gun": "spool",
    "low_level": "60",
    "current_programme": "double_pulsed",
    "cleaning": "brushed after wiping",
}
JOINT = {"thickness_a": "1/4 in", "base_metal_a": "6061"}


def found(before: dict[str, str], after: dict[str, str], **joint: str) -> list[Difference]:
    """Between `LINE` with some entries changed, and with others."""
    return [
        *entry_differences("", JOINT, {**JOINT, **joint}, Level.JOINT, RecordKind.SPEC, ("us", "us")),
        *entry_differences(
            "", {**LINE, **before}, {**LINE, **after}, Level.LINE, RecordKind.SPEC, ("us", "us")
        ),
    ]


def sentence_of(changes: list[Difference]) -> str:
    return say_changes([each.words for each in changes])


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ({}, "Nothing changed."),
        ({"amps": "150"}, "One thing changed. Current raised from 140 A to 150 A."),
        ({"volts": "20.5"}, "One thing changed. Voltage lowered from 21 V to 20.5 V."),
        ({"amps": "130-150"}, "One thing changed. Current widened from 140 A to 130 to 150 A."),
        ({"amps": "150-160"}, "One thing changed. Current raised from 140 A to 150 to 160 A."),
        ({"low_level": "70"}, "One thing changed. Low-level percentage raised from 60% to 70%."),
        ({"gun": "ordinary"}, "One thing changed. Gun changed from spool gun to ordinary gun."),
        ({"gun": ""}, "One thing changed. Gun no longer stated; it was spool gun."),
        ({"liner": "nylon"}, "One thing changed. Gun liner now stated: “nylon”."),
        (
            {"cleaning": "n/a"},
            "One thing changed. Cleaning before and between passes changed from “brushed after wiping” "
            "to not applicable.",
        ),
    ],
)
def test_one_change_in_words(line: dict[str, str], sentence: str) -> None:
    assert sentence_of(found({}, line)) == sentence


def test_a_narrower_range_and_several_changes() -> None:
    changes = found({"amps": "130-150"}, {"amps": "140", "volts": "22"}, thickness_a="5/16 in")
    assert [change.variable for change in changes] == ["thickness_a", "amps", "volts"]
    assert "narrowed from 130 to 150 A to 140 A" in changes[1].words
    assert sentence_of(changes).startswith("3 things changed. Thickness of side A raised from ")


def test_the_same_thickness_in_other_units_is_no_change() -> None:
    assert found({}, {}, thickness_a="6.35 mm") == []


def test_an_entry_that_cannot_be_read_is_told_as_typed() -> None:
    (change,) = found({}, {"amps": "plenty"})
    assert change.words == "current changed from 140 A to “plenty”"


KEYS = st.sets(st.sampled_from(["amps", "volts", "gun", "low_level", "cleaning"]))


@given(KEYS, KEYS)
def test_the_way_back_names_the_same_variables(first: set[str], second: set[str]) -> None:
    before, after = (dict.fromkeys(keys, "") for keys in (first, second))
    there, back = found(before, after), found(after, before)
    assert {c.variable for c in there} == {c.variable for c in back} == first ^ second
    assert [(c.before, c.after) for c in there] == [(c.after, c.before) for c in back]
