"""No code lets a welder do what it never mentions: each variable that limits procedures is limited, left open
or named free on the welder's side."""

from __future__ import annotations

import copy

import pytest

from qualification.rules.core.facts import Side
from qualification.rules.editions.loader import build, edition, editions, shipped_files
from qualification.rules.editions.sayings import Says
from qualification.rules.tabular.edition import Edition, read_files
from qualification.rules.tabular.schema import TableError
from tests.rules.editions.test_adding_an_edition import FOLDER
from tests.rules.readers.freedom_changes import without_each
from tests.rules.readers.silences import doubly_said, sayings, silences

NAMES = [name for name in editions() if edition(name).welder]


def words_of(made: Edition) -> list[str]:
    return [f"{s.variable} ({s.process})" for s in silences(made)]


@pytest.mark.parametrize("name", NAMES)
def test_the_welders_side_is_silent_on_nothing_that_limits_procedures(name: str) -> None:
    assert words_of(edition(name)) == []


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_named_free_that_is_limited_or_limits_no_procedure(name: str) -> None:
    assert [f"{s.variable} ({s.process}): {s.says}" for s in doubly_said(edition(name))] == []


def test_the_invented_code_is_silent_on_nothing() -> None:
    assert words_of(build("invented", read_files(FOLDER))) == []


@pytest.mark.parametrize("name", NAMES)
def test_each_variable_left_off_the_list_is_found(name: str) -> None:
    """The check can fail: without its line in the list a variable is a silence again."""
    made = edition(name)
    for changed, variable in without_each(made, "welder"):
        assert {s.variable for s in silences(changed)} == {variable}


def test_a_row_taken_from_the_welders_side_is_found() -> None:
    """The silence that let a welder tested in spray weld with short-circuiting transfer."""
    name = "aws_d1_2_2014"
    changed = copy.deepcopy(dict(shipped_files(name)))
    rows = changed["welder.toml"]["row"]
    changed["welder.toml"]["row"] = [row for row in rows if row["variable"] != "transfer_mode"]
    assert words_of(build(name, changed)) == ["transfer_mode (GMAW)"]


def test_the_table_says_what_each_side_does_with_a_variable() -> None:
    said = sayings(edition("aws_d1_2_2014"))
    assert said["transfer_mode", "GMAW", Side.WELDER].says is Says.LIMITED
    assert said["amps", "GTAW", Side.PROCEDURE].says is Says.LIMITED
    free = said["amps", "GTAW", Side.WELDER]
    assert (free.says, [c.clause for c in free.citations]) == (Says.FREE, ["3.20, Table 3.9"])
    assert said["f_number", "GMAW", Side.PROCEDURE].says is Says.SILENT
    other = sayings(edition("iso_9606_2_2004"))
    assert other["throat", "GTAW", Side.PROCEDURE].says is Says.LIMITED
    assert other["throat", "GTAW", Side.WELDER].says is Says.FREE


@pytest.mark.parametrize(
    ("row", "complaint"),
    [
        ({"variables": ["no_such"]}, "'no_such' is not a variable"),
        ({"variables": ["amps"], "processes": ["WELD"]}, "names a process that is not one of"),
        ({"variables": ["volts"]}, "volts is named free by an earlier row as well"),
    ],
)
def test_a_list_that_cannot_be_trusted_is_refused(row: dict[str, list[str]], complaint: str) -> None:
    changed = copy.deepcopy(dict(shipped_files("aws_d1_2_2014")))
    said = {"clause": "1", "because": "No reason.", "provenance": "memory"}
    changed["free.toml"]["welder"].append(said | row)
    with pytest.raises(TableError, match=complaint):
        build("aws_d1_2_2014", changed)
