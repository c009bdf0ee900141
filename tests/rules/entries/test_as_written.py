"""Entries as shops write them, of every kind of field: each is read, said and printed as typed, or asked
about; and what is printed reads back as the same."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import MISSING, Interval, Stated
from qualification.rules.entries.notation import Manner, read_measure
from qualification.rules.entries.one_entry import read_entry
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.entries.showing import EnteredRow, entered_groups
from qualification.rules.entries.wording import say_value
from qualification.rules.variables.definition import Level, RecordKind, ValueKind, Variable
from qualification.rules.variables.registry import variable

CASES = tomllib.loads(
    (Path(__file__).parents[1] / "cases" / "practice" / "as_written.toml").read_text("utf-8")
)
Row = list[str]


def levels(row: Row) -> tuple[dict[str, str], list[dict[str, str]]]:
    key, _, _, typed, _, beside = row
    joint, line = {"weld_type": "groove"}, {"process": "GMAW"}
    for name, text in {**beside, key: typed}.items():  # type: ignore[dict-item]
        (joint if variable(name).level is Level.JOINT else line)[name] = text
    return joint, [line]


def read(row: Row) -> tuple[ReadWeld, Stated]:
    found = read_weld(*levels(row), RecordKind[row[1]], row[2])
    level = found.weld.joint if variable(row[0]).level is Level.JOINT else found.weld.lines[0]
    return found, level[row[0]]


def printed(row: Row) -> EnteredRow | None:
    groups = entered_groups(*levels(row), RecordKind[row[1]], row[2])
    return next((r for group in groups for r in group.rows if r.key == row[0]), None)


@pytest.mark.parametrize("row", CASES["read"], ids=[f"{row[0]}: {row[3]}" for row in CASES["read"]])
def test_an_entry_as_written_is_read_and_printed_as_typed(row: Row) -> None:
    found, value = read(row)
    assert [problem.message for problem in found.problems] == []
    row_printed = printed(row)
    if row_printed is not None and row_printed.state == "stated":
        assert row_printed.words == row[4]
        assert row_printed.typed == row[3]
        assert row_printed.first == row[3] or row_printed.first == row_printed.words
    _reads_back(variable(row[0]), value, row)


def _reads_back(definition: Variable, value: Stated, row: Row) -> None:
    """The law: what is printed of a value is read as that value."""
    if isinstance(value, Interval):
        said = show_both(value, str(definition.dimension), row[2])
        back = read_measure(said, str(definition.dimension), row[2], Manner()).interval
        assert back is not None
        for one, two in ((value.low, back.low), (value.high, back.high)):
            assert (one is None) == (two is None)
            assert one is None or two is None or abs(one - two) <= Decimal("0.01") * max(1, one)
    elif isinstance(value, frozenset) and definition.kind in (
        ValueKind.CHOICE,
        ValueKind.FILLER,
        ValueKind.METAL,
    ):
        for key in value:
            said = say_value(definition.key, frozenset({key}), row[2])
            assert read_entry(said, definition, RecordKind[row[1]], row[2]) == frozenset({key})


@pytest.mark.parametrize("row", CASES["asks"], ids=[f"{row[0]}: {row[3]}" for row in CASES["asks"]])
def test_what_can_be_two_things_is_asked_about_and_taken_for_none(row: Row) -> None:
    found, value = read(row)
    assert any(row[4] in problem.message for problem in found.problems)
    assert (
        value is MISSING or variable(row[0]).kind is ValueKind.METAL
    )  # a name nobody knows is kept as a name
    row_printed = printed(row)
    assert row_printed is None or row_printed.typed == row[3]
