"""What a finding asks for is a field of the form it is asked on."""

from __future__ import annotations

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.editions.loader import edition, editions
from qualification.rules.entries.entered_as import entered_as
from qualification.rules.tabular.rulebook import RuleRow
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry

WRITTEN_ON = {Side.PROCEDURE: RecordKind.SPEC, Side.WELDER: RecordKind.PART}


def _names(row: RuleRow) -> set[str]:
    """What may be missing when a weld is held against the row."""
    exempt = (condition for group in row.weld_unless for condition in group)
    return {row.variable, *(condition.variable for condition in (*row.weld_when, *exempt))}


@pytest.mark.parametrize("key", editions())
@pytest.mark.parametrize("side", Side)
def test_what_a_row_may_ask_for_is_a_field_of_the_form(key: str, side: Side) -> None:
    made = edition(key)
    rows = made.procedure if side is Side.PROCEDURE else made.welder
    for name in {name for row in rows for name in _names(row)}:
        field = registry()[entered_as(name)]
        assert not field.derived, name
        assert WRITTEN_ON[side] in field.uses, name
        assert field.asked_by(made.speaks), name


@pytest.mark.parametrize("key", [key for key, each in registry().items() if each.derived])
def test_whatever_is_worked_out_is_named_by_the_field_it_comes_from(key: str) -> None:
    assert not registry()[entered_as(key)].derived
